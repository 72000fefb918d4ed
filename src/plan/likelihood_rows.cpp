#include "plan/likelihood_rows.hpp"

namespace frostread::plan {

LikelihoodRows::LikelihoodRows(const UnitModel& model)
    : model_(model),
      influence_(model.compiled().alternative_count()),
      present_(model.compiled().alternative_count(), 0) {}

void LikelihoodRows::operator()(const Finding& finding, std::span<const FaultSet> sets, std::span<double> out) {
    const CompiledCheck& check = model_.compiled().check(finding.check);
    for (const AlternativeIndex alternative : used_) present_[alternative] = 0;
    used_.clear();
    const auto lay_out = [&](const auto& effects) {
        Influence one;
        for (const auto& effect : effects) {
            if (!influence_of(model_, finding, effect, one)) continue;
            if (present_[effect.alternative] != 0) {
                add(influence_[effect.alternative], one);
                continue;
            }
            present_[effect.alternative] = 1;
            used_.push_back(effect.alternative);
            influence_[effect.alternative] = one;
        }
    };
    if (check.kind == CheckKind::gauge)
        lay_out(check.gauges);
    else
        lay_out(look_effects(check, finding));

    const double flat = flat_likelihood(model_, finding);
    for (std::size_t i = 0; i < sets.size(); ++i) {
        if (sets[i].kind == HypothesisKind::something_else) {
            out[i] = flat;
            continue;
        }
        Influence sum;
        for (std::size_t m = 0; m < sets[i].size; ++m)
            if (present_[sets[i].members[m]] != 0) add(sum, influence_[sets[i].members[m]]);
        out[i] = finding.trust * likelihood_of(check, finding, sum) + (1.0 - finding.trust) * flat;
    }
}

}  // namespace frostread::plan
