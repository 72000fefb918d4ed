#include "benchcalc/figures.hpp"

#include <cmath>
#include <cstdlib>

namespace frostread {
namespace {

const Measure& measure_of(std::string_view id, Dimension dimension) {
    const Measure* found = find_measure(id, dimension);
    return found == nullptr ? canonical_measure(dimension) : *found;
}

/// How many decimals a number of this size deserves on a bench.
int decimals_for(double value) {
    const double size = std::abs(value);
    if (size >= 1000.0) return 0;
    if (size >= 100.0) return 1;
    if (size >= 1.0) return 2;
    return 3;
}

std::string in_measure(double canonical, const Measure& measure) {
    const double value = from_canonical(canonical, measure);
    const bool temperature = measure.dimension == Dimension::temperature ||
                             measure.dimension == Dimension::temperature_difference ||
                             measure.dimension == Dimension::percent;
    return to_text(Quantity{rounded(value, temperature ? 1 : decimals_for(value)), &measure}, 7);
}

std::string resistance_text(double ohm) {
    const char* id = ohm >= 1e6 ? "Mohm" : ohm >= 1e4 ? "kohm" : "ohm";
    return in_measure(ohm, measure_of(id, Dimension::resistance));
}

/// The measure ids under si and us; equal when there is no other habit.
struct Pair {
    std::string_view si, us;
};

Pair pair_of(Dimension dimension) {
    switch (dimension) {
        case Dimension::temperature:
            return {"degC", "degF"};
        case Dimension::temperature_difference:
            return {"K", "degF-difference"};
        case Dimension::pressure:
            return {"kPa", "psia"};
        case Dimension::mass:
            return {"g", "oz"};
        case Dimension::length:
            return {"m", "ft"};
        case Dimension::area:
            return {"m2", "ft2"};
        case Dimension::resistance:
        case Dimension::power:
        case Dimension::percent:
        case Dimension::time:
        case Dimension::voltage:
        case Dimension::current:
        case Dimension::capacitance:
        case Dimension::frequency:
        case Dimension::temperature_rate:
        case Dimension::money:
        case Dimension::count:
        case Dimension::conductance:
            break;
    }
    const auto id = canonical_measure(dimension).id;
    return {id, id};
}

}  // namespace

double rounded(double value, int decimals) {
    const double scale = std::pow(10.0, decimals);
    return std::round(value * scale) / scale;
}

std::string plain_text(double value, int decimals) {
    return to_text(Quantity{rounded(value, decimals), &canonical_measure(Dimension::count)}, 9);
}

std::string short_text(double canonical, Dimension dimension, UnitPreference units) {
    if (dimension == Dimension::resistance) {
        return resistance_text(canonical);
    }
    const Pair pair = pair_of(dimension);
    return in_measure(canonical, measure_of(units == UnitPreference::us ? pair.us : pair.si, dimension));
}

std::string full_text(double canonical, Dimension dimension, UnitPreference units) {
    const Pair pair = pair_of(dimension);
    if (pair.si == pair.us) {
        return short_text(canonical, dimension, units);
    }
    const UnitPreference other = units == UnitPreference::us ? UnitPreference::si : UnitPreference::us;
    return short_text(canonical, dimension, units) + " (" + short_text(canonical, dimension, other) + ")";
}

std::string gauge_text(double kpa_absolute, double air_kpa, UnitPreference units) {
    const double over = kpa_absolute - air_kpa;
    const double psi = over / 6.894757293168;
    const std::string in_psi = plain_text(psi, std::abs(psi) >= 100.0 ? 0 : 1) + " psi";
    const std::string in_bar = plain_text(over / 100.0, 2) + " bar";
    if (over < 0.0) {
        const std::string in_hg = plain_text(-over / 3.386389, 1) + " inHg";
        const std::string below = plain_text(-over, 1) + " kPa";
        return "vacuum of " + (units == UnitPreference::us ? in_hg + " (" + below + ")" : below + " (" + in_hg + ")");
    }
    return units == UnitPreference::us ? in_psi + " (" + in_bar + ")" : in_bar + " (" + in_psi + ")";
}

CalcFigure figure(std::string key, std::string label, double canonical, Dimension dimension, UnitPreference units) {
    return {std::move(key), std::move(label), canonical, dimension, full_text(canonical, dimension, units)};
}

CalcFigure gauge_figure(std::string key, std::string label, double kpa_absolute, double air_kpa, UnitPreference units) {
    return {std::move(key), std::move(label), kpa_absolute - air_kpa, Dimension::pressure,
            gauge_text(kpa_absolute, air_kpa, units)};
}

CalcFigure word_figure(std::string key, std::string label, std::string words) {
    return {std::move(key), std::move(label), std::nullopt, Dimension::count, std::move(words)};
}

}  // namespace frostread
