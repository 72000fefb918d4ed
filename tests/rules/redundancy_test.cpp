#include <algorithm>

#include "rules/shipped.hpp"
#include "support/catch.hpp"

using namespace frostread;

// Readings that say one thing ten times must not drown the one that contradicts it. Each story: ten
// readings that a wrong fault would give too, and one decisive reading against it. The cases are invented.

namespace {

struct Story {
    const char* wrong;  ///< the fault that the ten readings point at
    std::vector<std::string> unit;
    std::vector<std::string> redundant;
    std::string decisive;
};

const std::vector<std::string> kUnit = {"layout=freezer-top", "cooling=one-evaporator", "defrost=automatic",
                                        "condenser=forced-air", "compressor=fixed-speed"};

std::vector<Story> stories() {
    return {
        // A dead compressor looks the same from ten places; sound start gear clears the start device.
        {"start-device-failed",
         kUnit,
         {"complaint=no-cooling", "fridge-temp=20 C", "freezer-temp=14 C", "evaporator-frost=bare", "hiss=none",
          "suction-line=warm", "condenser-warmth=barely-warm", "run-time=0 %", "compressor-run=hums-and-trips",
          "running-current=locked"},
         "start-device=good"},
        // A starved coil, ten ways; a coil white all over is not starved.
        {"refrigerant-low",
         kUnit,
         {"complaint=freezer-warm", "onset=over-weeks", "freezer-temp=-9 C", "fridge-temp=5 C", "run-time=95 %",
          "compressor-run=runs-always", "condenser-warmth=first-turns-only", "suction-line=warm", "power-draw=low",
          "discharge-line-temp=45 C"},
         "evaporator-frost=light-even"},
        // A coil under ice, ten ways; a defrost started by hand that heats clears the heater.
        {"defrost-heater-open",
         kUnit,
         {"complaint=fridge-warm,frost-build-up", "onset=over-days", "fridge-temp=12 C", "freezer-temp=-11 C",
          "fridge-airflow=none", "freezer-panel-frost=sheet", "evaporator-frost=ice-block", "recovers-after-stop=yes",
          "compressor-run=runs-always", "defrost-seen=none"},
         "forced-defrost=heats"},
        // No air in the fresh-food compartment, ten ways; a fan that blows is not stopped.
        {"evaporator-fan-stopped",
         kUnit,
         {"complaint=fridge-warm", "onset=sudden", "fridge-temp=13 C", "freezer-temp=-14 C", "fridge-airflow=none",
          "run-time=75 %", "compressor-run=runs-always", "suction-line=frosted", "pull-down-rate=1.5 K/h",
          "evaporator-temp=-34 C"},
         "freezer-fan=blows"},
        // Heat that does not get away, ten ways; a clean condenser is not matted.
        {"condenser-dirty",
         kUnit,
         {"complaint=runs-always", "onset=over-weeks", "condenser-warmth=very-hot", "compressor-shell=very-hot",
          "discharge-line-temp=82 C", "power-draw=high", "running-current=high", "run-time=80 %", "fridge-temp=6 C",
          "freezer-temp=-14 C"},
         "condenser-coil=clean"},
    };
}

double of_wrong(const Story& story, bool with_decisive) {
    std::vector<std::string> readings = story.redundant;
    if (with_decisive) {
        readings.push_back(story.decisive);
    }
    return test::diagnose(story.unit, readings).of(story.wrong);
}

}  // namespace

TEST_CASE("ten redundant readings do not push a wrong fault past 0.95 against one decisive reading", "[rules]") {
    for (const Story& story : stories()) {
        INFO(story.wrong << " against " << story.decisive);
        REQUIRE(story.redundant.size() == 10);
        const double before = of_wrong(story, false);
        const double after = of_wrong(story, true);
        INFO("before " << before << ", after " << after);
        CHECK(after < 0.95);
        CHECK(after < before / 2.0);  // and the decisive reading is heard
    }
}

TEST_CASE("readings that say the same thing do not add up as if they were independent", "[rules]") {
    // Ten signs of a compressor that does not run: the faults behind it keep their order of before.
    const Story dead = stories().front();
    std::vector<std::string> signs(dead.redundant.begin(), dead.redundant.end() - 2);
    const test::Ranking one = test::diagnose(dead.unit, {"compressor-run=silent"});
    signs.push_back("compressor-run=silent");
    const test::Ranking many = test::diagnose(dead.unit, signs);
    INFO(one.first(5) << "\n" << many.first(5));
    CHECK(many.faults.front().second < 0.6);
    CHECK(many.place(one.leader()) <= 3);
}
