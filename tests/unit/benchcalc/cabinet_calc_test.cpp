#include "unit/benchcalc/calculate.hpp"

using namespace frostread;
using namespace frostread_tests;

TEST_CASE("A surface below the dew point sweats, below freezing it frosts") {
    const auto at = [](const char* surface) {
        return calc("dew-point", {{"room", "25 C"}, {"humidity", "70 %"}, {"surface", surface}});
    };
    CHECK(number(at("25 C"), "dew_point") == Approx(19.15).margin(0.01));
    CHECK(at("23 C").verdict == "dry");
    CHECK(at("19.5 C").verdict == "near");
    CHECK(at("17 C").verdict == "sweats");
    CHECK(at("-2 C").verdict == "frosts");
    CHECK(at("17 C").readings.size() == 2);
    CHECK(refused("dew-point", {{"room", "25 C"}, {"humidity", "120 %"}}).id == "out-of-range");
    CHECK(refused("dew-point", {{"room", "25 C"}}).id == "input-missing");
}

TEST_CASE("Dry cold air has a frost point and says so") {
    const auto result = calc("dew-point", {{"room", "10 C"}, {"humidity", "20 %"}});
    CHECK(number(result, "dew_point") == Approx(-10.636).margin(0.001));
    CHECK(result.notes.at(0).find("frost point") != std::string::npos);
}

TEST_CASE("Run time needs one heat load and one capacity") {
    CHECK(refused("run-time", {{"capacity", "150 W"}}).id == "inputs-conflict");
    CHECK(refused("run-time", {{"load", "50 W"}}).id == "inputs-conflict");
    CHECK(refused("run-time", {{"load", "50 W"}, {"leak", "2 W/K"}, {"capacity", "150 W"}}).id == "inputs-conflict");
    CHECK(refused("run-time", {{"leak", "2 W/K"}, {"capacity", "150 W"}}).id == "input-missing");
    CHECK(refused("run-time", {{"load", "50 W"}, {"capacity", "150 W"}, {"on", "5 min"}}).id == "input-missing");
    CHECK(refused("run-time", {{"load", "50 W"}, {"power", "150 W"}}).id == "inputs-conflict");
    CHECK(refused("run-time", {{"leak", "2 W/K"}, {"room", "3 C"}, {"inside", "5 C"}, {"capacity", "150 W"}}).id ==
          "out-of-range");
}

TEST_CASE("A timed cycle is compared with what the cabinet asks for") {
    const auto timed = [](const char* on, const char* off) {
        return calc("run-time", {{"load", "60 W"}, {"capacity", "150 W"}, {"on", on}, {"off", off}});
    };
    CHECK(timed("20 min", "30 min").verdict == "as-expected");
    CHECK(timed("50 min", "10 min").verdict == "longer");
    CHECK(timed("5 min", "40 min").verdict == "shorter");
    CHECK(timed("20 min", "30 min").readings.at(0).value == "40 %");
    CHECK(calc("run-time", {{"load", "200 W"}, {"capacity", "150 W"}}).verdict == "cannot-hold");
    CHECK(calc("run-time", {{"load", "200 W"}, {"capacity", "150 W"}}).readings.empty());
}

TEST_CASE("A loss of charge is named by how it is noticed") {
    const auto left = [](const char* present) {
        return calc("charge", {{"refrigerant", "R-134a"}, {"rated", "100 g"}, {"present", present}});
    };
    CHECK(left("98 g").verdict == "none");
    CHECK(left("90 g").verdict == "slight");
    CHECK(left("78 g").verdict == "noticed");
    CHECK(left("50 g").verdict == "marked");
    CHECK(left("10 g").verdict == "lost");
    CHECK(left("120 g").verdict == "overcharged");
    CHECK(number(left("78 g"), "share_lost") == Approx(22.0));
    CHECK(words(left("50 g"), "capacity_lost") == "15 to 25 %");
    CHECK(refused("charge", {{"refrigerant", "R-134a"}, {"rated", "100 g"}, {"lost", "120 g"}}).id ==
          "inputs-conflict");
    // one ounce out of five is noticed, by the rule of thumb
    CHECK(calc("charge", {{"refrigerant", "R-134a"}, {"rated", "5 oz"}, {"lost", "1 oz"}}).verdict == "noticed");
}

TEST_CASE("A charge that burns is held against the household limit") {
    CHECK(words(calc("charge", {{"refrigerant", "R-600a"}, {"rated", "52 g"}}), "within_limit") == "within the limit");
    CHECK(words(calc("charge", {{"refrigerant", "R-290"}, {"rated", "160 g"}}), "within_limit") == "above the limit");
    const auto result = calc("charge", {{"refrigerant", "R-290"}, {"rated", "100 g"}});
    CHECK(result.cautions.at(0).id == "flammable-refrigerant");
    CHECK(number(result, "flammable_limit") == Approx(150.0));
    CHECK(result.traits.size() == 2);
}
