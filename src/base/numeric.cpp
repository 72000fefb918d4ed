#include "base/numeric.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace frostread::numeric {

namespace {
constexpr double kMinusInfinity = -std::numeric_limits<double>::infinity();
}

double log_sum_exp(std::span<const double> logs) {
    double largest = kMinusInfinity;
    for (const double x : logs) largest = std::max(largest, x);
    if (!std::isfinite(largest)) return largest;
    CompensatedSum total;
    for (const double x : logs) total.add(std::exp(x - largest));
    return largest + std::log(total.value());
}

double log_sum_exp(double a, double b) {
    const double largest = std::max(a, b);
    if (!std::isfinite(largest)) return largest;
    return largest + std::log1p(std::exp(std::min(a, b) - largest));
}

double sum(std::span<const double> terms) {
    CompensatedSum total;
    for (const double x : terms) total.add(x);
    return total.value();
}

double entropy_bits(std::span<const double> weights) {
    const double total = sum(weights);
    if (!(total > 0.0)) return 0.0;
    CompensatedSum bits;
    for (const double w : weights) {
        const double p = w / total;
        if (p > 0.0) bits.add(-p * std::log2(p));
    }
    return std::max(0.0, bits.value());
}

double decibans(double ln_ratio) {
    return ln_ratio * (10.0 / std::numbers::ln10);
}

double from_decibans(double db) {
    return db * (std::numbers::ln10 / 10.0);
}

double log_student4(double x, double mean, double scale) {
    // Gamma(5/2) / (Gamma(2) sqrt(4 pi)) = 3/8, so f(t) = 3/8 (1 + t^2/4)^(-5/2).
    const double t = (x - mean) / scale;
    return std::log(0.375) - std::log(scale) - 2.5 * std::log1p(t * t / 4.0);
}

double student4_cdf(double t) {
    // Closed form for 4 degrees of freedom: F(t) = 1/2 + sin(a)/2 (1 + cos(a)^2 / 2), tan a = t/2.
    const double root = std::hypot(t, 2.0);
    const double sine = t / root;
    const double cosine = 2.0 / root;
    return std::clamp(0.5 + 0.5 * sine * (1.0 + 0.5 * cosine * cosine), 0.0, 1.0);
}

double student4_two_sided_tail(double x, double mean, double scale) {
    const double t = std::abs((x - mean) / scale);
    // 1 - s(1 + c^2/2) with c^2 = 4/(t^2+4), s = t/sqrt(t^2+4); written without the difference of
    // near-equal numbers: 1 - s = c^2 / (1 + s).
    const double square = t * t + 4.0;
    const double sine = t / std::sqrt(square);
    const double c2 = 4.0 / square;
    return std::clamp(c2 / (1.0 + sine) - 0.5 * sine * c2, 0.0, 1.0);
}

double log_normal(double x, double mean, double deviation) {
    const double z = (x - mean) / deviation;
    return -0.5 * z * z - std::log(deviation) - 0.5 * std::log(2.0 * std::numbers::pi);
}

double normal_upper_tail(double z) {
    return 0.5 * std::erfc(z / std::numbers::sqrt2);
}

double round_to_places(double x, int places) {
    if (!std::isfinite(x)) return x;
    const double scale = std::pow(10.0, places);
    const double scaled = x * scale;
    if (!std::isfinite(scaled)) return x;
    const double rounded = std::round(scaled) / scale;
    return rounded == 0.0 ? 0.0 : rounded;
}

double round_to_digits(double x, int digits) {
    if (!std::isfinite(x) || x == 0.0) return x == 0.0 ? 0.0 : x;
    const int exponent = static_cast<int>(std::floor(std::log10(std::abs(x))));
    const int places = digits - 1 - exponent;
    if (places < 0) {
        const double scale = std::pow(10.0, -places);
        return std::round(x / scale) * scale;
    }
    return round_to_places(x, places);
}

}  // namespace frostread::numeric
