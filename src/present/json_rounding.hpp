#pragma once

#include <cmath>

/// Numbers of every JSON document are rounded once, the same way.
namespace frostread::present {

/// Probabilities to nine decimals: small ones stay visible, and repeated runs print the same bytes.
[[nodiscard]] inline double json_probability(double value) {
    return std::round(value * 1e9) / 1e9;
}

/// Decibans, minutes and money to three decimals, and never "-0".
[[nodiscard]] inline double json_amount(double value) {
    const double rounded = std::round(value * 1e3) / 1e3;
    return rounded == 0.0 ? 0.0 : rounded;
}

}  // namespace frostread::present
