#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "frostread/bench_calc.hpp"

namespace frostread {

/// The parsed arguments of one calculator: every value is in canonical units and inside the range
/// its input states. What the values mean together is for the calculator to judge.
class CalcInputs {
public:
    /// Errors for all arguments at once; an absent required input is one too.
    [[nodiscard]] static Result<CalcInputs> parse(const Calculator& calculator, const CalcArguments& arguments,
                                                  UnitPreference units);

    [[nodiscard]] const Calculator& calculator() const { return *calculator_; }
    [[nodiscard]] UnitPreference units() const { return units_; }

    [[nodiscard]] bool has(std::string_view name) const { return values_.count(std::string(name)) > 0; }
    /// Canonical number; requires has(name).
    [[nodiscard]] double number(std::string_view name) const { return value(name).number; }
    [[nodiscard]] double number_or(std::string_view name, double otherwise) const {
        return has(name) ? number(name) : otherwise;
    }
    [[nodiscard]] const std::string& word(std::string_view name) const { return value(name).word; }
    /// A resistance input where the meter shows no path.
    [[nodiscard]] bool is_open(std::string_view name) const { return value(name).open; }
    [[nodiscard]] std::vector<ThermistorPoint> points(std::string_view name) const;

    /// Air pressure: the barometer, else from the altitude, else one standard atmosphere; kPa.
    [[nodiscard]] double air_kpa() const { return air_kpa_; }
    [[nodiscard]] bool air_assumed() const { return air_assumed_; }

private:
    struct Value {
        std::string typed;
        double number = 0.0;
        std::string word;
        bool open = false;
        std::vector<ThermistorPoint> points;
    };
    CalcInputs() = default;
    [[nodiscard]] const Value& value(std::string_view name) const { return values_.at(std::string(name)); }
    void settle_air(const CalcArguments& arguments, Diagnostics& problems);
    void settle_value(const CalcInput& input, std::string_view typed, Diagnostics& problems);
    void settle_pressure(const CalcInput& input, std::string_view typed, Diagnostics& problems);
    void settle_point(const CalcInput& input, std::string_view typed, Diagnostics& problems);

    const Calculator* calculator_ = nullptr;
    UnitPreference units_ = UnitPreference::si;
    double air_kpa_ = kStandardAtmosphere;
    bool air_assumed_ = true;
    std::map<std::string, Value> values_;
};

/// An error about inputs: what is wrong and what was expected.
[[nodiscard]] Diagnostic calc_error(std::string id, std::string what, std::string expected,
                                    std::string suggestion = "");

/// "--temperature"
[[nodiscard]] std::string option_words(std::string_view name);

}  // namespace frostread
