#include "engine/finding_row.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <utility>

#include "engine/wide_vectors.hpp"

namespace frostread {

namespace {

constexpr double kMostOfThem = 0.5;  ///< share of all alternatives from which on a row is filled up

void enter(FindingRow& row, AlternativeIndex who, const Influence& influence) {
    row.place[who] = static_cast<std::int16_t>(row.who.size());
    row.who.push_back(who);
    row.rank.push_back(influence.rank);
    row.normal.push_back(influence.normal);
    row.rate.push_back(influence.rate);
    row.shape.push_back(influence.shape);
    row.shift.push_back(influence.shift);
    row.spread_squared.push_back(influence.spread_squared);
}

template <class Effects>
void collect(const UnitModel& model, const Finding& finding, const Effects& effects, bool may_fill, FindingRow& row) {
    thread_local std::vector<Influence> influence;
    thread_local std::vector<std::uint8_t> touches;
    const std::size_t all = model.compiled().alternative_count();
    influence.assign(all, Influence{});
    touches.assign(all, 0);
    std::size_t count = 0;
    Influence one;
    for (const auto& effect : effects) {
        if (!influence_of(model, finding, effect, one)) continue;
        add(influence[effect.alternative], one);
        count += touches[effect.alternative] == 0 ? 1U : 0U;
        touches[effect.alternative] = 1;
        row.anyone_decides = row.anyone_decides || one.rank > 0;
    }
    const bool fill = may_fill && static_cast<double>(count) > kMostOfThem * static_cast<double>(all);
    for (AlternativeIndex who = 0; who < all; ++who)
        if (fill || touches[who] != 0) enter(row, who, influence[who]);
}

/// Every sum of two alternatives' influences once, and where each alternative's own sums lie.
void collect_sums(double spread_squared, FindingRow& row) {
    std::map<std::pair<double, double>, std::uint32_t> known;
    constexpr double kInfinite = std::numeric_limits<double>::infinity();
    for (auto* column : {&row.least_shift, &row.least_variance}) column->assign(row.size(), kInfinite);
    for (auto* column : {&row.most_shift, &row.most_variance}) column->assign(row.size(), -kInfinite);
    for (std::size_t i = 0; i < row.size(); ++i)
        for (std::size_t j = i + 1; j < row.size(); ++j) {
            Influence both = row.influence(i);
            add(both, row.influence(j));
            const double variance = spread_squared + both.spread_squared;
            const auto next = static_cast<std::uint32_t>(known.size());
            const auto [sum, is_new] = known.try_emplace({both.shift, variance}, next);
            if (is_new) {
                row.sum_shift.push_back(both.shift);
                row.sum_variance.push_back(variance);
            }
            row.pair_sum.push_back(sum->second);
            for (const std::size_t one : {i, j}) {
                row.least_shift[one] = std::min(row.least_shift[one], both.shift);
                row.most_shift[one] = std::max(row.most_shift[one], both.shift);
                row.least_variance[one] = std::min(row.least_variance[one], variance);
                row.most_variance[one] = std::max(row.most_variance[one], variance);
            }
        }
}

}  // namespace

void collect_touching(const UnitModel& model, const Finding& finding, FindingRow& row) {
    const CompiledCheck& check = model.compiled().check(finding.check);
    row.who.clear();
    row.rank.clear();
    row.place.assign(model.compiled().alternative_count(), -1);
    for (auto* column : {&row.normal, &row.rate, &row.shape, &row.shift, &row.spread_squared}) column->clear();
    row.anyone_decides = false;
    row.weighed_for.reset();
    if (check.kind == CheckKind::gauge)
        collect(model, finding, check.gauges, false, row);  // a pair of a gauge costs more than it saves
    else
        collect(model, finding, look_effects(check, finding), true, row);
    row.variance.clear();
    for (const double spread_squared : row.spread_squared)
        row.variance.push_back(check.spread_squared + spread_squared);
    for (auto* column : {&row.sum_shift, &row.sum_variance, &row.least_shift, &row.most_shift, &row.least_variance,
                         &row.most_variance})
        column->clear();
    row.pair_sum.clear();
    if (check.kind == CheckKind::gauge) collect_sums(check.spread_squared, row);
}

namespace {

/// What the formulas of one finding need besides the row.
struct Terms {
    double trust = 1.0, doubt = 0.0;
};

/// L' of a gauge at many shifts and variances, in one long loop.
FROSTREAD_WIDE_VECTORS
void gauge_likelihoods(const double* shift, const double* variances, std::size_t count, const Finding& finding,
                       const Terms& terms, double* out) {
    const double low = finding.low, high = finding.high, deviation = finding.deviation;
    const double peak = terms.trust * 0.375, doubt = terms.doubt;
    for (std::size_t p = 0; p < count; ++p) {
        const double raised = shift[p] < low ? low : shift[p];
        const double mean = raised > high ? high : raised;
        const double z = deviation - mean, variance = variances[p];
        const double w = variance + 0.25 * z * z;  // student_t4 with one division fewer
        out[p] = peak * variance * variance / (std::sqrt(w) * w * w) + doubt;
    }
}

/// The least that L' of a gauge can be with any partner: at the shift that lies furthest off, and, because the density
/// there rises with the variance up to a point and then falls, at the least or the most variance.
FROSTREAD_WIDE_VECTORS
void worst_of_gauge(const FindingRow& row, const Finding& finding, const Terms& terms, double* worst) {
    const double low = finding.low, high = finding.high, deviation = finding.deviation;
    const double peak = terms.trust * 0.375, doubt = terms.doubt, none = row.none;
    const double *least_shift = row.least_shift.data(), *most_shift = row.most_shift.data();
    const double *least_variance = row.least_variance.data(), *most_variance = row.most_variance.data();
    const std::size_t count = row.size();
    for (std::size_t i = 0; i < count; ++i) {
        const double raised = least_shift[i] < low ? low : least_shift[i];
        const double other_raised = most_shift[i] < low ? low : most_shift[i];
        const double one = deviation - (raised > high ? high : raised);
        const double other = deviation - (other_raised > high ? high : other_raised);
        const double z_squared = one * one > other * other ? one * one : other * other;
        const double v = least_variance[i], u = most_variance[i];
        const double at_v = v + 0.25 * z_squared, at_u = u + 0.25 * z_squared;
        const double first = v * v / (std::sqrt(at_v) * at_v * at_v);
        const double second = u * u / (std::sqrt(at_u) * at_u * at_u);
        worst[i] = none / (peak * (first < second ? first : second) + doubt);
    }
}

/// The same for a look, whose pairs are few and kept.
void worst_of_look(FindingRow& row) {
    row.worst.assign(row.size(), 0.0);
    const double* factor = row.pairs.data();
    for (std::size_t i = 0; i < row.size(); ++i)
        for (std::size_t j = i + 1; j < row.size(); ++j) {
            const double both = row.inverse[i] * row.inverse[j] / *factor++;
            row.worst[i] = std::max(row.worst[i], both);
            row.worst[j] = std::max(row.worst[j], both);
        }
}

/// L' of place i with every later place of the same rank: the formulas of likelihood_of, written as plain loops
/// that the compiler turns into vectors. Pairs of different rank are filled in afterwards. The background
/// has a say only where nobody decides.
FROSTREAD_WIDE_VECTORS
void look_pairs(const CompiledCheck& check, const Finding& finding, const FindingRow& row, std::size_t i,
                const Terms& terms, double* out) {
    const std::size_t count = row.size() - i - 1;
    const double trust = terms.trust, doubt = terms.doubt;
    const bool several = check.kind == CheckKind::several;
    const bool background_speaks = row.rank[i] == 0;
    double background = 1.0;
    if (background_speaks)
        background = several ? std::exp(-check.item_background[finding.outcome]) : check.background_normal;
    const double normal_i = background * row.normal[i];
    const double* normal = row.normal.data() + i + 1;
    if (several ? finding.absent : finding.outcome == check.normal) {
        for (std::size_t j = 0; j < count; ++j) out[j] = trust * normal_i * normal[j] + doubt;
    } else if (several) {
        for (std::size_t j = 0; j < count; ++j) out[j] = trust * (1.0 - normal_i * normal[j]) + doubt;
    } else {
        // With no rate at all nothing is ever seen; the tiny rate keeps 0/0 out without a branch in the loop.
        const double rate_i = (background_speaks ? check.background_rate : 0.0) + row.rate[i] + 1e-300;
        const double shape_i = (background_speaks ? check.background[finding.outcome] : 0.0) + row.shape[i];
        const double *rate = row.rate.data() + i + 1, *shape = row.shape.data() + i + 1;
        for (std::size_t j = 0; j < count; ++j) {
            const double seen = (1.0 - normal_i * normal[j]) * (shape_i + shape[j]) / (rate_i + rate[j]);
            out[j] = trust * seen + doubt;
        }
    }
}

/// L'(ij) to L'(ij) L'(none) / (L'(i) L'(j)), for all pairs.
FROSTREAD_WIDE_VECTORS
void divide_by_singles(const double* inverse, std::size_t count, double per_none, double* pairs) {
    for (std::size_t i = 0; i + 1 < count; ++i) {
        const double scale = inverse[i] * per_none;
        const double* later = inverse + i + 1;
        const std::size_t length = count - i - 1;
        for (std::size_t j = 0; j < length; ++j) pairs[j] *= scale * later[j];
        pairs += length;
    }
}

/// Of two ranks the higher stands alone: L'(ij) is its own L', and the other's ratio divides out.
void unequal_rank_factors(FindingRow& row) {
    for (std::size_t d = 0; d < row.size(); ++d) {
        if (row.rank[d] == 0) continue;
        for (std::size_t j = 0; j < row.size(); ++j)
            if (row.rank[j] < row.rank[d])
                row.pairs[row.pairs_of(std::min(d, j)) + std::max(d, j) - std::min(d, j) - 1] = row.inverse[j];
    }
}

}  // namespace

void weigh_touching(const UnitModel& model, const Finding& finding, FindingRow& row) {
    const CompiledCheck& check = model.compiled().check(finding.check);
    const double flat = flat_likelihood(model, finding);
    const Terms terms{effective_trust(finding), (1.0 - effective_trust(finding)) * flat};
    row.none = terms.trust * likelihood_of(check, finding, Influence{}) + terms.doubt;
    row.log_none = std::log(row.none);
    row.flat_ratio = flat / row.none;
    const double ceiling = std::max(terms.trust * likelihood_ceiling(check) + terms.doubt, flat);
    row.range_log10 = std::log10(ceiling / std::max(terms.doubt, 1e-300));
    const std::size_t count = row.size();
    row.ratio.resize(count);
    row.inverse.resize(count);
    if (check.kind == CheckKind::gauge)
        gauge_likelihoods(row.shift.data(), row.variance.data(), count, finding, terms, row.ratio.data());
    else
        for (std::size_t i = 0; i < count; ++i)
            row.ratio[i] = terms.trust * likelihood_of(check, finding, row.influence(i)) + terms.doubt;
    for (std::size_t i = 0; i < count; ++i) row.inverse[i] = row.none / row.ratio[i];
    for (std::size_t i = 0; i < count; ++i) row.ratio[i] /= row.none;
    if (check.kind == CheckKind::gauge) {
        row.pairs.clear();
        row.sum_likelihood.resize(row.sum_shift.size());
        gauge_likelihoods(row.sum_shift.data(), row.sum_variance.data(), row.sum_shift.size(), finding, terms,
                          row.sum_likelihood.data());
        row.worst.assign(count, 0.0);
        if (count > 1) worst_of_gauge(row, finding, terms, row.worst.data());
        return;
    }
    row.pairs.resize(count * (count - std::min<std::size_t>(count, 1)) / 2);
    for (std::size_t i = 0; i + 1 < count; ++i)
        look_pairs(check, finding, row, i, terms, row.pairs.data() + row.pairs_of(i));
    divide_by_singles(row.inverse.data(), count, 1.0 / row.none, row.pairs.data());
    if (row.anyone_decides) unequal_rank_factors(row);
    worst_of_look(row);
}

}  // namespace frostread
