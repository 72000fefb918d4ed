#include <algorithm>

#include "engine/set_weights.hpp"
#include "engine/wide_vectors.hpp"

/// Sums over all sets of a case in which a finding is left out or comes to it, without the weights of its sets.
namespace frostread {

namespace {

/// Sum over all pairs of weight * single_i * single_j * factor, or divided by the factor.
FROSTREAD_WIDE_VECTORS
double sum_changed(const double* pair, const double* factors, const double* single, std::size_t count, bool divide) {
    double total = 0.0;
    for (std::size_t i = 0; i + 1 < count; ++i) {
        const std::size_t length = count - i - 1;
        const double* other = single + i + 1;
        FourDoubles sums{};
        std::size_t j = 0;
        for (; j + 4 <= length; j += 4) {
            FourDoubles weight, factor, of_other;
            load_four(weight, pair + j);
            load_four(factor, factors + j);
            load_four(of_other, other + j);
            weight *= of_other;
            if (divide)
                sums += weight / factor;
            else
                sums += weight * factor;
        }
        double sum = (sums[0] + sums[1]) + (sums[2] + sums[3]);
        for (; j < length; ++j) sum += divide ? pair[j] * other[j] / factors[j] : pair[j] * other[j] * factors[j];
        total += single[i] * sum;
        pair += length;
        factors += length;
    }
    return total;
}

constexpr double kSafe = 1e5;  ///< a part got by subtraction is off by rounding, and multiplied by at most this

bool is_steep(const std::vector<double>& singles) {
    return std::any_of(singles.begin(), singles.end(), [](double single) { return single > kSafe; });
}

/// What marginals tell: as if every set were multiplied for the members that touch one by one.
double sum_one_by_one(const SetWeights& from, const FindingRow& row, const std::vector<double>& single) {
    double sum = from.total;
    for (std::size_t a = 0; a < row.size(); ++a) sum += from.marginal[row.who[a]] * (single[a] - 1.0);
    return sum;
}

/// What pairs of two that touch add to that. together(a, b), of places in the order of rows: what their weight is
/// multiplied by.
template <class Together>
double put_right(const SetWeights& from, const FindingRow& row, const std::vector<double>& single, Together together) {
    const AlternativeIndex* const who = row.who.data();
    double sum = 0.0;
    for (std::size_t a = 0; a < row.size(); ++a) {
        const double* pair = from.pair_row(who[a]);
        const double other_than = 1.0 - single[a];
        double even = 0.0, odd = 0.0;  // two sums, which need not wait for each other
        std::size_t b = a + 1;
        for (; b + 1 < row.size(); b += 2) {
            even += pair[who[b]] * (other_than + (together(a, b) - single[b]));
            odd += pair[who[b + 1]] * (other_than + (together(a, b + 1) - single[b + 1]));
        }
        if (b < row.size()) even += pair[who[b]] * (other_than + (together(a, b) - single[b]));
        sum += even + odd;
    }
    return sum;
}

}  // namespace

double total_without(const SetWeights& from, const FindingRow& without) {
    double sum = from.nothing_wrong + from.something_else / without.flat_ratio;
    const bool full = is_full(without, from);
    if (from.pair.empty() || (!full && is_steep(without.inverse))) {
        thread_local SetWeights changed;
        reweigh(from, without, nullptr, changed);
        return changed.nothing_wrong + changed.something_else + changed.total;
    }
    const std::vector<double>& inverse = without.inverse;
    if (full) {
        for (std::size_t a = 0; a < without.size(); ++a) sum += from.alone[a] * inverse[a];
        return sum + sum_changed(from.pairs().data(), without.pairs.data(), inverse.data(), without.size(), true);
    }
    sum += sum_one_by_one(from, without, inverse);
    if (without.pair_sum.empty()) {
        const double* factor = without.pairs.data();
        return sum + put_right(from, without, inverse,
                               [&](std::size_t a, std::size_t b) { return inverse[a] * inverse[b] / *factor++; });
    }
    thread_local std::vector<double> divided_of_thread;
    std::vector<double>& of_sum = divided_of_thread;
    of_sum.resize(without.sum_likelihood.size());
    for (std::size_t i = 0; i < of_sum.size(); ++i) of_sum[i] = without.none / without.sum_likelihood[i];
    const double* divided = of_sum.data();
    const std::uint32_t* next = without.pair_sum.data();
    return sum + put_right(from, without, inverse, [&](std::size_t, std::size_t) { return divided[*next++]; });
}

double total_with_look(const SetWeights& from, const FindingRow& with) {
    double sum = from.nothing_wrong + from.something_else * with.flat_ratio;
    const std::vector<double>& ratio = with.ratio;
    if (!from.pair.empty() && is_full(with, from)) {
        for (std::size_t a = 0; a < with.size(); ++a) sum += from.alone[a] * ratio[a];
        return sum + sum_changed(from.pairs().data(), with.pairs.data(), ratio.data(), with.size(), false);
    }
    if (!from.pair.empty() && !is_steep(ratio)) {
        const double* factor = with.pairs.data();
        return sum + sum_one_by_one(from, with, ratio) +
               put_right(from, with, ratio,
                         [&](std::size_t a, std::size_t b) { return ratio[a] * ratio[b] * *factor++; });
    }
    const auto of = [&](std::size_t who) {
        const std::int16_t place = with.place[who];
        return place < 0 ? 1.0 : ratio[static_cast<std::size_t>(place)];
    };
    for (std::size_t i = 0; i < from.alone.size(); ++i) {
        sum += from.alone[i] * of(i);
        for (std::size_t j = i + 1; j < from.alone.size() && !from.pair.empty(); ++j) {
            const bool both = with.place[i] >= 0 && with.place[j] >= 0;
            const double factor =
                both ? with.pair(static_cast<std::size_t>(with.place[i]), static_cast<std::size_t>(with.place[j]))
                     : 1.0;
            sum += from.pair_row(i)[j] * of(i) * of(j) * factor;
        }
    }
    return sum;
}

double total_without_at_most(const SetWeights& from, const FindingRow& without) {
    const bool all_touch = without.size() == from.alone.size();
    double alone = 0.0, alone_divided = 0.0;              // sets of one that touches the finding
    double paired = 0.0, most_paired = 0.0, pairs = 0.0;  // sets of two
    for (std::size_t a = 0; a < without.size(); ++a) {
        const double single = from.alone[without.who[a]];
        const double in_pairs = from.marginal[without.who[a]] - single;
        alone += single;
        alone_divided += single * without.inverse[a];
        paired += in_pairs;
        most_paired = std::max(most_paired, in_pairs);
        // A pair with two that touch is met from both sides, so either side answers for half of it.
        const double half = 0.5 * without.worst[a];
        pairs += in_pairs * (all_touch ? half : std::max(without.inverse[a], half));
    }
    const double untouched = std::max(0.0, from.total - alone - std::max(0.5 * paired, most_paired));
    return from.nothing_wrong + from.something_else / without.flat_ratio + (all_touch ? 0.0 : untouched) +
           alone_divided + pairs;
}

}  // namespace frostread
