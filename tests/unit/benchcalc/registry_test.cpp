#include <algorithm>
#include <set>

#include "base/diagnostic_table.hpp"
#include "unit/benchcalc/calculate.hpp"

using namespace frostread;
using namespace frostread_tests;

namespace {

/// The arguments of an example line, in shell words: NAME --input VALUE --flag …
CalcArguments arguments_of(const Calculator& calculator, std::string_view example) {
    std::vector<std::string> words(1);
    bool quoted = false;
    for (const char letter : example) {
        if (letter == '\'') {
            quoted = !quoted;
        } else if (letter == ' ' && !quoted) {
            words.emplace_back();
        } else {
            words.back() += letter;
        }
    }
    REQUIRE(words.front() == calculator.name);
    CalcArguments arguments;
    for (std::size_t i = 1; i < words.size(); i += 2) {
        REQUIRE(words[i].substr(0, 2) == "--");
        REQUIRE(i + 1 < words.size());
        if (words[i] != "--into") {
            arguments.emplace_back(words[i].substr(2), words[i + 1]);
        }
    }
    return arguments;
}

}  // namespace

TEST_CASE("Every calculator says what it takes, by which formula, from where and how far") {
    std::set<std::string_view> names;
    CHECK(calculators().size() == 13);
    for (const auto& calculator : calculators()) {
        INFO(calculator.name);
        CHECK(names.insert(calculator.name).second);
        CHECK(find_calculator(calculator.name) == &calculator);
        CHECK_FALSE(calculator.summary.empty());
        CHECK(calculator.summary.back() != '.');
        CHECK_FALSE(calculator.purpose.empty());
        CHECK_FALSE(calculator.formula.empty());
        CHECK_FALSE(calculator.source.empty());
        CHECK_FALSE(calculator.range.empty());
        CHECK_FALSE(calculator.examples.empty());
        std::set<std::string_view> inputs;
        for (const auto& input : calculator.inputs) {
            INFO(input.name);
            CHECK(inputs.insert(input.name).second);
            CHECK_FALSE(input.help.empty());
            CHECK(input.low <= input.high);
        }
    }
    CHECK(find_calculator("sorcery") == nullptr);
}

TEST_CASE("Every example of every calculator runs in both unit habits, with formula, source and range") {
    for (const auto& calculator : calculators()) {
        for (const auto example : calculator.examples) {
            for (const auto units : {UnitPreference::si, UnitPreference::us}) {
                INFO(example);
                const auto result = calculate(calculator, arguments_of(calculator, example), units);
                REQUIRE(result.has_value());
                CHECK(result->calculator == calculator.name);
                CHECK_FALSE(result->figures.size() + result->given.size() == 0);
                CHECK_FALSE(result->formula.empty());
                CHECK_FALSE(result->source.empty());
                CHECK_FALSE(result->range.empty());
                CHECK(result->cautions.empty() == calculator.cautions.empty());
                // Either there is something for a case or it is said why not.
                CHECK(result->readings.empty() != result->no_reading.empty());
                for (const auto& reading : result->readings) {
                    CHECK((" " + std::string(calculator.checks) + " ").find(" " + reading.check + " ") !=
                          std::string::npos);
                }
            }
        }
    }
}

TEST_CASE("The units a person prefers change the text and never the numbers") {
    const CalcArguments arguments = {{"refrigerant", "R-134a"}, {"pressure", "2 psi"}, {"line", "-5 F"}};
    const auto si = calc("superheat", arguments, UnitPreference::si);
    const auto us = calc("superheat", arguments, UnitPreference::us);
    CHECK(number(si, "superheat") == Approx(number(us, "superheat")).epsilon(1e-12));
    CHECK(words(si, "line_temperature") == "-20.6 °C (-5 °F)");
    CHECK(words(us, "line_temperature") == "-5 °F (-20.6 °C)");
}

TEST_CASE("Bare numbers take the preferred unit") {
    const auto si = calc("dew-point", {{"room", "25"}, {"humidity", "50"}}, UnitPreference::si);
    const auto us = calc("dew-point", {{"room", "77"}, {"humidity", "50"}}, UnitPreference::us);
    CHECK(number(si, "dew_point") == Approx(number(us, "dew_point")).margin(1e-9));
}

TEST_CASE("Inputs are refused with what was expected") {
    const auto unknown = refused("heater", {{"volts", "230"}, {"watts", "250"}, {"ohm", "200"}});
    CHECK(unknown.id == "unknown-input");
    CHECK(unknown.suggestion == "--ohms");
    CHECK(refused("heater", {{"volts", "230"}, {"volts", "120"}, {"watts", "250"}}).id == "given-twice");
    CHECK(refused("heater", {{"volts", "230 C"}, {"watts", "250"}}).what.find("--volts") == 0);
    const auto range = refused("heater", {{"volts", "23000"}, {"watts", "250"}});
    CHECK(range.id == "out-of-range");
    CHECK(range.expected == "6 V to 500 V");
    const auto fluid = refused("saturation", {{"refrigerant", "R-143a"}, {"temperature", "0 C"}});
    CHECK(fluid.id == "unknown-word");
    CHECK(fluid.suggestion == "R-134a");
    CHECK(fluid.expected == "R-134a, R-600a, R-290, R-12, R-22 or R-1234yf");
    CHECK(refused("saturation", {{"refrigerant", "R-12"}, {"temperature", "0 C"}, {"barometer", "2 bar"}}).id ==
          "out-of-range");
    CHECK(refused("saturation",
                  {{"refrigerant", "R-12"}, {"temperature", "0 C"}, {"barometer", "1 bar"}, {"altitude", "5 m"}})
              .id == "inputs-conflict");
    CHECK(refused("saturation", {{"refrigerant", "R-12"}, {"temperature", "0 C"}, {"pressure", "1 bar"}}).id ==
          "inputs-conflict");
}

TEST_CASE("All wrong inputs are reported at once") {
    const auto result = calculate(*find_calculator("heater"), {{"volts", "x"}, {"ohms", "7 C"}}, UnitPreference::si);
    CHECK_FALSE(result.has_value());
    CHECK(result.diagnostics().size() == 3);  // volts, ohms, and watts missing
}

TEST_CASE("Every refusal of a calculator is listed with its cure") {
    const std::vector<std::pair<const char*, CalcArguments>> refusals = {
        {"heater", {{"volts", "230"}, {"watts", "250"}, {"ohm", "200"}}},
        {"heater", {{"volts", "230"}, {"volts", "120"}, {"watts", "250"}}},
        {"heater", {{"volts", "23000"}, {"watts", "250"}}},
        {"heater", {{"volts", "230"}}},
        {"power", {{"volts", "230"}, {"amps", "1"}}},
        {"saturation", {{"refrigerant", "R-143a"}, {"temperature", "0 C"}}},
        {"thermistor", {{"point", "0C 16.3kohm"}, {"point", "25C=5k"}, {"ohms", "10 kohm"}}},
        {"thermistor", {{"point", "0C=5k"}, {"point", "25C=16k"}, {"ohms", "10 kohm"}}}};
    for (const auto& [name, arguments] : refusals) {
        const std::string id = refused(name, arguments).id;
        INFO(id);
        const auto table = diagnostic_table();
        CHECK(std::any_of(table.begin(), table.end(), [&](const DiagnosticEntry& entry) { return entry.id == id; }));
    }
}
