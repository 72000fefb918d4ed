#include <cmath>
#include <string>

#include "frostread/bench_calc.hpp"
#include "support/catch.hpp"

using namespace frostread;

namespace {

double figure_of(const CalcArguments& arguments, const std::string& key) {
    const auto result = calculate(*find_calculator("run-time"), arguments, UnitPreference::si);
    REQUIRE(result.has_value());
    for (const auto& entry : result->figures) {
        if (entry.key == key) {
            return entry.value.value();
        }
    }
    FAIL("no figure " << key);
    return 0.0;
}

}  // namespace

TEST_CASE("A corkboard box that runs 15 % of the time (university physics problem)") {
    const CalcArguments box = {{"conductivity", "0.05"}, {"area", "6 m2"},  {"thickness", "90 mm"},
                               {"room", "22 C"},         {"inside", "0 C"}, {"capacity", "488.889 W"}};
    CHECK(figure_of(box, "load") == Approx(73.3).margin(0.05));
    CHECK(figure_of(box, "expected_run_time") == Approx(15.0).margin(0.001));
}

TEST_CASE("A refrigerator on 5 min and off 15 min (Cengel, heat transfer, problem 1-131)") {
    const CalcArguments fridge = {{"leak", "34.0909 W/K"}, {"room", "17 C"}, {"inside", "6 C"}, {"power", "600 W"},
                                  {"cop", "2.5"},          {"on", "5 min"},  {"off", "15 min"}};
    CHECK(figure_of(fridge, "capacity") == Approx(1500.0));
    CHECK(figure_of(fridge, "load") == Approx(375.0).margin(0.01));
    CHECK(figure_of(fridge, "expected_run_time") == Approx(25.0).margin(0.001));
    CHECK(figure_of(fridge, "measured_run_time") == Approx(25.0));
}

TEST_CASE("The plain ratio agrees with a one-node thermostat cycle in closed form") {
    // C = 54 kJ/K, 2 W/K, 120 W, room 25, thermostat 3 to 6 degC: on 2051.6 s, off 3958.3 s.
    const double tau = 54000.0 / 2.0;
    const double end = 25.0 - 120.0 / 2.0;
    const double off = tau * std::log((25.0 - 3.0) / (25.0 - 6.0));
    const double on = tau * std::log((6.0 - end) / (3.0 - end));
    CHECK(off == Approx(3958.3).margin(0.05));
    CHECK(on == Approx(2051.6).margin(0.05));
    const double cycle = on / (on + off);
    CHECK(cycle == Approx(0.34137).margin(0.00001));
    const double ratio = figure_of({{"leak", "2 W/K"}, {"room", "25 C"}, {"inside", "4.5 C"}, {"capacity", "120 W"}},
                                   "expected_run_time");
    CHECK(ratio == Approx(34.167).margin(0.001));
    CHECK(ratio / 100.0 == Approx(cycle).epsilon(0.001));
}

TEST_CASE("Two compartments of a published two-circuit model") {
    // Fridge 60 W at 4 degC and freezer 40 W at -18 degC in a room of 20 degC: 3.75 and 1.053 W/K.
    const double load = figure_of({{"leak", "3.75 W/K"},
                                   {"room", "20 C"},
                                   {"inside", "4 C"},
                                   {"freezer", "-18 C"},
                                   {"freezer-leak", "1.0526 W/K"},
                                   {"capacity", "250 W"}},
                                  "load");
    CHECK(load == Approx(100.0).margin(0.01));
}

TEST_CASE("Run times of timed cycles") {
    // 22 min on and 44 min off = 33.3 %; 35 and 45 = 43.75 %; 5 and 15 = 25 %.
    const auto timed = [](const char* on, const char* off) {
        return figure_of({{"load", "50 W"}, {"capacity", "150 W"}, {"on", on}, {"off", off}}, "measured_run_time");
    };
    CHECK(timed("22 min", "44 min") == Approx(33.333).margin(0.001));
    CHECK(timed("35 min", "45 min") == Approx(43.75));
    CHECK(timed("5 min", "15 min") == Approx(25.0));
}
