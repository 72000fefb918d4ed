#include <algorithm>
#include <memory>
#include <string>

#include "plan/candidates.hpp"
#include "support/catch.hpp"
#include "support/household.hpp"
#include "support/readings.hpp"

using namespace frostread;
using namespace frostread::test;
using namespace frostread::plan;

namespace {

/// The candidate for one check after these readings; none when it is not one.
std::optional<Candidate> candidate(const std::string& check, const Case& the_case) {
    const UnitModel model = fit_to_unit(compiled_household(), the_case.unit);
    const Findings findings = gather(model, the_case);
    const Belief belief = make_belief(model, infer(model, findings));
    auto list = list_candidates(model, the_case, findings, belief, job_state(model, the_case),
                                compiled_household()->check_index(check));
    if (list.empty()) return std::nullopt;
    return std::move(list.front());
}

}  // namespace

TEST_CASE("order: a second look is proposed once the first was taken or cannot be") {
    Case the_case;
    the_case.readings = {look("complaint", "freezer-warm")};
    CHECK(candidate("evaporator-frost", the_case).has_value());
    CHECK_FALSE(candidate("frost-return", the_case).has_value());

    Case looked = the_case;
    looked.readings.push_back(look("evaporator-frost", "inlet-only"));
    CHECK(candidate("frost-return", looked).has_value());

    Case skipped = the_case;
    for (const char* check : {"evaporator-frost", "evaporator-frost-coverage"}) {
        skipped.readings.push_back({});
        skipped.readings.back().check = check;
        skipped.readings.back().skipped = "not now";
    }
    CHECK(candidate("frost-return", skipped).has_value());
}

TEST_CASE("order: that a control is off can still be seen once a set temperature was read") {
    Case the_case;
    the_case.readings = {look("complaint", "no-cooling"), gauge("fridge-set", 3.0)};
    const auto setting = candidate("setting", the_case);
    REQUIRE(setting.has_value());
    REQUIRE(setting->answers.size() == 2);  // off, and all the rest, which the set temperature has said already
    const Check& check = compiled_household()->library().checks[setting->check];
    CHECK(check.outcomes[setting->answers[0].outcome].id == "off");
    for (std::size_t i = 0; i < setting->rows.sets; ++i)
        CHECK(setting->rows.row(0)[i] + setting->rows.row(1)[i] == Approx(1.0).margin(1e-9));

    the_case.readings.push_back(look("setting", "off"));
    const UnitModel model = fit_to_unit(compiled_household(), the_case.unit);
    const Findings findings = gather(model, the_case);
    CHECK(std::any_of(findings.items.begin(), findings.items.end(),
                      [&](const Finding& f) { return f.check == setting->check; }));
}
