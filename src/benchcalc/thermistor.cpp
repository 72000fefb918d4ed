#include <algorithm>
#include <cmath>

#include "benchcalc/calculators.hpp"
#include "benchcalc/figures.hpp"

namespace frostread {
namespace {

constexpr const char* kBetaSource = "beta equation of the data sheets of sensor makers (EPCOS/TDK, Vishay)";

constexpr double kZeroCelsius = 273.15;  // K
// A cabinet sensor lives between these; a reading beyond is a broken wire or a short, not a temperature.
constexpr double kColdestBelievable = -60.0;  // °C
constexpr double kWarmestBelievable = 90.0;   // °C
// With the temperature known, a reading so far off is no drift. Common practice, no source.
constexpr double kShortedShare = 0.1;
constexpr double kOpenShare = 10.0;

double inverse_kelvin(const ThermistorCurve& curve, double log_ohm) {
    return curve.a + curve.b * log_ohm + curve.c * log_ohm * log_ohm * log_ohm;
}

/// The curve falls (1/T rises with ln R) over the given points and a decade beyond.
bool falls_throughout(const ThermistorCurve& curve, std::span<const ThermistorPoint> points) {
    double low = std::log(points[0].ohm);
    double high = low;
    for (const auto& point : points) {
        low = std::min(low, std::log(point.ohm));
        high = std::max(high, std::log(point.ohm));
    }
    const double decade = std::log(10.0);
    // The slope b + 3 c x^2 is monotonic in |x|: its ends are enough.
    for (const double x : {std::max(0.0, low - decade), high + decade}) {
        if (!(curve.b + 3.0 * curve.c * x * x > 0.0)) {
            return false;
        }
    }
    return true;
}

}  // namespace

ThermistorCurve thermistor_from_beta(const ThermistorPoint& at, double beta_k) {
    return {1.0 / (at.celsius + kZeroCelsius) - std::log(at.ohm) / beta_k, 1.0 / beta_k, 0.0};
}

std::optional<ThermistorCurve> thermistor_from_points(std::span<const ThermistorPoint> points) {
    if (points.size() < 2 || points.size() > 3) {
        return std::nullopt;
    }
    std::vector<double> x;
    std::vector<double> y;
    for (const auto& point : points) {
        if (!(point.ohm > 0.0) || !(point.celsius > -kZeroCelsius)) {
            return std::nullopt;
        }
        x.push_back(std::log(point.ohm));
        y.push_back(1.0 / (point.celsius + kZeroCelsius));
    }
    for (std::size_t i = 0; i < x.size(); ++i) {
        for (std::size_t j = 0; j < i; ++j) {
            // Colder must mean more ohms, for every pair.
            if (!((x[i] - x[j]) * (y[i] - y[j]) > 0.0)) {
                return std::nullopt;
            }
        }
    }
    ThermistorCurve curve;
    const double slope2 = (y[1] - y[0]) / (x[1] - x[0]);
    if (points.size() == 2) {
        curve.b = slope2;
    } else {
        const double slope3 = (y[2] - y[0]) / (x[2] - x[0]);
        curve.c = (slope3 - slope2) / ((x[2] - x[1]) * (x[0] + x[1] + x[2]));
        curve.b = slope2 - curve.c * (x[0] * x[0] + x[0] * x[1] + x[1] * x[1]);
    }
    curve.a = y[0] - (curve.b + curve.c * x[0] * x[0]) * x[0];
    if (!std::isfinite(curve.a) || !std::isfinite(curve.c) || !falls_throughout(curve, points)) {
        return std::nullopt;
    }
    return curve;
}

double thermistor_celsius(const ThermistorCurve& curve, double ohm) {
    return 1.0 / inverse_kelvin(curve, std::log(ohm)) - kZeroCelsius;
}

double thermistor_ohm(const ThermistorCurve& curve, double celsius) {
    const double wanted = 1.0 / (celsius + kZeroCelsius);
    double low = std::log(0.01);
    double high = std::log(1e10);
    for (int step = 0; step < 80; ++step) {
        const double middle = 0.5 * (low + high);
        (inverse_kelvin(curve, middle) < wanted ? low : high) = middle;
    }
    return std::exp(0.5 * (low + high));
}

namespace {

Result<ThermistorCurve> curve_of(const CalcInputs& inputs, CalcResult& result) {
    const auto points = inputs.points("point");
    const auto units = inputs.units();
    if (inputs.has("beta")) {
        if (!points.empty()) {
            return calc_error("inputs-conflict", "--beta and --point are both given",
                              "the unit's own table (--point) if you have it");
        }
        if (!inputs.has("ohms-at")) {
            return calc_error("input-missing", "--beta needs --ohms-at",
                              "the resistance at 25 °C, or at --ohms-at-temp");
        }
        const ThermistorPoint at{inputs.number_or("ohms-at-temp", 25.0), inputs.number("ohms-at")};
        result.given.push_back(word_figure("curve", "curve",
                                           short_text(at.ohm, Dimension::resistance, units) + " at " +
                                               short_text(at.celsius, Dimension::temperature, units) + ", beta " +
                                               plain_text(inputs.number("beta"), 0) + " K"));
        result.formula = "R = R0 * exp(beta * (1/T - 1/T0)), T in kelvin";
        result.source = kBetaSource;
        result.notes.push_back(
            "A beta value is good only between its two temperatures (often 25 and 85 °C). Of two real sensors it reads "
            "0.7 "
            "and 1.1 K too warm at 0 °C, 1.6 and 2.4 K at -20 °C. Two or three points of the unit's own table do "
            "better.");
        return thermistor_from_beta(at, inputs.number("beta"));
    }
    if (points.empty()) {
        return calc_error("input-missing", "thermistor needs the sensor's curve",
                          "two or three --point TEMPERATURE=OHMS from the unit's table, or --beta with --ohms-at");
    }
    if (points.size() == 1 || points.size() > 3) {
        return calc_error("inputs-conflict", "a curve goes through two or three points", "two or three --point",
                          "choose them round the temperature you measure at");
    }
    const auto curve = thermistor_from_points(points);
    if (!curve) {
        return calc_error("points-contradict", "no sensor curve goes through these points",
                          "resistance that falls as the temperature rises, at two or three different temperatures",
                          "a sensor whose resistance rises with temperature is of another kind");
    }
    std::string words = points.size() == 2 ? "beta equation through " : "Steinhart-Hart through ";
    for (std::size_t i = 0; i < points.size(); ++i) {
        words += (i == 0 ? "" : ", ") + short_text(points[i].celsius, Dimension::temperature, units);
    }
    if (points.size() == 2) {
        words += " (beta " + plain_text(1.0 / curve->b, 0) + " K)";
        result.formula = "R = R0 * exp(beta * (1/T - 1/T0)), T in kelvin, beta from the two points";
        result.source = kBetaSource;
    } else {
        result.formula = "1/T = A + B ln R + C (ln R)^3, T in kelvin, through the three points";
        result.figures.push_back({"A", "", curve->a, Dimension::count, ""});
        result.figures.push_back({"B", "", curve->b, Dimension::count, ""});
        result.figures.push_back({"C", "", curve->c, Dimension::count, ""});
    }
    result.given.push_back(word_figure("curve", "curve", words));
    const auto [coldest, warmest] = std::minmax_element(
        points.begin(), points.end(), [](const auto& a, const auto& b) { return a.celsius < b.celsius; });
    if (inputs.has("temperature") && (inputs.number("temperature") < coldest->celsius - 15.0 ||
                                      inputs.number("temperature") > warmest->celsius + 15.0)) {
        result.notes.push_back("The temperature lies well outside the points; add a point nearer to it.");
    }
    return *curve;
}

void put_reading(CalcResult& result, const CalcInputs& inputs, const std::string& value) {
    if (inputs.has("sensor")) {
        result.readings.push_back({inputs.word("sensor") + "-sensor", value});
    } else {
        result.no_reading = "say with --sensor which sensor it is, fridge or freezer";
    }
}

}  // namespace

Result<CalcResult> run_thermistor(const CalcInputs& inputs) {
    const auto units = inputs.units();
    CalcResult result;
    auto curve = curve_of(inputs, result);
    if (!curve) {
        return curve.diagnostics();
    }
    const bool read = inputs.has("ohms");
    const bool known = inputs.has("temperature");
    if (!read && !known) {
        return calc_error("input-missing", "nothing to work out", "--ohms, --temperature, or both to compare them");
    }
    const double celsius = known ? inputs.number("temperature") : 0.0;
    const double expected = known ? thermistor_ohm(*curve, celsius) : 0.0;
    if (known) {
        result.given.push_back(figure("temperature", "sensor is at", celsius, Dimension::temperature, units));
        result.figures.push_back(figure("expected_ohm", "should read", expected, Dimension::resistance, units));
    }
    if (read && inputs.is_open("ohms")) {
        result.given.push_back(word_figure("ohm", "sensor reads", "no path (open)"));
        result.verdict = "open";
        result.verdict_words = "Open: a broken sensor, wire or plug.";
        put_reading(result, inputs, result.verdict);
        return result;
    }
    if (!read) {
        result.no_reading = "no resistance was read: give --ohms";
        return result;
    }
    const double ohm = inputs.number("ohms");
    result.given.push_back(figure("ohm", "sensor reads", ohm, Dimension::resistance, units));
    const double implied = ohm > 0.0 ? thermistor_celsius(*curve, ohm) : 1e9;
    const bool implied_hot = ohm <= 0.0 || implied > kWarmestBelievable || implied <= -kZeroCelsius;
    const bool implied_cold = !implied_hot && implied < kColdestBelievable;
    const bool too_low = known ? ohm < expected * kShortedShare : implied_hot;
    const bool too_high = known ? ohm > expected * kOpenShare : implied_cold;
    if (too_low || too_high) {
        result.verdict = too_low ? "shorted" : "open";
        result.verdict_words = too_low ? "So few ohms are no temperature inside a refrigerator: shorted, or wet inside."
                                       : "So many ohms are no temperature inside a refrigerator: open, or nearly so.";
        put_reading(result, inputs, result.verdict);
        return result;
    }
    result.figures.push_back(figure("implied_temperature", "which means", implied, Dimension::temperature, units));
    if (!known) {
        result.no_reading = "measure the temperature beside the sensor too and give it as --temperature";
        return result;
    }
    const double tolerance = inputs.number_or("tolerance", 10.0);
    const double percent = 100.0 * (ohm / expected - 1.0);
    const double kelvin = implied - celsius;
    result.figures.push_back(figure("deviation_percent", "off by", percent, Dimension::percent, units));
    result.figures.push_back(figure("deviation_k", "which is", kelvin, Dimension::temperature_difference, units));
    if (percent > tolerance) {
        result.verdict = "reads-cold";
        result.verdict_words =
            "Too many ohms: it tells the control that it is colder than it is, so the compartment stays warm.";
    } else if (percent < -tolerance) {
        result.verdict = "reads-warm";
        result.verdict_words =
            "Too few ohms: it tells the control that it is warmer than it is, so the compartment gets too cold.";
    } else {
        result.verdict = "agrees";
        result.verdict_words = "Agrees with its table within " + plain_text(tolerance, 1) + " %.";
    }
    result.notes.push_back("Hold sensor and thermometer in ice water: both must say 0 °C (32 °F).");
    put_reading(result, inputs, plain_text(percent, 1) + " %");
    return result;
}

}  // namespace frostread
