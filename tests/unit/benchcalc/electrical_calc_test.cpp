#include "unit/benchcalc/calculate.hpp"

using namespace frostread;
using namespace frostread_tests;

TEST_CASE("A heater reading is judged against its rating") {
    const auto read = [](const char* ohms) {
        return calc("heater", {{"volts", "120 V"}, {"watts", "400 W"}, {"ohms", ohms}});
    };
    CHECK(read("36 ohm").verdict == "agrees");
    CHECK(read("39.5 ohm").verdict == "agrees");
    CHECK(read("40 ohm").verdict == "high");
    CHECK(read("32 ohm").verdict == "low");
    CHECK(read("2 ohm").verdict == "shorted");
    CHECK(read("OL").verdict == "open");
    CHECK(read("2 Mohm").verdict == "open");
    CHECK(read("36 ohm").readings.at(0).value == "agrees");
    CHECK(read("OL").readings.at(0).value == "open");
    CHECK(read("46 ohm").readings.empty());
    CHECK_FALSE(read("46 ohm").no_reading.empty());
    CHECK(number(read("45 ohm"), "deviation_percent") == Approx(25.0));
    CHECK(number(calc("heater", {{"volts", "230"}, {"watts", "250"}, {"supply", "207"}}), "watts_at_supply") ==
          Approx(202.5));
    CHECK(calc("heater", {{"volts", "230"}, {"watts", "250"}}).readings.empty());
}

TEST_CASE("A wider tolerance lets a reading agree") {
    const auto wide = calc("heater", {{"volts", "120"}, {"watts", "400"}, {"ohms", "40"}, {"tolerance", "15 %"}});
    CHECK(wide.verdict == "agrees");
}

TEST_CASE("Winding readings go into a case only when they name the fault") {
    const auto sound = calc("windings", {{"r12", "15 ohm"}, {"r13", "4 ohm"}, {"r23", "11 ohm"}});
    CHECK(sound.readings.at(0).value == "adds-up");
    CHECK(words(sound, "common") == "pin 3");
    const auto unknown = calc("windings", {{"r12", "open"}, {"r13", "open"}, {"r23", "7 ohm"}});
    CHECK(unknown.readings.empty());
    CHECK_FALSE(unknown.no_reading.empty());
    const auto known =
        calc("windings", {{"r12", "open"}, {"r13", "open"}, {"r23", "14 ohm"}, {"common", "1"}, {"run", "2"}});
    CHECK(known.readings.at(0).value == "common-open");
    CHECK(refused("windings", {{"r12", "4"}, {"r13", "5"}, {"r23", "9"}, {"common", "2"}, {"run", "2"}}).id ==
          "inputs-conflict");
    CHECK(refused("windings", {{"r12", "4"}, {"r13", "5"}}).id == "input-missing");
    const auto three = calc("windings", {{"r12", "10"}, {"r13", "10"}, {"r23", "10.2"}});
    CHECK(three.verdict == "equal");
    CHECK(three.readings.at(0).value == "adds-up");
}

TEST_CASE("A diagram that disagrees with the readings is pointed out") {
    const auto result = calc("windings", {{"r12", "15"}, {"r13", "4"}, {"r23", "11"}, {"common", "1"}, {"run", "2"}});
    bool said = false;
    for (const auto& note : result.notes) {
        said = said || note.find("diagram") != std::string::npos;
    }
    CHECK(said);
}

TEST_CASE("Insulation is earthed, poor or sound") {
    CHECK(calc("earth", {{"ohms", "0.4 Mohm"}}).verdict == "earthed");
    CHECK(calc("earth", {{"ohms", "4 Mohm"}}).verdict == "poor");
    CHECK(calc("earth", {{"ohms", "20 Mohm"}}).verdict == "sound");
    CHECK(calc("earth", {{"ohms", "OL"}}).verdict == "sound");
    CHECK(calc("earth", {{"ohms", "OL"}}).readings.at(0).value == "sound");
    CHECK(calc("earth", {{"ohms", "0.4 Mohm"}}).readings.at(0).value == "0.4 Mohm");
    // "mohm" may be a million or a thousandth: never guessed
    CHECK(refused("earth", {{"ohms", "5 mohm"}}).what.find("--ohms") != std::string::npos);
}

TEST_CASE("Power takes exactly two of three and refuses the impossible") {
    const auto watts = calc("power", {{"volts", "230 V"}, {"amps", "0.8696 A"}, {"pf", "0.6"}});
    CHECK(number(watts, "watts") == Approx(120.0).margin(0.01));
    const auto amps = calc("power", {{"volts", "120 V"}, {"watts", "100 W"}, {"pf", "0.6"}});
    CHECK(number(amps, "amps") == Approx(1.3889).margin(0.0001));
    CHECK(refused("power", {{"volts", "230"}, {"amps", "1"}}).id == "inputs-conflict");
    CHECK(refused("power", {{"volts", "230"}, {"amps", "1"}, {"watts", "300"}}).id == "inputs-conflict");
    CHECK(amps.cautions.at(0).id == "live-test");
    const auto plate = calc("power", {{"volts", "230"}, {"amps", "1.2"}, {"watts", "150"}, {"rated-amps", "1.0"}});
    REQUIRE(plate.readings.size() == 2);
    CHECK(plate.readings[0].check == "running-current");
    CHECK(plate.readings[0].value == "120 %");
    CHECK(plate.readings[1].value == "150 W");
}

TEST_CASE("A run capacitor is judged against its marking") {
    const auto read = [](const char* measured) {
        return calc("capacitor", {{"measured", measured}, {"rated", "4 uF"}});
    };
    CHECK(read("4.0 uF").verdict == "good");
    CHECK(read("3.77 uF").verdict == "good");
    CHECK(read("3.7 uF").verdict == "weak");
    CHECK(read("0.1 uF").verdict == "dead");
    CHECK(read("4.5 uF").verdict == "high");
    CHECK(read("3.7 uF").readings.at(0).value == "92.5 %");
    CHECK(read("3.7 uF").cautions.at(0).id == "capacitor-charge");
    const auto live = calc("capacitor", {{"amps", "0.28903"}, {"volts", "230"}, {"hertz", "50 Hz"}, {"rated", "4"}});
    CHECK(number(live, "capacitance") == Approx(4.0).margin(0.0005));
    CHECK(refused("capacitor", {{"amps", "1"}, {"volts", "230"}}).id == "input-missing");
    CHECK(refused("capacitor", {{"amps", "1"}, {"volts", "230"}, {"hertz", "400"}}).id == "out-of-range");
    CHECK(refused("capacitor", {{"rated", "4"}}).id == "inputs-conflict");
}

TEST_CASE("A sensor is judged by how far it is off its own table") {
    const auto read = [](const char* ohms) {
        return calc("thermistor", {{"point", "0 C=16325 ohm"},
                                   {"point", "25 C=5 kohm"},
                                   {"ohms", ohms},
                                   {"temperature", "0 C"},
                                   {"sensor", "freezer"}});
    };
    CHECK(read("16.3 kohm").verdict == "agrees");
    CHECK(read("21 kohm").verdict == "reads-cold");
    CHECK(read("12 kohm").verdict == "reads-warm");
    CHECK(read("open").verdict == "open");
    CHECK(read("3 ohm").verdict == "shorted");
    CHECK(read("9 Mohm").verdict == "open");
    CHECK(read("21 kohm").readings.at(0).check == "freezer-sensor");
    CHECK(read("21 kohm").readings.at(0).value == "28.6 %");
    CHECK(read("open").readings.at(0).value == "open");
    CHECK(number(read("21 kohm"), "deviation_percent") == Approx(28.64).margin(0.01));
    // 28.6 % at 4.9 to 5.2 % a kelvin is close to 5 K colder
    CHECK(number(read("21 kohm"), "deviation_k") == Approx(-4.8).margin(0.3));
}

TEST_CASE("A sensor needs one curve") {
    CHECK(refused("thermistor", {{"ohms", "10 kohm"}}).id == "input-missing");
    CHECK(refused("thermistor", {{"point", "0C=16.3kohm"}, {"ohms", "10 kohm"}}).id == "inputs-conflict");
    CHECK(refused("thermistor", {{"point", "0C 16.3kohm"}, {"point", "25C=5k"}, {"ohms", "10 kohm"}}).id ==
          "point-unclear");
    CHECK(refused("thermistor", {{"point", "0C=5k"}, {"point", "25C=16k"}, {"ohms", "10 kohm"}}).id ==
          "points-contradict");
    CHECK(refused("thermistor", {{"beta", "3435"}, {"ohms", "10 kohm"}}).id == "input-missing");
    CHECK(refused("thermistor", {{"beta", "3435"}, {"ohms-at", "10k"}}).id == "input-missing");
    const auto by_beta = calc("thermistor", {{"beta", "3435"}, {"ohms-at", "10 kohm"}, {"temperature", "-18 C"}});
    CHECK(number(by_beta, "expected_ohm") == Approx(69.7e3).epsilon(0.002));
}
