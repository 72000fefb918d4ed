#include "engine/finding_row.hpp"

#include <algorithm>
#include <cmath>

namespace frostread {

void collect_live(const UnitModel& model, LiveAlternatives& out) {
    const CompiledLibrary& compiled = model.compiled();
    out.global.clear();
    out.fault.clear();
    out.prior.clear();
    out.live.assign(compiled.alternative_count(), -1);
    for (AlternativeIndex i = 0; i < compiled.alternative_count(); ++i) {
        if (model.prior()[i] <= 0.0) continue;
        out.live[i] = static_cast<std::int32_t>(out.global.size());
        out.global.push_back(i);
        out.fault.push_back(compiled.alternative(i).fault);
        out.prior.push_back(model.prior()[i]);
    }
}

namespace {

template <class Effects>
void collect_touching(const UnitModel& model, const Finding& finding, const LiveAlternatives& live,
                      const Effects& effects, FindingRow& row) {
    Influence influence;
    for (const auto& effect : effects) {
        const std::int32_t index = live.live[effect.alternative];
        if (index < 0 || !influence_of(model, finding, effect, influence)) continue;
        row.live.push_back(static_cast<std::uint32_t>(index));
        row.influence.push_back(influence);
        row.any_decides = row.any_decides || influence.rank > 0;
    }
}

}  // namespace

void lay_out(const UnitModel& model, const Finding& finding, const LiveAlternatives& live, FindingRow& row) {
    const CompiledCheck& check = model.compiled().check(finding.check);
    row.live.clear();
    row.influence.clear();
    row.any_decides = false;
    if (check.kind == CheckKind::gauge)
        collect_touching(model, finding, live, check.gauges, row);
    else
        collect_touching(model, finding, live, look_effects(check, finding), row);

    const std::size_t count = row.live.size();
    for (auto* column : {&row.normal, &row.rate, &row.shape, &row.shift, &row.spread_squared, &row.ratio, &row.inverse})
        column->resize(count);
    const double flat = flat_likelihood(model, finding);
    const double trust = effective_trust(finding);
    const double doubt = (1.0 - trust) * flat;
    row.none = trust * likelihood_of(check, finding, Influence{}) + doubt;
    row.flat_ratio = flat / row.none;
    const double ceiling = std::max(trust * likelihood_ceiling(check) + doubt, flat);
    row.range_log10 = std::log10(ceiling / std::max(doubt, 1e-300));
    for (std::size_t i = 0; i < count; ++i) {
        const Influence& influence = row.influence[i];
        row.normal[i] = influence.normal;
        row.rate[i] = influence.rate;
        row.shape[i] = influence.shape;
        row.shift[i] = influence.shift;
        row.spread_squared[i] = influence.spread_squared;
        const double single = trust * likelihood_of(check, finding, influence) + doubt;
        row.ratio[i] = single / row.none;
        row.inverse[i] = row.none / single;
    }
}

namespace {

/// Any finding with a deciding rule: one pair at a time, by the general definition.
void general_factors(const CompiledCheck& check, const Finding& finding, const FindingRow& row, std::size_t i,
                     double doubt, std::vector<double>& out) {
    for (std::size_t j = i + 1; j < row.live.size(); ++j) {
        Influence both = row.influence[i];
        add(both, row.influence[j]);
        out[j] = (effective_trust(finding) * likelihood_of(check, finding, both) + doubt) / row.none * row.inverse[i] *
                 row.inverse[j];
    }
}

}  // namespace

void pair_factors(const UnitModel& model, const Finding& finding, const FindingRow& row, std::size_t i,
                  std::vector<double>& out) {
    const CompiledCheck& check = model.compiled().check(finding.check);
    const double doubt = (1.0 - effective_trust(finding)) * flat_likelihood(model, finding);
    const std::size_t count = row.live.size();
    out.resize(count);
    if (row.any_decides) return general_factors(check, finding, row, i, doubt, out);

    // The same formulas as likelihood_of, written as plain loops that the compiler turns into vectors.
    const double scale = row.inverse[i] / row.none;
    const double trust = effective_trust(finding);
    const double* inverse = row.inverse.data();
    double* result = out.data();
    if (check.kind == CheckKind::gauge) {
        const double shift_i = row.shift[i], variance_i = check.spread_squared + row.spread_squared[i];
        const double *shift = row.shift.data(), *spread = row.spread_squared.data();
        const double low = finding.low, high = finding.high, deviation = finding.deviation;
        for (std::size_t j = i + 1; j < count; ++j) {
            const double sum = shift_i + shift[j];
            const double mean = sum < low ? low : (sum > high ? high : sum);
            const double z = deviation - mean, variance = variance_i + spread[j];
            const double u = 1.0 + z * z / (4.0 * variance);
            result[j] = (trust * 0.375 / (std::sqrt(variance * u) * u * u) + doubt) * scale * inverse[j];
        }
        return;
    }
    const bool several = check.kind == CheckKind::several;
    const double background = several ? std::exp(-check.item_background[finding.outcome]) : check.background_normal;
    const double normal_i = background * row.normal[i];
    const double* normal = row.normal.data();
    if (several ? finding.absent : finding.outcome == check.normal) {
        for (std::size_t j = i + 1; j < count; ++j)
            result[j] = (trust * normal_i * normal[j] + doubt) * scale * inverse[j];
    } else if (several) {
        for (std::size_t j = i + 1; j < count; ++j)
            result[j] = (trust * (1.0 - normal_i * normal[j]) + doubt) * scale * inverse[j];
    } else {
        const double rate_i = check.background_rate + row.rate[i];
        const double shape_i = check.background[finding.outcome] + row.shape[i];
        const double *rate = row.rate.data(), *shape = row.shape.data();
        for (std::size_t j = i + 1; j < count; ++j) {
            const double total = rate_i + rate[j];
            const double seen = total > 0.0 ? (1.0 - normal_i * normal[j]) * (shape_i + shape[j]) / total : 0.0;
            result[j] = (trust * seen + doubt) * scale * inverse[j];
        }
    }
}

}  // namespace frostread
