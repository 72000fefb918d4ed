#include <cctype>
#include <cmath>
#include <string>

#include "frostread/bench_calc.hpp"

namespace frostread {
namespace {

constexpr double kZeroCelsius = 273.15;  // K

/// "R-134a" -> "134a": what people leave out or write otherwise does not count.
std::string bare_name(std::string_view name) {
    std::string bare;
    for (const char letter : name) {
        const auto byte = static_cast<unsigned char>(letter);
        if (std::isalnum(byte) != 0) {
            bare += static_cast<char>(std::tolower(byte));
        }
    }
    if (!bare.empty() && bare.front() == 'r') {
        bare.erase(0, 1);
    }
    return bare;
}

double curve_kpa(const Refrigerant& refrigerant, double celsius) {
    const double kelvin = celsius + kZeroCelsius;
    const double theta = 1.0 - kelvin / refrigerant.critical_k;
    double sum = 0.0;
    for (const auto& term : refrigerant.terms) {
        sum += term.factor * std::pow(theta, term.exponent);
    }
    return refrigerant.critical_kpa * std::exp(refrigerant.critical_k / kelvin * sum);
}

}  // namespace

const Refrigerant* find_refrigerant(std::string_view typed) {
    const std::string wanted = bare_name(typed);
    for (const auto& refrigerant : refrigerants()) {
        if (bare_name(refrigerant.id) == wanted) {
            return &refrigerant;
        }
    }
    return nullptr;
}

std::optional<double> saturation_kpa(const Refrigerant& refrigerant, double celsius) {
    if (!(celsius >= kSaturationLow && celsius <= kSaturationHigh)) {
        return std::nullopt;
    }
    return curve_kpa(refrigerant, celsius);
}

std::optional<double> saturation_celsius(const Refrigerant& refrigerant, double kpa) {
    double low = kSaturationLow;
    double high = kSaturationHigh;
    if (!(kpa >= curve_kpa(refrigerant, low) && kpa <= curve_kpa(refrigerant, high))) {
        return std::nullopt;
    }
    // The curve rises throughout, so halving cannot miss; 60 halvings reach the last bit.
    for (int step = 0; step < 60; ++step) {
        const double middle = 0.5 * (low + high);
        (curve_kpa(refrigerant, middle) < kpa ? low : high) = middle;
    }
    return 0.5 * (low + high);
}

std::optional<double> saturation_kpa(std::string_view refrigerant, double celsius) {
    const Refrigerant* found = find_refrigerant(refrigerant);
    return found == nullptr ? std::nullopt : saturation_kpa(*found, celsius);
}

std::optional<double> saturation_celsius(std::string_view refrigerant, double kpa) {
    const Refrigerant* found = find_refrigerant(refrigerant);
    return found == nullptr ? std::nullopt : saturation_celsius(*found, kpa);
}

double standard_air_pressure(double metres) {
    // p0 * (1 - L h / T0)^(g M / (R L)) with L = 6.5 K/km, T0 = 288.15 K.
    return kStandardAtmosphere * std::pow(1.0 - 0.0065 * metres / 288.15, 5.25588);
}

}  // namespace frostread
