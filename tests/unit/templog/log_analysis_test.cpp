#include <cmath>

#include "frostread/templog.hpp"
#include "support/catch.hpp"
#include "support/log_generator.hpp"
#include "templog/cycles.hpp"
#include "templog/events.hpp"
#include "templog/series.hpp"

using namespace frostread;
using frostread::test::generate_log;
using frostread::test::LogRecipe;

namespace {

/// A log of one channel with the value of each minute.
template <class Value>
Log minutes(LogChannel channel, std::size_t count, Value value) {
    Log log;
    log.name = "made.csv";
    for (std::size_t i = 0; i < count; ++i) {
        log.seconds.push_back(60.0 * static_cast<double>(i));
        log.values[static_cast<std::size_t>(channel)].push_back(static_cast<float>(value(i)));
    }
    return log;
}

}  // namespace

TEST_CASE("Power is split into idle, compressor and heater", "[templog]") {
    std::vector<float> watts;
    const auto add = [&](int count, float value) { watts.insert(watts.end(), static_cast<std::size_t>(count), value); };
    SECTION("compressor alone") {
        add(600, 2);
        add(400, 95);
        const auto levels = templog::power_levels(watts);
        REQUIRE(levels.on_limit);
        CHECK(*levels.on_limit > 10);
        CHECK(*levels.on_limit < 90);
    }
    SECTION("a heater far above the compressor") {
        add(580, 2);
        add(380, 95);
        add(40, 350);
        const auto levels = templog::power_levels(watts);
        REQUIRE(levels.on_limit);
        REQUIRE(levels.heater_limit);
        CHECK(*levels.on_limit < 90);
        CHECK(*levels.heater_limit > 100);
        CHECK(*levels.heater_limit < 345);
    }
    SECTION("a compressor that never stops, and a heater") {
        add(960, 90);
        add(40, 300);
        const auto levels = templog::power_levels(watts);
        CHECK(levels.always_on);
        REQUIRE(levels.heater_limit);
        CHECK(*levels.on_limit < 85);
    }
    SECTION("a dead compressor: only the board, a fan and the heater") {
        add(960, 4);
        add(40, 300);
        const auto levels = templog::power_levels(watts);
        CHECK_FALSE(levels.on_limit.has_value());
        REQUIRE(levels.heater_limit);
    }
    SECTION("nothing but a board") {
        add(1000, 3);
        CHECK_FALSE(templog::power_levels(watts).on_limit.has_value());
    }
}

TEST_CASE("A compressor that never stops is said to run all the time", "[templog]") {
    const Log log =
        minutes(LogChannel::watts, 1440, [](std::size_t i) { return 95.0 + 2.0 * static_cast<double>(i % 3); });
    const LogFindings found = analyse_log(log);
    REQUIRE(found.run_share);
    CHECK(*found.run_share == Approx(1.0));
    CHECK(found.cycles.empty());
    CHECK(*found.cycles_per_hour == 0.0);
    CHECK(*found.running_watts == Approx(97.0));
}

TEST_CASE("A temperature that does not move is no run time", "[templog]") {
    const Log log = minutes(LogChannel::freezer, 1440, [](std::size_t) { return -18.0; });
    const LogFindings found = analyse_log(log);
    CHECK(found.run_source == RunSource::none);
    CHECK_FALSE(found.run_share.has_value());
    CHECK(found.remarks.front().find("does not swing") != std::string::npos);
    for (const Reading& reading : readings_from_log(log, found, "made.csv")) {
        CHECK(reading.check != "run-time");
    }
}

TEST_CASE("Bursts of power under a minute are told from runs", "[templog]") {
    Log log;
    for (int s = 0; s < 4 * 3600; ++s) {
        log.seconds.push_back(s);
        log.values[static_cast<std::size_t>(LogChannel::watts)].push_back(s % 300 < 8 ? 900.0F : 3.0F);
    }
    const LogFindings found = analyse_log(log);
    CHECK(found.short_bursts >= 40);
    CHECK(found.run_share.value_or(0.0) < 0.01);
    CHECK(found.defrosts.empty());
}

TEST_CASE("The food caution comes after two hours above 4 °C and not before", "[templog]") {
    const auto warm_for = [](int warm_minutes) {
        return minutes(LogChannel::fridge, 1440, [=](std::size_t i) {
            const bool warm = i >= 300 && i < 300 + static_cast<std::size_t>(warm_minutes);
            return warm ? 6.0 : 3.0 + 0.5 * std::sin(static_cast<double>(i) / 6.0);
        });
    };
    CHECK(analyse_log(warm_for(110)).cautions.empty());
    const LogFindings found = analyse_log(warm_for(130));
    REQUIRE(found.cautions.size() == 1);
    CHECK(found.cautions.front().id == "food-warm");
    CHECK(found.compartments.front().longest_above_h == Approx(130.0 / 60.0).margin(0.05));
    CHECK(found.compartments.front().hours_above == Approx(130.0 / 60.0).margin(0.05));
}

TEST_CASE("Short dips below the limit do not end a warm spell; a warm mean counts as one", "[templog]") {
    const Log dips = minutes(LogChannel::fridge, 600,
                             [](std::size_t i) { return i > 200 && i < 400 ? (i % 20 < 5 ? 3.9 : 5.0) : 3.0; });
    CHECK(analyse_log(dips).cautions.size() == 1);
    // Air that swings around 5 °C never stays above for long, yet the food is at 5 °C.
    const Log swings = minutes(LogChannel::fridge, 1440,
                               [](std::size_t i) { return 5.0 + 2.5 * std::sin(static_cast<double>(i) / 8.0); });
    CHECK(analyse_log(swings).cautions.size() == 1);
    const Log cold = minutes(LogChannel::fridge, 1440,
                             [](std::size_t i) { return 3.5 + 2.5 * std::sin(static_cast<double>(i) / 8.0); });
    CHECK(analyse_log(cold).cautions.empty());
}

TEST_CASE("A coil that clears itself in every cycle is no row of defrosts", "[templog]") {
    // Cold plate in the fresh-food compartment: −20 while running, +4 before each start.
    const Log log = minutes(LogChannel::evaporator, 2880, [](std::size_t i) {
        const std::size_t phase = i % 60;
        return phase < 20 ? 4.0 - 1.2 * static_cast<double>(phase) : -20.0 + 0.6 * static_cast<double>(phase - 20);
    });
    const LogFindings found = analyse_log(log);
    CHECK(found.defrosts.empty());
    CHECK(found.defrost_each_cycle);
    CHECK(*found.steady_run_share == Approx(1.0 / 3.0).margin(0.03));
}

TEST_CASE("The first pull-down is no steady period", "[templog]") {
    LogRecipe recipe;
    const auto made = generate_log(recipe);
    Log log = made.log;
    auto& freezer = log.values[static_cast<std::size_t>(LogChannel::freezer)];
    auto& fridge = log.values[static_cast<std::size_t>(LogChannel::fridge)];
    for (std::size_t i = 0; i < 300; ++i) {
        const float left = 1.0F - static_cast<float>(i) / 300.0F;
        freezer[i] += 38.0F * left;
        fridge[i] += 17.0F * left;
    }
    const LogFindings found = analyse_log(log);
    REQUIRE_FALSE(found.steady.empty());
    CHECK(found.steady.front().from >= 4.0 * 3600.0);
    CHECK(*found.compartments[1].steady_mean == Approx(-18.0).margin(0.1));
    CHECK(found.compartments[1].mean > -17.0);
}

TEST_CASE("Turning points keep off plateaus and noise", "[templog]") {
    const std::vector<float> steps{0, 1, 2, 2, 2, 1, 0, 0, 0, 1, 2, 3};
    const auto extremes = templog::find_extremes(steps, 1.5);
    REQUIRE(extremes.size() == 2);
    CHECK(extremes[0].high);
    CHECK(extremes[0].at == 3);
    CHECK(extremes[1].at == 7);
    const float gap = std::nanf("");
    const std::vector<float> broken{0, 2, 0, gap, gap, 2, 0, 2};
    for (const auto& extreme : templog::find_extremes(broken, 1.5)) {
        CHECK(extreme.after_break);
    }
}
