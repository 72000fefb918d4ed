#include <map>

#include "frostread/templog.hpp"
#include "support/catch.hpp"
#include "support/log_generator.hpp"
#include "templog/compartments.hpp"

using namespace frostread;
using frostread::test::generate_log;
using frostread::test::LogRecipe;

namespace {

std::map<std::string, Reading> readings(const LogRecipe& recipe) {
    const auto made = generate_log(recipe);
    std::map<std::string, Reading> by_check;
    for (Reading& reading : readings_from_log(made.log, analyse_log(made.log), "kitchen.csv")) {
        by_check[reading.check] = std::move(reading);
    }
    return by_check;
}

}  // namespace

TEST_CASE("A good log gives every reading, with its file and period", "[templog]") {
    LogRecipe recipe;
    recipe.watts = recipe.coil = true;
    recipe.defrost_run_h = 8.0;
    const auto found = readings(recipe);
    CHECK(found.at("fridge-temp").typed == "3.5 degC");
    CHECK(found.at("freezer-temp").typed == "-18.0 degC");
    CHECK(found.at("fridge-swing").typed == "2.0 K");
    CHECK(found.at("freezer-swing").typed == "3.0 K");
    CHECK(found.at("run-time").typed == "40 %");
    CHECK(found.at("cycles-per-hour").typed == "1.00 1/h");
    CHECK(found.at("power-draw").typed == "95 W");
    CHECK(found.at("defrost-interval").value == Approx(8.0).margin(0.1));
    CHECK(found.at("defrost-seen").outcomes == std::vector<std::string>{"regular"});
    CHECK(found.count("pull-down-rate") == 1);
    for (const auto& [check, reading] : found) {
        CAPTURE(check);
        CHECK(reading.origin == "kitchen.csv");
        CHECK(reading.at == "2031-04-19T07:59:00");
        CHECK(reading.note.find("from the log: ") == 0);
        CHECK(reading.sure);
        CHECK(reading.after.at("log-24h"));
    }
    CHECK(found.at("run-time").note.find("2031-04-17T") != std::string::npos);
}

TEST_CASE("No defrost is claimed only after a day of running without one", "[templog]") {
    LogRecipe recipe;
    recipe.watts = true;
    recipe.hours = 48.0;
    CHECK(readings(recipe).count("defrost-seen") == 0);  // 19 h of running
    recipe.hours = 72.0;
    CHECK(readings(recipe).at("defrost-seen").outcomes.front() == "none");
    recipe.gaps = {{100000.0, 103000.0}};
    CHECK(readings(recipe).count("defrost-seen") == 0);  // one may hide in the gap
}

TEST_CASE("Defrosts that come too often or last too long are told", "[templog]") {
    LogRecipe recipe;
    recipe.watts = true;
    recipe.defrost_run_h = 1.2;
    recipe.defrost_min = 15.0;
    recipe.defrost_rise = 5.0;
    CHECK(readings(recipe).at("defrost-seen").outcomes.front() == "too-often");
    recipe.defrost_run_h = 8.0;
    recipe.defrost_min = 70.0;
    recipe.defrost_rise = 14.0;
    CHECK(readings(recipe).at("defrost-seen").outcomes.front() == "too-long");
}

TEST_CASE("A short log voids nothing when it is a night, and is no log of a day when it is an hour", "[templog]") {
    LogRecipe recipe;
    recipe.hours = 12.0;
    CHECK(readings(recipe).at("fridge-temp").after.count("log-24h") == 0);
    recipe.hours = 5.0;
    CHECK(readings(recipe).at("fridge-temp").after.at("log-24h") == false);
}

TEST_CASE("Cycles out of air temperatures alone are not sure", "[templog]") {
    LogRecipe recipe;
    recipe.freezer = false;
    const auto found = readings(recipe);
    CHECK_FALSE(found.at("run-time").sure);
    CHECK(found.count("freezer-temp") == 0);
    CHECK(found.count("pull-down-rate") == 0);
}

TEST_CASE("a day of rows is a day, however far apart they are") {
    LogFindings findings;
    findings.interval_s = 600.0;
    CHECK(templog::is_whole_day(143.0 / 6.0, findings));  // 144 rows
    CHECK_FALSE(templog::is_whole_day(142.0 / 6.0, findings));
    findings.interval_s = 60.0;
    CHECK(templog::is_whole_day(1439.0 / 60.0, findings));
    CHECK_FALSE(templog::is_whole_day(1438.0 / 60.0, findings));
}
