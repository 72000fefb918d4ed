#include <array>
#include <cmath>
#include <random>

#include "present/calc_writers.hpp"
#include "unit/benchcalc/calculate.hpp"

using namespace frostread;

namespace {

// Sensible values, values at the edges, and things that are no values at all.
constexpr std::array<const char*, 53> kValues = {"0",
                                                 "-1",
                                                 "1e308",
                                                 "-1e308",
                                                 "nan",
                                                 "inf",
                                                 "OL",
                                                 "open",
                                                 "0 C",
                                                 "-60C",
                                                 "90C",
                                                 "80 C",
                                                 "1e-300",
                                                 "2 psi",
                                                 "30 inHg",
                                                 "-5 bar",
                                                 "0 kPa",
                                                 "1e9 kPa",
                                                 "100 kPa",
                                                 "0 ohm",
                                                 "1 ohm",
                                                 "5 kohm",
                                                 "0C=5k",
                                                 "25C=16k",
                                                 "0C=16k",
                                                 "25C=5k",
                                                 "60C=1k",
                                                 "=",
                                                 "0C=",
                                                 "R-600a",
                                                 "R-134a",
                                                 "low",
                                                 "freezer",
                                                 "50",
                                                 "60 Hz",
                                                 "230V",
                                                 "100 W",
                                                 "5 %",
                                                 "100 %",
                                                 "50 g",
                                                 "1000 g",
                                                 "0.5",
                                                 "3",
                                                 "1",
                                                 "20 min",
                                                 "0 min",
                                                 "",
                                                 "4uF",
                                                 "1 W/K",
                                                 "-20C",
                                                 "0.1 A",
                                                 "\xff\xfe",
                                                 "99999999999999999999 C"};

}  // namespace

TEST_CASE("Whatever is typed, a calculator gives finite numbers or a reason") {
    std::mt19937 draw(20310417);
    const auto pick = [&](std::size_t count) { return static_cast<std::size_t>(draw() % count); };
    int results = 0;
    for (int round = 0; round < 60000; ++round) {
        const auto& calculator = calculators()[pick(calculators().size())];
        CalcArguments arguments;
        for (const auto& input : calculator.inputs) {
            std::size_t times = (input.required ? pick(20) : pick(3)) == 0 ? 1 : 0;
            times = input.required ? 1 - times : times;
            times = input.kind == CalcInputKind::point ? pick(5) : times;
            for (std::size_t i = 0; i < times; ++i) {
                const bool known = input.kind == CalcInputKind::word && input.required && pick(4) != 0;
                arguments.emplace_back(std::string(input.name), input.kind == CalcInputKind::flag ? ""
                                                                : known                           ? "R-290"
                                                                        : kValues[pick(kValues.size())]);
            }
        }
        const auto units = pick(2) == 0 ? UnitPreference::si : UnitPreference::us;
        const auto result = calculate(calculator, arguments, units);
        if (!result) {
            REQUIRE_FALSE(result.diagnostics().empty());
            continue;
        }
        ++results;
        for (const auto* list : {&result->given, &result->figures}) {
            for (const auto& entry : *list) {
                INFO(calculator.name << " " << entry.key);
                REQUIRE((!entry.value || std::isfinite(*entry.value)));
            }
        }
        if (results % 50 == 0) {
            CHECK_FALSE(present::calc_text(*result).empty());
            CHECK_FALSE(present::calc_json(*result).empty());
        }
    }
    CHECK(results > 500);  // the draw reaches past the refusals
}
