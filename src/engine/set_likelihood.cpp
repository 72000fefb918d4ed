#include "engine/set_likelihood.hpp"

#include <array>

namespace frostread {

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

}  // namespace frostread
