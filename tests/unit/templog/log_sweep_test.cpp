#include <cmath>

#include "frostread/templog.hpp"
#include "support/catch.hpp"
#include "support/log_generator.hpp"

/// The errors that docs/templog.md states, over a sweep of signals whose truth is known.
using namespace frostread;
using frostread::test::generate_log;
using frostread::test::LogRecipe;

namespace {

const LogCompartment& compartment(const LogFindings& findings, LogChannel channel) {
    for (const LogCompartment& each : findings.compartments) {
        if (each.channel == channel) {
            return each;
        }
    }
    FAIL("no such compartment");
    return findings.compartments.front();
}

void check_recovered(const LogRecipe& recipe, double share_error, double swing_error) {
    CAPTURE(recipe.duty, recipe.period_min, recipe.noise, recipe.interval_s, recipe.defrost_run_h, recipe.watts);
    const auto made = generate_log(recipe);
    const LogFindings found = analyse_log(made.log);
    REQUIRE(found.run_share);
    REQUIRE(found.steady_run_share);
    REQUIRE(found.cycles_per_hour);
    CHECK(*found.run_share == Approx(made.truth.run_share).margin(share_error));
    CHECK(*found.steady_run_share == Approx(recipe.duty).margin(share_error));
    CHECK(*found.cycles_per_hour == Approx(made.truth.cycles_per_hour).epsilon(0.02));
    const LogCompartment& freezer = compartment(found, LogChannel::freezer);
    const LogCompartment& fridge = compartment(found, LogChannel::fridge);
    REQUIRE(freezer.steady_mean);
    REQUIRE(freezer.swing);
    REQUIRE(fridge.swing);
    CHECK(*freezer.steady_mean == Approx(recipe.freezer_mean).margin(0.1));
    CHECK(*fridge.steady_mean == Approx(recipe.fridge_mean).margin(0.1));
    CHECK(*freezer.swing == Approx(recipe.freezer_swing).margin(swing_error));
    CHECK(*fridge.swing == Approx(recipe.fridge_swing).margin(swing_error));
    REQUIRE(found.cycle_rate);
    CHECK(*found.cycle_rate == Approx(made.truth.pull_down_rate).epsilon(0.08));
    REQUIRE(found.defrosts.size() == made.truth.defrost_starts.size());
    for (std::size_t i = 0; i < found.defrosts.size(); ++i) {
        CHECK(found.defrosts[i].start == Approx(made.truth.defrost_starts[i]).margin(3.0 * recipe.interval_s + 120.0));
        CHECK(found.defrosts[i].heat_end == Approx(made.truth.defrost_ends[i]).margin(3.0 * recipe.interval_s + 120.0));
        if (i > 0) {
            REQUIRE(found.defrosts[i].interval_h);
            CHECK(*found.defrosts[i].interval_h ==
                  Approx((made.truth.defrost_starts[i] - made.truth.defrost_starts[i - 1]) / 3600.0).margin(0.15));
            REQUIRE(found.defrosts[i].run_interval_h);
            CHECK(*found.defrosts[i].run_interval_h ==
                  Approx(recipe.defrost_run_h).margin(recipe.interval_s >= 300.0 ? 0.5 : 0.05 * recipe.defrost_run_h));
        }
    }
}

}  // namespace

TEST_CASE("Duty, swing and cycles are recovered from temperatures over a sweep", "[templog][sweep]") {
    LogRecipe recipe;
    recipe.duty = GENERATE(0.15, 0.3, 0.5, 0.7, 0.85);
    recipe.period_min = GENERATE(40.0, 60.0, 110.0);
    recipe.noise = GENERATE(0.0, 0.05, 0.15);
    recipe.seed = 7;
    check_recovered(recipe, 0.02, 0.15);
}

TEST_CASE("Defrosts are recovered by every channel that shows them", "[templog][sweep]") {
    LogRecipe recipe;
    recipe.hours = 72.0;
    recipe.defrost_run_h = GENERATE(6.0, 8.0, 12.0);
    const int channels = GENERATE(0, 1, 2, 3);
    recipe.coil = channels == 1 || channels == 3;
    recipe.watts = channels >= 2;
    recipe.noise = GENERATE(0.0, 0.1);
    check_recovered(recipe, 0.02, 0.15);
}

TEST_CASE("Other intervals, coarse steps and power", "[templog][sweep]") {
    LogRecipe recipe;
    recipe.defrost_run_h = 8.0;
    SECTION("ten seconds") {
        recipe.interval_s = 10.0;
        recipe.noise = 0.2;
        check_recovered(recipe, 0.02, 0.15);
    }
    SECTION("one second with power") {
        recipe.hours = 30.0;
        recipe.interval_s = 1.0;
        recipe.noise = 0.1;
        recipe.watts = true;
        check_recovered(recipe, 0.01, 0.15);
    }
    SECTION("five minutes") {
        recipe.interval_s = 300.0;
        recipe.noise = 0.05;
        check_recovered(recipe, 0.03, 0.3);
    }
    SECTION("steps of half a degree") {
        recipe.resolution = 0.5;
        check_recovered(recipe, 0.03, 0.3);
    }
}

TEST_CASE("A drift over days is measured and does not spoil the rest", "[templog][sweep]") {
    LogRecipe recipe;
    recipe.hours = 240.0;
    recipe.defrost_run_h = 8.0;
    recipe.noise = 0.1;
    recipe.drift_per_day = GENERATE(-0.2, 0.0, 0.4);
    const auto made = generate_log(recipe);
    const LogFindings found = analyse_log(made.log);
    for (const LogCompartment& each : found.compartments) {
        REQUIRE(each.trend);
        CHECK(each.trend->per_day == Approx(recipe.drift_per_day).margin(0.03));
        CHECK(each.trend->clear == (recipe.drift_per_day != 0.0));
    }
    CHECK(found.defrosts.size() == made.truth.defrost_starts.size());
    CHECK(*found.steady_run_share == Approx(0.4).margin(0.02));
}

TEST_CASE("Door openings are found where they were, and nowhere else", "[templog][sweep]") {
    LogRecipe recipe;
    recipe.interval_s = GENERATE(10.0, 60.0);
    recipe.noise = 0.05;
    recipe.defrost_run_h = 8.0;
    recipe.door_hours = {3.0, 5.5, 7.2, 12.1, 25.3, 30.7};
    const auto made = generate_log(recipe);
    const LogFindings found = analyse_log(made.log);
    CHECK(found.doors_visible);
    REQUIRE(found.doors.size() == recipe.door_hours.size());
    for (std::size_t i = 0; i < found.doors.size(); ++i) {
        CHECK(found.doors[i].compartment == LogChannel::fridge);
        CHECK(found.doors[i].start == Approx(recipe.door_hours[i] * 3600.0).margin(130.0));
        CHECK(found.doors[i].rise == Approx(recipe.door_rise).margin(1.0));
    }
    CHECK(*found.steady_run_share == Approx(0.4).margin(0.02));
}

TEST_CASE("Nothing is guessed across a gap", "[templog][sweep]") {
    LogRecipe recipe;
    recipe.gaps = {{40000.0, 50000.0}, {100000.0, 100600.0}};
    recipe.defrost_run_h = 8.0;
    const LogFindings found = analyse_log(generate_log(recipe).log);
    REQUIRE(found.gaps.size() == 2);
    CHECK(found.gaps[0].length() == Approx(10000.0).margin(120.0));
    CHECK(found.known_h == Approx(48.0 - 10600.0 / 3600.0).margin(0.1));
    for (const LogCycle& cycle : found.cycles) {
        for (const LogSpan& gap : found.gaps) {
            const bool apart = cycle.end <= gap.from + 60.0 || cycle.start >= gap.to - 60.0;
            CHECK(apart);
        }
    }
    REQUIRE(found.defrosts.size() == 2);
    CHECK_FALSE(found.defrosts[1].run_interval_h.has_value());
}
