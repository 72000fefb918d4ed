#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "frostread/quantity.hpp"
#include "frostread/result.hpp"

/// Calculators for the bench. Below are first the typed functions, in canonical units, then the one
/// table of calculators that dispatch, help, documents and tests read. Nothing here prints or opens
/// a file. Pressures are absolute unless a name says gauge.
namespace frostread {

// ---------------------------------------------------------------- saturation

/// One refrigerant's saturation curve: ln(p/pc) = (Tc/T) * sum n_i * (1 - T/Tc)^t_i, T in kelvin.
struct Refrigerant {
    struct Term {
        double factor;
        double exponent;
    };
    std::string_view id;            ///< "R-134a"
    std::string_view safety_class;  ///< "A3": how it burns and poisons
    double critical_k;
    double critical_kpa;
    std::span<const Term> terms;
    double error_percent;     ///< largest error of pressure from -40 to +60 °C against the equation of state, %
    double error_k;           ///< the same as an error of temperature, K
    std::string_view source;  ///< where the equation was published
    [[nodiscard]] bool flammable() const { return safety_class != "A1"; }
};

/// Every curve is used from kSaturationLow to kSaturationHigh; the equations hold beyond, but no
/// household circuit does. The stated error was measured from -45 to +65 °C in 5 K steps.
inline constexpr double kSaturationLow = -60.0;         ///< °C
inline constexpr double kSaturationHigh = 80.0;         ///< °C
inline constexpr double kStandardAtmosphere = 101.325;  ///< kPa

[[nodiscard]] std::span<const Refrigerant> refrigerants();

/// By "R-134a", "r134a", "134a"; null when not known.
[[nodiscard]] const Refrigerant* find_refrigerant(std::string_view typed);

/// Saturation pressure in kPa absolute at °C, and the other way round; nothing outside the range.
[[nodiscard]] std::optional<double> saturation_kpa(const Refrigerant& refrigerant, double celsius);
[[nodiscard]] std::optional<double> saturation_celsius(const Refrigerant& refrigerant, double kpa);

/// The same by name; nothing for a refrigerant that is not known.
[[nodiscard]] std::optional<double> saturation_kpa(std::string_view refrigerant, double celsius);
[[nodiscard]] std::optional<double> saturation_celsius(std::string_view refrigerant, double kpa);

/// Air pressure at an altitude in m by the U.S. Standard Atmosphere 1976 (troposphere), kPa.
/// Requires -500 <= metres <= 5000.
[[nodiscard]] double standard_air_pressure(double metres);

// ---------------------------------------------------------------- sensors

/// 1/T = a + b ln R + c (ln R)^3 with T in kelvin and R in ohm (Steinhart & Hart, Deep-Sea Research 15
/// (1968) 497). With c = 0 it is the beta equation.
struct ThermistorCurve {
    double a = 0.0;
    double b = 0.0;
    double c = 0.0;
};

struct ThermistorPoint {
    double celsius = 0.0;
    double ohm = 0.0;
};

/// R = R0 * exp(beta * (1/T - 1/T0)). Requires ohm > 0 and beta > 0.
[[nodiscard]] ThermistorCurve thermistor_from_beta(const ThermistorPoint& at, double beta_k);

/// Through two points (beta equation) or three (Steinhart-Hart). Nothing when there are fewer or more,
/// when two are alike, or when the resistance does not fall as the temperature rises.
[[nodiscard]] std::optional<ThermistorCurve> thermistor_from_points(std::span<const ThermistorPoint> points);

[[nodiscard]] double thermistor_celsius(const ThermistorCurve& curve, double ohm);
[[nodiscard]] double thermistor_ohm(const ThermistorCurve& curve, double celsius);

// ---------------------------------------------------------------- electricity

/// R = V^2 / P. Requires watts > 0.
[[nodiscard]] double heater_ohm(double volts, double watts);

/// C = I / (2 pi f V), in microfarad; V is the voltage across the capacitor while it runs.
[[nodiscard]] double capacitor_uf(double amps, double volts, double hertz);

enum class WindingVerdict {
    adds_up,        ///< largest = sum of the other two
    equal,          ///< three like readings: a variable-speed compressor's motor
    run_open,       ///< no path through the run winding
    start_open,     ///< no path through the start winding
    common_open,    ///< no path to the common pin: winding ends or the internal overload
    one_path_only,  ///< one reading has a value, and the pins are not known: cannot be told apart
    all_open,       ///< no reading has a value
    shorted_turns,  ///< a reading near zero, or the sum does not hold
    contradictory,  ///< two readings have a value and the third has none: no motor does that
};

/// Readings between pins 1-2, 1-3 and 2-3 in ohm; nothing where the meter shows no path.
struct WindingReadings {
    std::optional<double> r12, r13, r23;
};

struct WindingJudgement {
    WindingVerdict verdict = WindingVerdict::all_open;
    int common = 0, start = 0, run = 0;           ///< pin numbers, 0 when not known
    double common_run = 0.0, common_start = 0.0;  ///< ohm, 0 when not known
    double start_run = 0.0;                       ///< ohm, 0 when not known
    double sum_difference = 0.0;                  ///< largest less the other two, ohm
    double allowed_difference = 0.0;              ///< max(0.5 ohm, 10 % of the largest)
};

/// `common` and `run`: pin numbers known from the unit's diagram, 0 when not known.
[[nodiscard]] WindingJudgement judge_windings(const WindingReadings& readings, int common = 0, int run = 0);

// ---------------------------------------------------------------- air and heat

/// Saturation pressure of water vapour in kPa: over ice below 0 °C, over water above (ASHRAE Handbook
/// Fundamentals 2017, chapter 1, equations 5 and 6). Requires -100 <= celsius <= 200.
[[nodiscard]] double water_vapour_kpa(double celsius);

/// Dew point; below 0 °C it is the frost point, over ice. Requires 0 < humidity_percent <= 100.
[[nodiscard]] double dew_point_celsius(double dry_bulb_celsius, double humidity_percent);

/// Heat flow through a flat wall per kelvin, W/K: conductivity in W/(m K), area in m2, thickness in m.
[[nodiscard]] double wall_conductance(double conductivity, double area, double thickness);

/// Share of the time a compressor of `capacity_w` runs to carry `load_w`; above 1 it cannot.
[[nodiscard]] double run_fraction(double load_w, double capacity_w);

// ---------------------------------------------------------------- the table of calculators

enum class CalcInputKind {
    quantity,    ///< number and unit of `dimension`
    pressure,    ///< gauge or absolute by its unit, or by the flags "gauge" and "absolute"
    barometer,   ///< air pressure: absolute whatever the unit
    resistance,  ///< a resistance, or "open" (also "OL", "infinite") when the meter shows no path
    hertz,       ///< mains frequency: "50", "60 Hz"
    number,      ///< a bare number
    word,        ///< one of `choices`
    point,       ///< "0 C = 16.3 kohm"; may be given several times
    flag,        ///< given or not
};

/// One input, which is also one command-line option.
struct CalcInput {
    std::string_view name;  ///< option without its dashes
    CalcInputKind kind = CalcInputKind::quantity;
    Dimension dimension = Dimension::count;
    std::string_view help;     ///< one line, no full stop
    double low = 0.0;          ///< accepted range in canonical units; low == high: no range of its own
    double high = 0.0;         ///< a value outside is refused with the range
    std::string_view choices;  ///< words separated by one blank
    bool required = false;
};

/// A safety text. The id is that of the rule library's caution, so that scripts can join them.
struct CalcCaution {
    std::string_view id;
    std::string_view text;
};

/// One number or word of a result.
struct CalcFigure {
    std::string key;              ///< for scripts: "evaporating_temperature"
    std::string label;            ///< for people: "boils at"
    std::optional<double> value;  ///< canonical unit of `dimension`; none when it is a word
    Dimension dimension = Dimension::count;
    std::string text;  ///< as shown, in the units the person prefers
};

/// What goes into a case: CHECK=VALUE as a person would type it.
struct CalcReading {
    std::string check;
    std::string value;
};

struct CalcResult {
    std::string calculator;
    std::string subject;                                      ///< "R-600a", may be empty
    std::vector<CalcCaution> cautions;                        ///< to be shown before anything else
    std::vector<CalcFigure> given;                            ///< the inputs as understood
    std::vector<CalcFigure> figures;                          ///< the results
    std::string verdict;                                      ///< stable word for scripts, empty when there is none
    std::string verdict_words;                                ///< a sentence or two
    std::vector<std::string> notes;                           ///< what to bear in mind
    std::vector<CalcReading> readings;                        ///< for a case
    std::vector<std::pair<std::string, std::string>> traits;  ///< of the unit, for a case
    std::string no_reading;                                   ///< why there is no reading, when there is none
    std::string formula, source, range;
};

/// Name as typed and value as typed; a flag has an empty value.
using CalcArguments = std::vector<std::pair<std::string, std::string>>;

class CalcInputs;

struct Calculator {
    std::string_view name;
    std::string_view summary;  ///< one line, no full stop
    std::string_view purpose;  ///< when to use it and how to measure
    std::span<const CalcInput> inputs;
    std::span<const std::string_view> examples;  ///< command lines without the program's name
    std::string_view formula, source, range;
    std::string_view checks;                ///< ids of the checks it can put into a case, separated by one blank
    std::span<const CalcCaution> cautions;  ///< of measuring the values; a result carries those that apply
    Result<CalcResult> (*run)(const CalcInputs&) = nullptr;
};

/// All calculators in the order of the help.
[[nodiscard]] std::span<const Calculator> calculators();
[[nodiscard]] const Calculator* find_calculator(std::string_view name);

/// Parses the arguments and calculates. A bare number takes the unit of `units`. Errors name the
/// input and say what was expected; a value outside the range is refused with the range.
[[nodiscard]] Result<CalcResult> calculate(const Calculator& calculator, const CalcArguments& arguments,
                                           UnitPreference units);

}  // namespace frostread
