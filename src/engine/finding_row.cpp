#include "engine/finding_row.hpp"

#include <algorithm>
#include <cmath>

// Two builds of the inner loops, chosen at start: with 256-bit vectors where the processor has them. Both do
// the same operations in the same order on each element, so no result depends on the machine. Not with a
// sanitizer, whose start-up does not bear the choice.
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && !defined(__SANITIZE_ADDRESS__)
#define FROSTREAD_WIDE_VECTORS __attribute__((target_clones("avx2", "default")))
#else
#define FROSTREAD_WIDE_VECTORS
#endif

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
        if (live.live[effect.alternative] < 0 || !influence_of(model, finding, effect, influence)) continue;
        const auto index = static_cast<std::uint32_t>(live.live[effect.alternative]);
        row.touching.push_back(index);
        if (influence.rank > 0) row.deciders.push_back(index);
        row.rank[index] = influence.rank;
        row.normal[index] = influence.normal;
        row.rate[index] = influence.rate;
        row.shape[index] = influence.shape;
        row.shift[index] = influence.shift;
        row.spread_squared[index] = influence.spread_squared;
    }
}

}  // namespace

void lay_out(const UnitModel& model, const Finding& finding, const LiveAlternatives& live, FindingRow& row) {
    const CompiledCheck& check = model.compiled().check(finding.check);
    row.touching.clear();
    row.deciders.clear();
    row.rank.assign(live.size(), 0);
    for (auto* column : {&row.rate, &row.shape, &row.shift, &row.spread_squared}) column->assign(live.size(), 0.0);
    for (auto* column : {&row.normal, &row.ratio, &row.inverse}) column->assign(live.size(), 1.0);
    if (check.kind == CheckKind::gauge)
        collect_touching(model, finding, live, check.gauges, row);
    else
        collect_touching(model, finding, live, look_effects(check, finding), row);

    const double flat = flat_likelihood(model, finding);
    const double trust = effective_trust(finding);
    const double doubt = (1.0 - trust) * flat;
    row.none = trust * likelihood_of(check, finding, Influence{}) + doubt;
    row.flat_ratio = flat / row.none;
    const double ceiling = std::max(trust * likelihood_ceiling(check) + doubt, flat);
    row.range_log10 = std::log10(ceiling / std::max(doubt, 1e-300));
    for (const std::uint32_t i : row.touching) {
        const double single = trust * likelihood_of(check, finding, row.influence(i)) + doubt;
        row.ratio[i] = single / row.none;
        row.inverse[i] = row.none / single;
    }
}

namespace {

/// Alternatives i and j of one rank: the same formulas as likelihood_of, written as plain loops that the
/// compiler turns into vectors. Pairs of different rank are filled in afterwards. The background has a say
/// only where nobody decides.
FROSTREAD_WIDE_VECTORS
void equal_rank_factors(const CompiledCheck& check, const Finding& finding, const FindingRow& row, std::size_t i,
                        double trust, double doubt, std::vector<double>& out) {
    const std::size_t count = out.size();
    const double scale = row.inverse[i] / row.none;
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
            const double w = variance + 0.25 * z * z;  // student_t4 with one division fewer
            result[j] = (trust * 0.375 * variance * variance / (std::sqrt(w) * w * w) + doubt) * scale * inverse[j];
        }
        return;
    }
    const bool several = check.kind == CheckKind::several;
    const bool background_speaks = row.rank[i] == 0;
    double background = 1.0;
    if (background_speaks)
        background = several ? std::exp(-check.item_background[finding.outcome]) : check.background_normal;
    const double normal_i = background * row.normal[i];
    const double* normal = row.normal.data();
    if (several ? finding.absent : finding.outcome == check.normal) {
        for (std::size_t j = i + 1; j < count; ++j)
            result[j] = (trust * normal_i * normal[j] + doubt) * scale * inverse[j];
    } else if (several) {
        for (std::size_t j = i + 1; j < count; ++j)
            result[j] = (trust * (1.0 - normal_i * normal[j]) + doubt) * scale * inverse[j];
    } else {
        // With no rate at all nothing is ever seen; the tiny rate keeps 0/0 out without a branch in the loop.
        const double rate_i = (background_speaks ? check.background_rate : 0.0) + row.rate[i] + 1e-300;
        const double shape_i = (background_speaks ? check.background[finding.outcome] : 0.0) + row.shape[i];
        const double *rate = row.rate.data(), *shape = row.shape.data();
        for (std::size_t j = i + 1; j < count; ++j) {
            const double seen = (1.0 - normal_i * normal[j]) * (shape_i + shape[j]) / (rate_i + rate[j]);
            result[j] = (trust * seen + doubt) * scale * inverse[j];
        }
    }
}

}  // namespace

void pair_factors(const UnitModel& model, const Finding& finding, const FindingRow& row, std::size_t i,
                  std::vector<double>& out) {
    const CompiledCheck& check = model.compiled().check(finding.check);
    const double trust = effective_trust(finding);
    const double doubt = (1.0 - trust) * flat_likelihood(model, finding);
    out.resize(row.ratio.size());
    equal_rank_factors(check, finding, row, i, trust, doubt, out);
    // Of two ranks the higher stands alone: L'(ij) is its own L', and the other's ratio divides out.
    const int rank = row.rank[i];
    if (rank == 0) {
        for (const std::uint32_t decider : row.deciders)
            if (decider > i) out[decider] = row.inverse[i];
    } else {
        for (std::size_t j = i + 1; j < out.size(); ++j)
            if (row.rank[j] != rank) out[j] = row.rank[j] < rank ? row.inverse[j] : row.inverse[i];
    }
}

}  // namespace frostread
