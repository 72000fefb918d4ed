#include <algorithm>
#include <cmath>

#include "engine/stages.hpp"

namespace frostread {

void add(Influence& sum, const Influence& member) {
    if (member.rank < sum.rank) return;
    if (member.rank > sum.rank) {
        sum = member;
        return;
    }
    sum.normal *= member.normal;
    sum.rate += member.rate;
    sum.shape += member.shape;
    sum.shift += member.shift;
    sum.spread_squared += member.spread_squared;
}

double student_t4(double deviation, double mean, double variance) {
    const double z = deviation - mean;
    const double u = 1.0 + z * z / (4.0 * variance);
    return 0.375 / (std::sqrt(variance * u) * u * u);  // Gamma(5/2) / (sqrt(4 pi) Gamma(2)) = 3/8
}

double likelihood_ceiling(const CompiledCheck& check) {
    return check.kind == CheckKind::gauge ? 0.375 / std::sqrt(check.spread_squared) : 1.0;
}

namespace {

/// Competing causes: with rate Lambda the check stays normal with e^-Lambda; otherwise the causes
/// share the outcomes in proportion to their rates.
double look_likelihood(const CompiledCheck& check, const Finding& finding, const Influence& influence) {
    double normal = influence.normal, rate = influence.rate, shape = influence.shape;
    if (influence.rank == 0) {
        normal *= check.background_normal;
        rate += check.background_rate;
        shape += check.background[finding.outcome];
    }
    if (finding.outcome == check.normal) return normal;
    return rate > 0.0 ? (1.0 - normal) * shape / rate : 0.0;
}

double item_likelihood(const CompiledCheck& check, const Finding& finding, const Influence& influence) {
    const double background = influence.rank == 0 ? check.item_background[finding.outcome] : 0.0;
    const double absent = influence.normal * std::exp(-background);
    return finding.absent ? absent : 1.0 - absent;
}

double gauge_likelihood(const CompiledCheck& check, const Finding& finding, const Influence& influence) {
    const double mean = std::clamp(influence.shift, finding.low, finding.high);
    return student_t4(finding.deviation, mean, check.spread_squared + influence.spread_squared);
}

}  // namespace

double likelihood_of(const CompiledCheck& check, const Finding& finding, const Influence& influence) {
    switch (check.kind) {
        case CheckKind::look:
        case CheckKind::banded:
            return look_likelihood(check, finding, influence);
        case CheckKind::several:
            return item_likelihood(check, finding, influence);
        case CheckKind::gauge:
            return gauge_likelihood(check, finding, influence);
    }
    return 1.0;
}

bool influence_of(const UnitModel& model, const Finding& finding, const LookEffect& effect, Influence& influence) {
    if (!model.applies(effect.variant)) return false;
    const CompiledCheck& check = model.compiled().check(finding.check);
    influence = {effect.decides, effect.normal, effect.rate, 0.0, 0.0, 0.0};
    if (check.kind != CheckKind::several) influence.shape = check.shapes[effect.first + finding.outcome];
    return true;
}

bool influence_of(const UnitModel& model, const Finding& finding, const GaugeEffect& effect, Influence& influence) {
    if (!model.applies(effect.variant) || (effect.unless_reference && finding.reference_known)) return false;
    influence = {effect.decides, 1.0, 0.0, 0.0, effect.shift, effect.spread_squared};
    return true;
}

std::span<const LookEffect> look_effects(const CompiledCheck& check, const Finding& finding) {
    const std::span<const LookEffect> all(check.looks);
    if (check.kind != CheckKind::several) return all;
    const std::size_t first = check.item_first[finding.outcome];
    return all.subspan(first, check.item_first[finding.outcome + 1] - first);
}

double flat_likelihood(const UnitModel& model, const Finding& finding) {
    const CompiledCheck& check = model.compiled().check(finding.check);
    switch (check.kind) {
        case CheckKind::look:
        case CheckKind::banded:
            return 1.0 / static_cast<double>(std::max(1U, check.outcome_count));
        case CheckKind::several:
            return 0.5;
        case CheckKind::gauge:
            return 1.0 / (finding.width > 0.0 ? finding.width : check.width);
    }
    return 1.0;
}

double pure_likelihood(const UnitModel& model, const Finding& finding, const FaultSet& set) {
    if (set.kind == HypothesisKind::something_else) return flat_likelihood(model, finding);
    const CompiledCheck& check = model.compiled().check(finding.check);
    Influence sum, one;
    // The walk through a check's rules is most of the work, so membership is three plain comparisons.
    constexpr AlternativeIndex kNone = ~AlternativeIndex{0};
    const AlternativeIndex first = set.size > 0 ? set.members[0] : kNone;
    const AlternativeIndex second = set.size > 1 ? set.members[1] : kNone;
    const AlternativeIndex third = set.size > 2 ? set.members[2] : kNone;
    const auto take = [&](const auto& effects) {
        for (const auto& effect : effects) {
            const AlternativeIndex who = effect.alternative;
            if ((who == first || who == second || who == third) && influence_of(model, finding, effect, one))
                add(sum, one);
        }
    };
    if (check.kind == CheckKind::gauge)
        take(check.gauges);
    else
        take(look_effects(check, finding));
    return likelihood_of(check, finding, sum);
}

double effective_trust(const Finding& finding) {
    return std::min(finding.trust, 1.0 - 1e-12);
}

double likelihood(const UnitModel& model, const Finding& finding, const FaultSet& set) {
    const double trust = effective_trust(finding);
    return trust * pure_likelihood(model, finding, set) + (1.0 - trust) * flat_likelihood(model, finding);
}

}  // namespace frostread
