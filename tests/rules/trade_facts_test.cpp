#include <algorithm>

#include "rules/shipped.hpp"
#include "support/catch.hpp"

using namespace frostread;
using test::diagnose;
using test::Ranking;

// What repairers agree on, and the shipped rules must say too. Every fact: common practice, no source.

namespace {

const std::vector<std::string> kOneCoil = {"layout=freezer-top", "cooling=one-evaporator", "defrost=automatic",
                                           "condenser=forced-air"};

/// Probability that one of these is there, counted at most once each.
double sum_of(const Ranking& ranking, const std::vector<const char*>& faults) {
    double sum = 0.0;
    for (const char* fault : faults) {
        sum += ranking.of(fault);
    }
    return sum;
}

bool has_step(const char* check, const char* word) {
    for (const std::string& step : find_check(test::shipped()->library(), check)->steps) {
        if (step.find(word) != std::string::npos) {
            return true;
        }
    }
    return false;
}

bool has_condition(const char* check, const char* condition) {
    const Check* found = find_check(test::shipped()->library(), check);
    return std::find(found->after.begin(), found->after.end(), condition) != found->after.end();
}

bool area_has_caution(const char* area, const char* caution) {
    const Area* found = find_area(test::shipped()->library(), area);
    return std::find(found->cautions.begin(), found->cautions.end(), caution) != found->cautions.end();
}

}  // namespace

TEST_CASE("fresh food at 37 degF and a freezer at 0 degF are normal", "[rules][facts]") {
    const Ranking ranking = diagnose(
        kOneCoil, {"fridge-temp=37 °F", "freezer-temp=0 °F", "compressor-run=runs-and-stops", "complaint=none"});
    INFO(ranking.first(4));
    CHECK(ranking.leader() == "nothing-wrong");
}

TEST_CASE("a freezer 12 degF above its setting with all else good is a fault, not use", "[rules][facts]") {
    const Ranking ranking = diagnose(
        kOneCoil, {"freezer-temp=12 °F", "fridge-temp=39 °F", "setting=recommended", "fridge-gasket=seals",
                   "freezer-gasket=seals", "freezer-fan=blows", "condenser-fan=spins", "condenser-coil=clean"});
    INFO(ranking.first(6));
    CHECK(ranking.nothing_wrong < 0.05);
    const double use = sum_of(ranking, {"warm-load", "heavy-door-use", "room-too-hot", "not-yet-cooled-down"});
    CHECK(use < ranking.of("refrigerant-low"));
    CHECK(ranking.leader() == "refrigerant-low");
}

TEST_CASE("faint airflow into the fresh-food compartment is normal", "[rules][facts]") {
    const Check* airflow = find_check(test::shipped()->library(), "fridge-airflow");
    CHECK(normal_outcome(*airflow)->id == "steady");
    const std::string said = airflow->normal_looks + airflow->often_mistaken + normal_outcome(*airflow)->looks;
    CHECK(said.find("aint") != std::string::npos);
}

TEST_CASE("the fan behind the freezer panel fails now and then, the one at the compressor seldom", "[rules][facts]") {
    const Ranking ranking = diagnose(kOneCoil, {});
    CHECK(ranking.of("evaporator-fan-stopped") > 2.0 * ranking.of("condenser-fan-stopped"));
}

TEST_CASE("a bumped setting is a common cause and the cheapest to look at", "[rules][facts]") {
    const Ranking ranking = diagnose({}, {});
    INFO(ranking.first(3));
    CHECK(ranking.place("setting-wrong") == 1);
    const Library& library = test::shipped()->library();
    const Check* setting = find_check(library, "setting");
    CHECK(setting->areas.empty());
    CHECK(setting->minutes <= 1.0);
    CHECK(diagnose({}, {"complaint=fridge-warm"}).place("setting-wrong") <= 3);
}

TEST_CASE("a very hot compressor means its fan, the compressor itself, or the charge", "[rules][facts]") {
    // Against a warm shell, each of the three gains from a very hot one.
    for (const char* fault : {"condenser-fan-stopped", "compressor-seized", "compressor-worn", "overcharge"}) {
        INFO(fault);
        CHECK(diagnose(kOneCoil, {"compressor-shell=very-hot"}).of(fault) >
              diagnose(kOneCoil, {"compressor-shell=warm"}).of(fault));
    }
    CHECK(diagnose(kOneCoil, {"compressor-shell=very-hot", "condenser-coil=clean"}).place("condenser-fan-stopped") <=
          6);
}

TEST_CASE("frost on the outside of the freezer panel is not normal, and door use matters", "[rules][facts]") {
    const std::vector<std::string> sheet = {"freezer-panel-frost=sheet"};
    CHECK(diagnose(kOneCoil, sheet).nothing_wrong < diagnose(kOneCoil, {}).nothing_wrong);
    const Ranking ordinary = diagnose(kOneCoil, {"freezer-panel-frost=patch", "door-use=ordinary"});
    const Ranking heavy = diagnose(kOneCoil, {"freezer-panel-frost=patch", "door-use=heavy"});
    CHECK(ordinary.nothing_wrong < 0.5 * diagnose(kOneCoil, {"door-use=ordinary"}).nothing_wrong + 1e-9);
    CHECK(heavy.of("defrost-heater-open") < ordinary.of("defrost-heater-open"));
    CHECK(heavy.of("heavy-door-use") > 10.0 * ordinary.of("heavy-door-use"));
}

TEST_CASE("the frost on the coil is judged after a day of running, and seen again an hour after the cover is on",
          "[rules][facts]") {
    CHECK(has_condition("evaporator-frost", "ran-24h"));
    CHECK(has_condition("frost-return", "cover-on-1h"));
    // A coil seen after 3 hours says nothing of a low charge.
    const Ranking early = diagnose(kOneCoil, {"hours-running=3 h", "evaporator-frost=inlet-only"});
    const Ranking without = diagnose(kOneCoil, {"hours-running=3 h"});
    const Ranking settled = diagnose(kOneCoil, {"hours-running=72 h", "evaporator-frost=inlet-only"});
    CHECK(early.of("refrigerant-low") == Approx(without.of("refrigerant-low")).margin(1e-9));
    CHECK(settled.of("refrigerant-low") > 5.0 * early.of("refrigerant-low"));
    CHECK(settled.leader() == "refrigerant-low");
}

TEST_CASE("a light even frost over the whole coil is right", "[rules][facts]") {
    const Check* frost = find_check(test::shipped()->library(), "evaporator-frost");
    CHECK(normal_outcome(*frost)->id == "light-even");
    const Ranking ranking = diagnose(kOneCoil, {"hours-running=72 h", "evaporator-frost=light-even"});
    for (const char* fault : {"refrigerant-low", "line-restriction", "defrost-heater-open"}) {
        INFO(fault);
        CHECK(ranking.of(fault) < diagnose(kOneCoil, {"hours-running=72 h"}).of(fault));
    }
}

TEST_CASE("frost on the first passes only, with fans, gaskets, condenser and compressor good, is a low charge",
          "[rules][facts]") {
    const Ranking ranking =
        diagnose(kOneCoil,
                 {"hours-running=72 h", "evaporator-frost=inlet-only", "freezer-fan=blows", "condenser-fan=spins",
                  "freezer-gasket=seals", "fridge-gasket=seals", "condenser-coil=clean", "compressor-run=runs-always"});
    INFO(ranking.first(4));
    CHECK(ranking.leader() == "refrigerant-low");
    CHECK(ranking.of("refrigerant-low") > 0.6);
}

TEST_CASE("with a small loss the fresh-food compartment may still hold while the freezer does not", "[rules][facts]") {
    const Ranking ranking = diagnose(
        kOneCoil, {"hours-running=72 h", "evaporator-frost=inlet-only", "freezer-temp=-11 C", "fridge-temp=4 C"});
    INFO(ranking.first(4));
    CHECK(ranking.leader() == "refrigerant-low");
    CHECK(ranking.of_grade("refrigerant-low", "slight") > 0.8 * ranking.of("refrigerant-low"));
}

TEST_CASE("a domestic charge is a few ounces", "[rules][facts]") {
    const Trait* charge = find_trait(test::shipped()->library(), "charge_g");
    REQUIRE(charge != nullptr);
    CHECK(charge->range.min.value_or(0.0) <= 4 * 28.35);  // 4 oz and 6 oz are taken without a word
    CHECK(charge->range.max.value_or(0.0) >= 6 * 28.35);
}

TEST_CASE("water in the pan shows that a defrost has happened, and upper rows clear first", "[rules][facts]") {
    const Library& library = test::shipped()->library();
    const Check* pan = find_check(library, "drain-pan");
    CHECK((pan->normal_looks + pan->often_mistaken).find("defrost") != std::string::npos);
    const Check* frost = find_check(library, "evaporator-frost");
    CHECK((frost->normal_looks + frost->often_mistaken).find("pper") != std::string::npos);
}

TEST_CASE("a low charge on an old unit is dear for what the unit is worth", "[rules][facts]") {
    const Library& library = test::shipped()->library();
    const Remedy& recharge = find_fault(library, "refrigerant-low")->remedy;
    const double price = recharge.minutes / 60.0 * library.economy.labour_per_hour +
                         (recharge.parts_low + recharge.parts_high) / 2.0 * library.economy.part_factor;
    CHECK(recharge.who == Who::licensed);
    CHECK(price > 0.5 * library.economy.worth);
}

TEST_CASE("a gasket with a gap is warmed and stretched before it is replaced", "[rules][facts]") {
    const Remedy& remedy = find_fault(test::shipped()->library(), "gasket-leak")->remedy;
    std::size_t warmed = remedy.steps.size(), replaced = remedy.steps.size();
    for (std::size_t at = 0; at < remedy.steps.size(); ++at) {
        const std::string& step = remedy.steps[at];
        if (warmed == remedy.steps.size() && (step.find("arm") != std::string::npos)) {
            warmed = at;
        }
        if (replaced == remedy.steps.size() &&
            (step.find("new") != std::string::npos || step.find("eplace") != std::string::npos)) {
            replaced = at;
        }
    }
    REQUIRE(warmed < remedy.steps.size());
    CHECK(warmed < replaced);
}

TEST_CASE("the rear cover directs air over the compressor and must be refitted", "[rules][facts]") {
    const Ranking with = diagnose(kOneCoil, {"rear-cover=missing", "compressor-shell=very-hot"});
    const Ranking only = diagnose(kOneCoil, {"rear-cover=missing"});
    CHECK(with.leader() == "rear-cover-missing");
    CHECK(with.of("rear-cover-missing") > only.of("rear-cover-missing"));
}

TEST_CASE("the fan is proved before the panel comes off, and the plug is pulled before the panel is opened",
          "[rules][facts]") {
    const Library& library = test::shipped()->library();
    CHECK(find_check(library, "freezer-fan")->areas.empty());
    CHECK(has_step("freezer-fan", "switch"));
    CHECK(find_area(library, "freezer-panel")->power == Power::off);
    CHECK(area_has_caution("freezer-panel", "unplug-first"));
}

TEST_CASE("a cold plate that is white in part only is short of refrigerant, not worn out", "[rules][facts]") {
    const std::vector<std::string> chest = {"layout=chest-freezer", "cooling=plate", "defrost=manual",
                                            "compressor=fixed-speed"};
    const std::vector<std::string> weak = {"freezer-temp=-9 C", "compressor-run=runs-always", "power-draw=low"};
    std::vector<std::string> part = weak, even = weak;
    part.push_back("plate-frost=part");
    even.push_back("plate-frost=even");
    INFO(diagnose(chest, part).first(4) << "\n" << diagnose(chest, even).first(4));
    CHECK(diagnose(chest, part).leader() == "refrigerant-low");
    CHECK(diagnose(chest, even).leader() == "compressor-worn");
}

TEST_CASE("a compressor is called seized only when it does not start with good parts on it", "[rules][facts]") {
    const std::vector<std::string> unit = {"layout=freezer-top", "cooling=one-evaporator", "compressor=fixed-speed"};
    const Ranking hums = diagnose(unit, {"compressor-run=hums-and-trips", "supply-voltage=good", "test-start=hums",
                                         "winding-resistance=adds-up"});
    const Ranking starts = diagnose(unit, {"compressor-run=hums-and-trips", "test-start=starts"});
    INFO(hums.first(4) << "\n" << starts.first(4));
    CHECK(hums.leader() == "compressor-seized");
    CHECK(hums.of("compressor-seized") > 0.75);
    CHECK(starts.leader() == "start-device-failed");
    CHECK(starts.of("compressor-seized") < 0.05);
    const Check* check = find_check(test::shipped()->library(), "test-start");
    CHECK(check->who == Who::technician);
    CHECK(std::find(check->cautions.begin(), check->cautions.end(), "live-test") != check->cautions.end());
}

TEST_CASE("standing pressure above saturation is air in the system", "[rules][facts]") {
    const std::vector<std::string> unit = {"layout=freezer-top", "refrigerant=R-134a"};
    // 21 °C: about 590 kPa
    const Ranking above = diagnose(unit, {"room-temp=21 C", "standing-pressure=720 kPa", "onset=after-repair"});
    const Ranking right = diagnose(unit, {"room-temp=21 C", "standing-pressure=590 kPa", "onset=after-repair"});
    INFO(above.first(4));
    CHECK(above.leader() == "air-in-system");
    CHECK(right.of("air-in-system") < 0.2 * above.of("air-in-system"));
}

TEST_CASE("a display that is lit clears the supply", "[rules][facts]") {
    const std::vector<std::string> unit = {"control=electronic"};
    const Ranking dark = diagnose(unit, {"compressor-run=silent", "display-mode=dead"});
    const Ranking lit = diagnose(unit, {"compressor-run=silent", "display-mode=normal"});
    INFO(dark.first(4) << "\n" << lit.first(4));
    CHECK(dark.leader() == "no-supply");
    CHECK(lit.of("no-supply") < 0.05);
}

TEST_CASE("watts at the plug do not count again once the compressor's current is known", "[rules][facts]") {
    const double current = diagnose(kOneCoil, {"running-current=low"}).of("refrigerant-low");
    CHECK(diagnose(kOneCoil, {"running-current=low", "power-draw=low"}).of("refrigerant-low") ==
          Approx(current).margin(1e-9));
    // A heater that runs while nothing cools is news all the same.
    CHECK(diagnose(kOneCoil, {"running-current=none", "power-draw=heater"}).leader() == "stuck-in-defrost");
}

TEST_CASE("a gap that can be seen in the seal is nearly always the leak", "[rules][facts]") {
    CHECK(diagnose(kOneCoil, {"freezer-gasket=gap"}).leader() == "gasket-leak");
    CHECK(diagnose(kOneCoil, {"freezer-gasket=gap", "freezer-wall-frost=near-door"}).of("gasket-leak") > 0.7);
}

TEST_CASE("a freezer has no fresh-food door, a single-door unit no freezer door", "[rules][facts]") {
    const Ranking chest = diagnose({"layout=chest-freezer"}, {"complaint=runs-always"});
    CHECK(chest.of_grade("gasket-leak", "fridge-gap") < 1e-12);
    CHECK(chest.of_grade("door-not-closing", "fridge-door") < 1e-12);
    CHECK(chest.of_grade("gasket-leak", "gap") > 0.02);
    const Ranking single = diagnose({"layout=single-door"}, {"complaint=runs-always"});
    CHECK(single.of_grade("gasket-leak", "gap") < 1e-12);
    CHECK(single.of_grade("gasket-leak", "fridge-gap") > 0.02);
}

TEST_CASE("a tear in the seal says at least as much as a gap, and is believed beside a dusty condenser",
          "[rules][facts]") {
    for (const char* door : {"fridge-gasket", "freezer-gasket"}) {
        INFO(door);
        const std::string check = door;
        const Ranking torn = diagnose(kOneCoil, {check + "=torn"});
        CHECK(torn.of("gasket-leak") >= diagnose(kOneCoil, {check + "=gap"}).of("gasket-leak"));
        CHECK(torn.leader() == "gasket-leak");
    }
    const std::vector<std::string> warm = {"complaint=both-warm,runs-always", "freezer-temp=-13 C", "fridge-temp=9 C",
                                           "condenser-glance=lint"};
    std::vector<std::string> torn = warm, gap = warm;
    torn.emplace_back("fridge-gasket=torn");
    gap.emplace_back("fridge-gasket=gap");
    CHECK(diagnose(kOneCoil, torn).of("gasket-leak") > 10.0 * diagnose(kOneCoil, warm).of("gasket-leak"));
    CHECK(diagnose(kOneCoil, torn).of("gasket-leak") >= diagnose(kOneCoil, gap).of("gasket-leak"));
}

TEST_CASE("water in a plain unit is a drain before it is a supply, and the floor is looked at before the panel",
          "[rules][facts]") {
    for (const char* layout : {"layout=freezer-top", "layout=freezer-bottom"}) {
        const Ranking ranking = diagnose({layout, "cooling=one-evaporator", "defrost=automatic"},
                                         {"complaint=water", "freezer-temp=-18 C", "fridge-temp=4 C"});
        INFO(layout << ": " << ranking.first(4));
        CHECK(ranking.leader() == "drain-blocked");
        CHECK(ranking.of("water-supply-leak") < ranking.of("drain-blocked") / 2.0);
    }
    for (const char* check : {"drain-channel", "drain-heater"}) {
        const std::vector<std::string>& first = find_check(test::shipped()->library(), check)->second_look_of;
        INFO(check);
        CHECK(std::count(first.begin(), first.end(), "freezer-floor") == 1);
    }
}
