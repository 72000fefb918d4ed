#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "frostread/result.hpp"

/// Quantities with units of measure, as a person types them: "15F", "-18 C", "1.2 kohm", "3 psi".
namespace frostread {

enum class Dimension {
    temperature,             ///< canonical degC
    temperature_difference,  ///< canonical K; never mixed with temperature
    resistance,              ///< canonical ohm
    power,                   ///< canonical W
    pressure,                ///< canonical kPa absolute
    percent,                 ///< canonical %
    time,                    ///< canonical h
    voltage,                 ///< canonical V
    current,                 ///< canonical A
    mass,                    ///< canonical g
    capacitance,             ///< canonical uF
    frequency,               ///< canonical 1/h (events per hour)
    temperature_rate,        ///< canonical K/h
    money,                   ///< neutral currency, canonical ""
    count,                   ///< a bare number, canonical ""
    length,                  ///< canonical m
    area,                    ///< canonical m2
    conductance,             ///< canonical W/K
};

/// One unit of measure: canonical = value * factor + offset.
struct Measure {
    std::string_view id;      ///< what is written: "degF"
    std::string_view symbol;  ///< what is printed: "°F"
    Dimension dimension;
    double factor;
    double offset;
};

struct Quantity {
    double value = 0.0;  ///< in `measure`
    const Measure* measure = nullptr;
};

/// What bare numbers mean and in which units results are shown.
enum class UnitPreference { si, us };

/// Every known measure, in a fixed order.
[[nodiscard]] std::span<const Measure> all_measures();

/// Finds a measure by any spelling a person uses ("°F", "F", "degF", "deg F", "fahrenheit").
/// A temperature letter means a difference when `dimension` asks for one. Null when unknown.
[[nodiscard]] const Measure* find_measure(std::string_view spelling, Dimension dimension);
[[nodiscard]] const Measure* find_measure(std::string_view spelling);

/// The canonical measure of a dimension, and the one shown under a preference.
[[nodiscard]] const Measure& canonical_measure(Dimension dimension);
[[nodiscard]] const Measure& preferred_measure(Dimension dimension, UnitPreference preference);

/// "a temperature", as it stands in a message.
[[nodiscard]] std::string_view dimension_words(Dimension dimension);

/// Parses number and unit. A bare number takes `bare`; without one it is refused.
/// Decimal comma is accepted ("3,5 C"). psi, bar and inHg are gauge readings, as a manifold shows
/// them; psia, bara and kPa are absolute (1 atm = 101.325 kPa).
/// Errors: not-a-number, unknown-unit (with the nearest), wrong-quantity, unit-missing.
[[nodiscard]] Result<Quantity> parse_quantity(std::string_view text, Dimension dimension,
                                              const Measure* bare = nullptr);

[[nodiscard]] double to_canonical(const Quantity& quantity);
[[nodiscard]] Quantity convert(const Quantity& quantity, const Measure& to);
[[nodiscard]] double from_canonical(double canonical, const Measure& to);

/// "15 °F", "22 Ω"; at most `digits` significant digits, no trailing zeros, no "-0".
[[nodiscard]] std::string to_text(const Quantity& quantity, int digits = 4);

}  // namespace frostread
