#include <cmath>

#include "benchcalc/calculators.hpp"
#include "benchcalc/figures.hpp"

namespace frostread {
namespace {

constexpr double kZeroCelsius = 273.15;  // K

}  // namespace

double water_vapour_kpa(double celsius) {
    // ASHRAE Handbook Fundamentals 2017, chapter 1, equation 5 (ice) and 6 (water); result there in Pa.
    const double t = celsius + kZeroCelsius;
    double log_pascal = 0.0;
    if (celsius < 0.0) {
        log_pascal = -5.6745359e3 / t + 6.3925247 - 9.677843e-3 * t + 6.2215701e-7 * t * t + 2.0747825e-9 * t * t * t -
                     9.484024e-13 * t * t * t * t + 4.1635019 * std::log(t);
    } else {
        log_pascal = -5.8002206e3 / t + 1.3914993 - 4.8640239e-2 * t + 4.1764768e-5 * t * t - 1.4452093e-8 * t * t * t +
                     6.5459673 * std::log(t);
    }
    return std::exp(log_pascal) / 1000.0;
}

double dew_point_celsius(double dry_bulb_celsius, double humidity_percent) {
    const double vapour = water_vapour_kpa(dry_bulb_celsius) * humidity_percent / 100.0;
    double low = -100.0;
    double high = 200.0;
    for (int step = 0; step < 60; ++step) {
        const double middle = 0.5 * (low + high);
        (water_vapour_kpa(middle) < vapour ? low : high) = middle;
    }
    return 0.5 * (low + high);
}

Result<CalcResult> run_dew_point(const CalcInputs& inputs) {
    const auto units = inputs.units();
    const double room = inputs.number("room");
    const double humidity = inputs.number("humidity");
    const double dew = dew_point_celsius(room, humidity);
    CalcResult result;
    result.given.push_back(figure("room_temperature", "room", room, Dimension::temperature, units));
    result.given.push_back(figure("humidity", "humidity", humidity, Dimension::percent, units));
    result.figures.push_back(
        figure("dew_point", dew < 0.0 ? "frost point" : "dew point", dew, Dimension::temperature, units));
    const double vapour = water_vapour_kpa(room) * humidity / 100.0;
    result.figures.push_back(
        {"vapour_pressure", "vapour pressure", vapour, Dimension::pressure, plain_text(vapour, 3) + " kPa"});
    if (inputs.has("surface")) {
        const double surface = inputs.number("surface");
        const double margin = surface - dew;
        result.given.push_back(figure("surface_temperature", "surface", surface, Dimension::temperature, units));
        result.figures.push_back({"margin", margin < 0.0 ? "surface below it by" : "surface above it by", margin,
                                  Dimension::temperature_difference,
                                  full_text(std::abs(margin), Dimension::temperature_difference, units)});
        if (margin > 1.0) {
            result.verdict = "dry";
            result.verdict_words = "Stays dry. Water there comes from somewhere else.";
        } else if (margin > 0.0) {
            result.verdict = "near";
            result.verdict_words = "Within 1 K of sweating: a little more damp in the room and it is wet.";
        } else if (surface < 0.0) {
            result.verdict = "frosts";
            result.verdict_words = "Frosts in this room, with nothing wrong but a cold surface.";
        } else {
            result.verdict = "sweats";
            result.verdict_words =
                "Sweats in this room. See whether the surface is colder than it should be: frame heater, gasket, wet "
                "insulation.";
        }
    }
    if (dew < 0.0) {
        result.notes.push_back(
            "Below 0 °C this is the frost point, over ice. A dew point over water would read lower.");
    }
    result.readings.push_back({"room-temp", plain_text(room, 1) + " C"});
    result.readings.push_back({"room-humidity", plain_text(humidity, 1) + " %"});
    return result;
}

}  // namespace frostread
