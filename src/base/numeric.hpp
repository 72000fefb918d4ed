#pragma once

#include <cstddef>
#include <span>

/// The few numeric tools that the engine, the planner and the writers share.
namespace frostread::numeric {

/// ln of the sum of e^x. Empty, or all -infinity: -infinity. Never overflows.
[[nodiscard]] double log_sum_exp(std::span<const double> logs);
[[nodiscard]] double log_sum_exp(double a, double b);

/// Neumaier's compensated sum (Rundungsfehleranalyse einiger Verfahren zur Summation endlicher
/// Summen, ZAMM 54, 1974): the error does not grow with the number of terms.
class CompensatedSum {
public:
    void add(double x) {
        const double t = sum_ + x;
        const double lost = magnitude(sum_) >= magnitude(x) ? (sum_ - t) + x : (x - t) + sum_;
        rest_ += lost;
        sum_ = t;
    }
    [[nodiscard]] double value() const { return sum_ + rest_; }

private:
    static double magnitude(double x) { return x < 0 ? -x : x; }
    double sum_ = 0.0;
    double rest_ = 0.0;
};

[[nodiscard]] double sum(std::span<const double> terms);

/// Shannon entropy in bits of weights >= 0, which need not sum to 1. 0 log 0 = 0.
[[nodiscard]] double entropy_bits(std::span<const double> weights);

/// Weight of evidence: decibans of a natural-log ratio, and back (I. J. Good; 10 log10).
[[nodiscard]] double decibans(double ln_ratio);
[[nodiscard]] double from_decibans(double db);

/// Student t density with 4 degrees of freedom about `mean` with scale s > 0, as natural log.
[[nodiscard]] double log_student4(double x, double mean, double scale);
/// P(|T| >= |x - mean| / scale) for the same, in [0, 1].
[[nodiscard]] double student4_two_sided_tail(double x, double mean, double scale);
/// P(T <= t) of the standard Student t with 4 degrees of freedom (closed form).
[[nodiscard]] double student4_cdf(double t);

/// Normal density as natural log, and upper tail P(Z >= z).
[[nodiscard]] double log_normal(double x, double mean, double deviation);
[[nodiscard]] double normal_upper_tail(double z);

/// Rounds half away from zero; -0 becomes 0; NaN and infinities pass.
[[nodiscard]] double round_to_places(double x, int places);
/// Rounds to significant digits (1..15).
[[nodiscard]] double round_to_digits(double x, int digits);

}  // namespace frostread::numeric
