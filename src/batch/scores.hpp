#pragma once

#include <cstddef>
#include <span>
#include <vector>

/// Scores of probability forecasts, each as its source defines it. Published and constructed worked
/// examples are tests (tests/unit/batch/scores_test.cpp).
namespace frostread::score {

/// A probability is never taken as smaller than this in a logarithm, so that one forecast of zero does
/// not make every other one meaningless. The bound is a convention, not part of the definition.
inline constexpr double kLeastProbability = 1e-15;

/// -ln p of what came true, in nats: the logarithmic score (I. J. Good, Rational Decisions, J. R. Stat.
/// Soc. B 14, 1952). Lower is better.
[[nodiscard]] double log_loss(double probability);
/// Mean of log_loss; 0 for none.
[[nodiscard]] double mean_log_loss(std::span<const double> probabilities_of_what_came_true);

/// Mean of (p - o)^2 over yes/no events, 0..1 (the half of Brier's form for two classes).
/// Requires: as many outcomes as forecasts; outcomes are 0 or 1.
[[nodiscard]] double brier_binary(std::span<const double> forecasts, std::span<const int> outcomes);

/// Sum over classes of (p - o)^2 for one case (G. W. Brier, Verification of forecasts expressed in terms
/// of probability, Monthly Weather Review 78, 1950): 0..2 with one true class. With several true classes
/// each of them has o = 1.
[[nodiscard]] double brier_classes(std::span<const double> forecasts, std::span<const std::size_t> true_classes);

/// Reliability table with equal-width bins, closed on the right; 0 falls into the first.
class Calibration {
public:
    explicit Calibration(std::size_t bins = 10) : bins_(bins) {}

    struct Bin {
        std::size_t count = 0;
        double forecasts = 0.0;  ///< sum
        std::size_t came_true = 0;
        [[nodiscard]] double mean_forecast() const { return count == 0 ? 0.0 : forecasts / static_cast<double>(count); }
        [[nodiscard]] double share_true() const {
            return count == 0 ? 0.0 : static_cast<double>(came_true) / static_cast<double>(count);
        }
    };

    /// Requires: 0 <= forecast <= 1.
    void add(double forecast, bool came_true);
    [[nodiscard]] const std::vector<Bin>& bins() const { return bins_; }
    [[nodiscard]] std::size_t count() const { return count_; }
    /// Sum over bins of n_bin / n * |mean forecast - share that came true| (M. P. Naeini, G. F. Cooper,
    /// M. Hauskrecht, Obtaining well calibrated probabilities using Bayesian binning, AAAI 2015). 0 for none.
    [[nodiscard]] double expected_error() const;

private:
    std::vector<Bin> bins_;
    std::size_t count_ = 0;
};

/// Rank of every true class among the wrong ones: 1 + how many classes that are not true stand above it.
/// The "filtered" rank (A. Bordes and others, Translating embeddings for modeling multi-relational data,
/// NIPS 2013): of two faults that were both found, neither is held against the other.
/// `order` lists all classes, likeliest first. A class that is not in it ranks behind all.
[[nodiscard]] std::vector<std::size_t> filtered_ranks(std::span<const std::size_t> order,
                                                      std::span<const std::size_t> true_classes);

}  // namespace frostread::score
