#pragma once

#include <string>

#include "frostread/bench_calc.hpp"
#include "support/catch.hpp"

namespace frostread_tests {

inline frostread::CalcResult calc(const char* name, const frostread::CalcArguments& arguments,
                                  frostread::UnitPreference units = frostread::UnitPreference::si) {
    const auto* calculator = frostread::find_calculator(name);
    REQUIRE(calculator != nullptr);
    auto result = frostread::calculate(*calculator, arguments, units);
    for (const auto& problem : result.diagnostics()) {
        UNSCOPED_INFO(problem.id << ": " << problem.what << " / " << problem.expected);
    }
    REQUIRE(result.has_value());
    return *result;
}

/// The refusal; fails the test when there is a result.
inline frostread::Diagnostic refused(const char* name, const frostread::CalcArguments& arguments,
                                     frostread::UnitPreference units = frostread::UnitPreference::si) {
    const auto* calculator = frostread::find_calculator(name);
    REQUIRE(calculator != nullptr);
    const auto result = frostread::calculate(*calculator, arguments, units);
    REQUIRE_FALSE(result.has_value());
    REQUIRE_FALSE(result.diagnostics().empty());
    return result.diagnostics().front();
}

inline double number(const frostread::CalcResult& result, const std::string& key) {
    for (const auto* list : {&result.given, &result.figures}) {
        for (const auto& entry : *list) {
            if (entry.key == key) {
                REQUIRE(entry.value.has_value());
                return *entry.value;
            }
        }
    }
    FAIL("no figure " << key);
    return 0.0;
}

inline std::string words(const frostread::CalcResult& result, const std::string& key) {
    for (const auto* list : {&result.given, &result.figures}) {
        for (const auto& entry : *list) {
            if (entry.key == key) {
                return entry.text;
            }
        }
    }
    FAIL("no figure " << key);
    return "";
}

}  // namespace frostread_tests
