#include "frostread/compiled_library.hpp"
#include "rules/shipped.hpp"
#include "support/catch.hpp"

using namespace frostread;
using test::diagnose;
using test::Ranking;

// How a unit is laid out and defrosted tells nearly always whether a fan moves its cold, also when nobody has
// said so. Common practice, no source.

namespace {

bool may_exist(const char* check, const std::vector<std::string>& unit) {
    return holds(find_check(test::shipped()->library(), check)->where, test::typed_case(unit, {}).unit) != Truth::no;
}

}  // namespace

TEST_CASE("a freezer that is scraped by hand is not suspected of a fan", "[rules][facts]") {
    for (const char* layout : {"layout=chest-freezer", "layout=upright-freezer"}) {
        const Ranking ranking =
            diagnose({layout, "defrost=manual"}, {"complaint=freezer-warm", "freezer-temp=-8 C", "onset=sudden"});
        INFO(layout << ": " << ranking.first(4));
        CHECK(ranking.of("evaporator-fan-stopped") < 0.04);
        CHECK(ranking.of("evaporator-fan-stopped") > 0.0);  // somebody may have misjudged the defrost
        CHECK(ranking.of("evaporator-fan-stopped") < ranking.of("refrigerant-low"));
    }
    CHECK(diagnose({"layout=chest-freezer"}, {"complaint=freezer-warm", "freezer-temp=-8 C", "onset=sudden"})
              .of("evaporator-fan-stopped") < 0.08);
}

TEST_CASE("a chest freezer has no panel to look behind, a side-by-side no cold plate", "[rules][facts]") {
    const std::vector<std::string> chest = {"layout=chest-freezer"};
    CHECK_FALSE(may_exist("evaporator-frost", chest));
    CHECK_FALSE(may_exist("fan-spin-by-hand", chest));
    CHECK(may_exist("plate-frost", chest));
    CHECK_FALSE(may_exist("plate-frost", {"layout=side-by-side"}));
    CHECK_FALSE(may_exist("plate-frost", {"layout=freezer-top", "defrost=automatic"}));
    CHECK(may_exist("plate-frost", {"layout=freezer-top", "defrost=manual"}));
}

TEST_CASE("thick ice on a plate that is scraped by hand is late before it is a fault", "[rules][facts]") {
    for (const char* layout : {"layout=chest-freezer", "layout=upright-freezer"}) {
        const std::vector<std::string> unit = {layout, "cooling=plate", "defrost=manual"};
        const Ranking thick = diagnose(unit, {"complaint=frost-build-up", "plate-frost=thick", "onset=over-weeks"});
        const Ranking gap = diagnose(unit, {"complaint=frost-build-up", "plate-frost=thick", "freezer-gasket=gap"});
        INFO(layout << ": " << thick.first(4) << "\n" << gap.first(4));
        CHECK(thick.leader() == "defrost-overdue");
        CHECK(gap.leader() == "gasket-leak");
    }
}

TEST_CASE("the drain of a cold wall is seen without a panel coming off", "[rules][facts]") {
    const std::vector<std::string> plates = {"layout=freezer-bottom", "cooling=plate", "defrost=cycling"};
    CHECK(may_exist("drain-hole", plates));
    CHECK_FALSE(may_exist("drain-hole", {"layout=chest-freezer", "cooling=plate", "defrost=cycling"}));
    CHECK_FALSE(may_exist("drain-hole", {"layout=freezer-top", "cooling=one-evaporator"}));
    const Ranking ranking = diagnose(plates, {"complaint=water", "drain-hole=blocked"});
    INFO(ranking.first(4));
    CHECK(ranking.leader() == "fridge-drain-blocked");
    CHECK(find_fault(test::shipped()->library(), "fridge-drain-blocked")->remedy.areas.empty());
}
