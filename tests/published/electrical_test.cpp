#include <cmath>

#include "frostread/bench_calc.hpp"
#include "support/catch.hpp"

using namespace frostread;

TEST_CASE("Heater resistances of textbook examples") {
    // 300 W at 120 V reads 48 ohm (physics exercise on an immersion heater); 1320 W at 120 V about 11 ohm
    // (Conceptual Physical Science, 6th ed., chapter 8, problem 56). The rest is R = V^2/P worked by hand.
    CHECK(heater_ohm(120.0, 300.0) == Approx(48.0));
    CHECK(heater_ohm(120.0, 1320.0) == Approx(10.91).margin(0.005));
    CHECK(heater_ohm(230.0, 250.0) == Approx(211.60).margin(0.005));
    CHECK(heater_ohm(230.0, 180.0) == Approx(293.89).margin(0.005));
    CHECK(heater_ohm(120.0, 400.0) == Approx(36.0));
    CHECK(heater_ohm(230.0, 12.0) == Approx(4408.33).margin(0.005));
}

TEST_CASE("Windings of published examples") {
    SECTION("4, 11 and 15 ohm add up (distributor's technical tip, 2020)") {
        // pins: 1 = common, 2 = run, 3 = start
        const auto judged = judge_windings({4.0, 11.0, 15.0});
        CHECK(judged.verdict == WindingVerdict::adds_up);
        CHECK(judged.common == 1);
        CHECK(judged.run == 2);
        CHECK(judged.start == 3);
        CHECK(judged.sum_difference == Approx(0.0).margin(1e-12));
    }
    SECTION("X-Y 30, X-Z 40, Y-Z 10: Y is common, Z run, X start") {
        const auto judged = judge_windings({30.0, 40.0, 10.0});
        CHECK(judged.verdict == WindingVerdict::adds_up);
        CHECK(judged.common == 2);
        CHECK(judged.run == 3);
        CHECK(judged.start == 1);
        CHECK(judged.common_run == Approx(10.0));
        CHECK(judged.common_start == Approx(30.0));
        CHECK(judged.start_run == Approx(40.0));
    }
    SECTION("6, 2 and 8 ohm add up (public refrigeration course notes)") {
        const auto judged = judge_windings({6.0, 2.0, 8.0});
        CHECK(judged.verdict == WindingVerdict::adds_up);
        CHECK(judged.common == 1);
        CHECK(judged.run == 3);
    }
    SECTION("6, 7 and 8 ohm are printed as an identification example but cannot be a sound motor") {
        const auto judged = judge_windings({6.0, 7.0, 8.0});
        CHECK(judged.common == 1);
        CHECK(judged.verdict == WindingVerdict::shorted_turns);
        CHECK(judged.sum_difference == Approx(-5.0));
        CHECK(judged.allowed_difference == Approx(0.8));
    }
}

TEST_CASE("Power factors of published and computed examples") {
    struct Row {
        const char *volts, *amps, *watts;
        double factor;
    };
    // 230 V, 12 A, 1800 W: 0.65, published; its remark that this is an efficiency is wrong. Others by hand.
    const Row rows[] = {{"230 V", "12 A", "1800 W", 0.65217},
                        {"230 V", "0.8696 A", "120 W", 0.60},
                        {"230 V", "0.5492 A", "120 W", 0.95},
                        {"120 V", "1.3889 A", "100 W", 0.60},
                        {"230 V", "0.7115 A", "90 W", 0.55}};
    for (const auto& row : rows) {
        INFO(row.watts << " at " << row.volts);
        const auto result =
            calculate(*find_calculator("power"), {{"volts", row.volts}, {"amps", row.amps}, {"watts", row.watts}},
                      UnitPreference::si);
        REQUIRE(result.has_value());
        bool found = false;
        for (const auto& entry : result->figures) {
            if (entry.key == "power_factor") {
                CHECK(entry.value.value() == Approx(row.factor).margin(0.0001));
                found = true;
            }
        }
        CHECK(found);
    }
}

TEST_CASE("Capacitance from current at mains frequency") {
    // 2652 * I / V at 60 Hz is published on trade pages; the rows are computed.
    CHECK(capacitor_uf(1.0, 1.0, 60.0) == Approx(2652.58).margin(0.005));
    CHECK(capacitor_uf(1.0, 1.0, 50.0) == Approx(3183.10).margin(0.005));
    CHECK(capacitor_uf(4.9, 330.0, 60.0) == Approx(39.387).margin(0.0005));
    CHECK(capacitor_uf(1.0, 230.0, 50.0) == Approx(13.840).margin(0.0005));
    CHECK(capacitor_uf(0.28903, 230.0, 50.0) == Approx(4.000).margin(0.0005));
}
