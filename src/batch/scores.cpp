#include "batch/scores.hpp"

#include <algorithm>
#include <cmath>

#include "base/numeric.hpp"

namespace frostread::score {

double log_loss(double probability) {
    return -std::log(std::clamp(probability, kLeastProbability, 1.0));
}

double mean_log_loss(std::span<const double> probabilities) {
    if (probabilities.empty()) return 0.0;
    numeric::CompensatedSum sum;
    for (const double p : probabilities) sum.add(log_loss(p));
    return sum.value() / static_cast<double>(probabilities.size());
}

double brier_binary(std::span<const double> forecasts, std::span<const int> outcomes) {
    if (forecasts.empty()) return 0.0;
    numeric::CompensatedSum sum;
    for (std::size_t i = 0; i < forecasts.size(); ++i) {
        const double error = forecasts[i] - static_cast<double>(outcomes[i]);
        sum.add(error * error);
    }
    return sum.value() / static_cast<double>(forecasts.size());
}

double brier_classes(std::span<const double> forecasts, std::span<const std::size_t> true_classes) {
    numeric::CompensatedSum sum;
    for (std::size_t c = 0; c < forecasts.size(); ++c) {
        const bool is_true = std::find(true_classes.begin(), true_classes.end(), c) != true_classes.end();
        const double error = forecasts[c] - (is_true ? 1.0 : 0.0);
        sum.add(error * error);
    }
    return sum.value();
}

void Calibration::add(double forecast, bool came_true) {
    // Closed on the right: 0.1 belongs to the first of ten bins. The multiplication may round 0.1 * 10
    // to just above 1, hence the small allowance.
    const double place = std::ceil(forecast * static_cast<double>(bins_.size()) - 1e-9);
    const auto index = static_cast<std::size_t>(std::max(1.0, place)) - 1;
    Bin& bin = bins_[std::min(index, bins_.size() - 1)];
    ++bin.count;
    bin.forecasts += forecast;
    bin.came_true += came_true ? 1U : 0U;
    ++count_;
}

double Calibration::expected_error() const {
    if (count_ == 0) return 0.0;
    double sum = 0.0;
    for (const Bin& bin : bins_)
        sum += static_cast<double>(bin.count) * std::abs(bin.mean_forecast() - bin.share_true());
    return sum / static_cast<double>(count_);
}

std::vector<std::size_t> filtered_ranks(std::span<const std::size_t> order, std::span<const std::size_t> true_classes) {
    const auto is_true = [&](std::size_t c) {
        return std::find(true_classes.begin(), true_classes.end(), c) != true_classes.end();
    };
    std::vector<std::size_t> ranks;
    for (const std::size_t wanted : true_classes) {
        std::size_t above = 0;
        for (const std::size_t c : order) {
            if (c == wanted) break;
            if (!is_true(c)) ++above;
        }
        ranks.push_back(above + 1);
    }
    return ranks;
}

}  // namespace frostread::score
