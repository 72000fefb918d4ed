#include "unit/benchcalc/calculate.hpp"

using namespace frostread;
using namespace frostread_tests;

TEST_CASE("A manifold reading is taken over the air pressure of the place") {
    const auto sea = calc("saturation", {{"refrigerant", "R-134a"}, {"pressure", "0 psi"}});
    CHECK(number(sea, "temperature") == Approx(-26.074).margin(0.01));
    const auto high = calc("saturation", {{"refrigerant", "R-134a"}, {"pressure", "0 psi"}, {"altitude", "1500 m"}});
    CHECK(number(high, "air_pressure") == Approx(84.56).margin(0.02));
    CHECK(number(high, "pressure") == Approx(84.56).margin(0.02));
    const auto weather = calc("saturation", {{"refrigerant", "134a"}, {"pressure", "0 bar"}, {"barometer", "990 hPa"}});
    CHECK(number(weather, "pressure") == Approx(99.0));
    const auto us =
        calc("saturation", {{"refrigerant", "134a"}, {"pressure", "0"}, {"barometer", "29.92"}}, UnitPreference::us);
    CHECK(number(us, "pressure") == Approx(101.32).margin(0.01));
}

TEST_CASE("Absolute units do not move with the air, and flags say otherwise") {
    const CalcArguments absolute = {{"refrigerant", "R-600a"}, {"pressure", "120 kPa"}, {"altitude", "3000 m"}};
    CHECK(number(calc("saturation", absolute), "pressure") == Approx(120.0));
    auto gauge = absolute;
    gauge.emplace_back("gauge", "");
    CHECK(number(calc("saturation", gauge), "pressure") == Approx(120.0 + standard_air_pressure(3000.0)));
    CHECK(number(calc("saturation", {{"refrigerant", "R-600a"}, {"pressure", "17.4 psi"}, {"absolute", ""}}),
                 "pressure") == Approx(17.4 * 6.894757293168));
    CHECK(
        refused("saturation", {{"refrigerant", "R-600a"}, {"pressure", "1 bar"}, {"absolute", ""}, {"gauge", ""}}).id ==
        "inputs-conflict");
}

TEST_CASE("A vacuum on the gauge is below the air") {
    const auto result = calc("saturation", {{"refrigerant", "R-600a"}, {"pressure", "10 inHg"}}, UnitPreference::us);
    CHECK(number(result, "pressure") == Approx(101.325 - 33.864).margin(0.01));
    CHECK(words(result, "pressure_gauge") == "vacuum of 10 inHg (33.9 kPa)");
    CHECK(refused("saturation", {{"refrigerant", "R-600a"}, {"pressure", "31 inHg"}}).id == "out-of-range");
}

TEST_CASE("Outside the range saturation is refused with the range") {
    const auto cold = refused("saturation", {{"refrigerant", "R-600a"}, {"temperature", "-70 C"}});
    CHECK(cold.id == "out-of-range");
    CHECK(cold.expected == "-60 °C to 80 °C");
    const auto high = refused("saturation", {{"refrigerant", "R-600a"}, {"pressure", "40 bar"}});
    CHECK(high.id == "out-of-range");
    CHECK(high.expected.find("-60 to +80 °C") != std::string::npos);
    CHECK(refused("superheat", {{"refrigerant", "R-134a"}, {"pressure", "50 bar"}, {"line", "0 C"}}).id ==
          "out-of-range");
}

TEST_CASE("A pressure that no circuit holds is refused before anything is worked out") {
    const auto high = refused("standing", {{"refrigerant", "R-290"}, {"pressure", "1e308"}, {"temperature", "20 C"}});
    CHECK(high.id == "out-of-range");
    CHECK(high.expected.find("10000 kPa") != std::string::npos);
}

TEST_CASE("Superheat and subcooling are differences to the saturation temperature") {
    // R-134a boils at -20 degC at 132.735 kPa (reference equation of state).
    const auto superheat =
        calc("superheat", {{"refrigerant", "R-134a"}, {"pressure", "132.735 kPa"}, {"line", "-14 C"}});
    CHECK(number(superheat, "superheat") == Approx(6.0).margin(0.01));
    CHECK(superheat.verdict == "usual");
    REQUIRE(superheat.readings.size() == 1);
    CHECK(superheat.readings[0].check == "superheat");
    CHECK(superheat.readings[0].value == "6 K");
    // R-600a condenses at 40 degC at 530.99 kPa or so; taken from our own curve, tested elsewhere.
    const double kpa = saturation_kpa("R-600a", 40.0).value();
    const auto subcooling =
        calc("subcooling", {{"refrigerant", "R-600a"}, {"pressure", std::to_string(kpa) + " kPa"}, {"line", "35 C"}});
    CHECK(number(subcooling, "subcooling") == Approx(5.0).margin(0.001));
    CHECK(subcooling.verdict == "usual");
}

TEST_CASE("Superheat and subcooling below zero are wrong readings and go into no case") {
    const auto superheat =
        calc("superheat", {{"refrigerant", "R-134a"}, {"pressure", "132.735 kPa"}, {"line", "-24 C"}});
    CHECK(superheat.verdict == "impossible");
    CHECK(superheat.readings.empty());
    CHECK_FALSE(superheat.no_reading.empty());
    const auto subcooling =
        calc("subcooling", {{"refrigerant", "R-134a"}, {"pressure", "1016.59 kPa"}, {"line", "45 C"}});
    CHECK(subcooling.verdict == "impossible");
    CHECK(subcooling.readings.empty());
}

TEST_CASE("A standing pressure tells liquid, vapour and loss apart") {
    const auto at = [](const char* pressure) {
        return calc("standing", {{"refrigerant", "R-134a"}, {"pressure", pressure}, {"temperature", "20 C"}});
    };
    // 571.7 kPa is saturation at 20 degC
    CHECK(at("571.7 kPa").verdict == "matches-saturation");
    CHECK(at("545 kPa").verdict == "matches-saturation");
    CHECK(at("400 kPa").verdict == "low");
    CHECK(at("105 kPa").verdict == "lost");
    CHECK(at("205 kPa").verdict == "low");
    CHECK(at("195 kPa").verdict == "lost");
    CHECK(at("60 kPa").verdict == "lost");
    CHECK(at("640 kPa").verdict == "above");
    CHECK(at("640 kPa").readings.empty());
    CHECK(at("400 kPa").readings.at(0).value == "low");
    CHECK(number(at("400 kPa"), "share") == Approx(69.97).margin(0.05));
}

TEST_CASE("Every pressure carries its cautions, and a refrigerant that burns says so first") {
    for (const char* name : {"superheat", "subcooling"}) {
        const auto result = calc(name, {{"refrigerant", "R-600a"}, {"pressure", "150 kPa"}, {"line", "0 C"}});
        REQUIRE(result.cautions.size() == 3);
        CHECK(result.cautions[0].id == "flammable-refrigerant");
    }
    const auto tame = calc("saturation", {{"refrigerant", "R-134a"}, {"temperature", "0 C"}});
    REQUIRE(tame.cautions.size() == 2);
    CHECK(tame.cautions[0].id == "licensed-only");
}
