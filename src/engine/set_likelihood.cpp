#include "engine/set_likelihood.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "engine/wide_vectors.hpp"

namespace frostread {

namespace {

/// The density of likelihood.cpp as a plain loop, which the compiler turns into vectors.
FROSTREAD_WIDE_VECTORS
void add_t4(const double* deviations, double* sums, std::size_t count, double mean, double variance, double believed,
            double doubted) {
    const double scale = believed * 0.375 * variance * variance;
    for (std::size_t i = 0; i < count; ++i) {
        const double z = deviations[i] - mean;
        const double w = variance + 0.25 * z * z;
        sums[i] += scale / (std::sqrt(w) * w * w) + doubted;
    }
}

}  // namespace

void SetLikelihood::aim(const UnitModel& model, const Finding& finding, const FindingRow& row) {
    check_ = &model.compiled().check(finding.check);
    finding_ = &finding;
    row_ = &row;
    trust_ = effective_trust(finding);
    flat_ = flat_likelihood(model, finding);
    doubt_ = (1.0 - trust_) * flat_;
    none_ = check_->kind == CheckKind::gauge ? mixed(Influence{}) : row_->none;
}

double SetLikelihood::mixed(const Influence& influence) const {
    return trust_ * likelihood_of(*check_, *finding_, influence) + doubt_;
}

double SetLikelihood::operator()(const FaultSet& set) const {
    if (set.kind == HypothesisKind::something_else) return trust_ * flat_ + doubt_;
    std::array<std::size_t, 3> touching{};
    std::size_t count = 0;
    for (std::size_t i = 0; i < set.size; ++i)
        if (const std::int16_t place = row_->place[set.members.at(i)]; place >= 0)
            touching.at(count++) = static_cast<std::size_t>(place);
    if (count == 0) return none_;
    if (count > 2 || check_->kind == CheckKind::gauge) return mixed(influence_of_set(set));
    const double first = none_ * row_->ratio[touching[0]];
    if (count == 1) return first;
    return first * row_->ratio[touching[1]] * row_->pair(touching[0], touching[1]);
}

Influence SetLikelihood::influence_of_set(const FaultSet& set) const {
    Influence sum;
    for (std::size_t i = 0; i < set.size; ++i)
        if (const std::int16_t place = row_->place[set.members.at(i)]; place >= 0)
            add(sum, row_->influence(static_cast<std::size_t>(place)));
    return sum;
}

std::size_t SetLikelihood::group(const FaultSet& set) const {
    if (set.kind == HypothesisKind::something_else) return 0;
    std::array<std::size_t, 2> touching{};
    std::size_t count = 0;
    for (std::size_t i = 0; i < set.size; ++i)
        if (const std::int16_t place = row_->place[set.members.at(i)]; place >= 0)
            touching.at(count++) = static_cast<std::size_t>(place);
    if (count == 0) return 1;
    if (count == 1) return 2 + touching[0];
    const std::size_t pair = row_->pairs_of(touching[0]) + touching[1] - touching[0] - 1;  // members ascend
    return 2 + row_->size() + (row_->pair_sum.empty() ? pair : row_->pair_sum[pair]);
}

void SetLikelihood::add_densities(const FaultSet& set, double weight, std::span<const double> deviations,
                                  std::span<double> sums) const {
    if (set.kind == HypothesisKind::something_else) {
        for (double& sum : sums) sum += weight * flat_;
        return;
    }
    const Influence influence = influence_of_set(set);
    const double mean = std::clamp(influence.shift, finding_->low, finding_->high);
    const double variance = check_->spread_squared + influence.spread_squared;
    add_t4(deviations.data(), sums.data(), sums.size(), mean, variance, weight * trust_, weight * doubt_);
}

}  // namespace frostread
