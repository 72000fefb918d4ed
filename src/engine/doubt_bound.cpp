#include "engine/doubt_bound.hpp"

#include <algorithm>
#include <vector>

namespace frostread {

namespace {

constexpr double kRounding = 1e-13;  ///< share of a sum over the library that its rounding stays far below

/// Pairs of one alternative with each other: as they are, and without the finding.
struct PairsOfOne {
    std::vector<double> weight, divided;

    void take(const SetWeights& from, const FindingRow& without, AlternativeIndex one) {
        const std::size_t count = from.alone.size();
        weight.assign(count, 0.0);
        if (!from.pair.empty()) {
            for (AlternativeIndex other = 0; other < one; ++other) weight[other] = from.pair_row(other)[one];
            const double* const row = from.pair_row(one);
            std::copy(row + one + 1, row + count, weight.data() + one + 1);
        }
        const std::int16_t place = without.place[one];
        const double alone = place < 0 ? 1.0 : without.inverse[static_cast<std::size_t>(place)];
        divided.resize(count);
        for (std::size_t other = 0; other < count; ++other) divided[other] = weight[other] * alone;
        for (std::size_t at = 0; at < without.size(); ++at) {
            if (static_cast<std::int16_t>(at) == place) continue;
            const double factor = place < 0 ? without.inverse[at] : without.both(static_cast<std::size_t>(place), at);
            divided[without.who[at]] = weight[without.who[at]] * factor;
        }
    }
};

}  // namespace

WithoutFinding bound_without(const CompiledLibrary& compiled, const SetWeights& from, const FindingRow& without,
                             FaultIndex leading) {
    thread_local PairsOfOne pairs_of_thread;
    PairsOfOne& pairs = pairs_of_thread;
    const auto count = static_cast<AlternativeIndex>(from.alone.size());
    AlternativeIndex likeliest = compiled.first_alternative(leading);
    for (AlternativeIndex i = likeliest + 1; i < count && compiled.alternative(i).fault == leading; ++i)
        if (from.marginal[i] > from.marginal[likeliest]) likeliest = i;
    pairs.take(from, without, likeliest);

    double most_inverse = 1.0;
    for (const double inverse : without.inverse) most_inverse = std::max(most_inverse, inverse);
    double leads = 0.0, singles = 0.0, pairs_of_likeliest = 0.0, most_of_others = 0.0, of_fault = 0.0;
    // Pairs without the likeliest alternative are met from both of their sides.
    double met = 0.0, met_touching = 0.0, most_touching = 0.0, met_divided = 0.0;
    FaultIndex fault = leading;
    for (AlternativeIndex b = 0; b < count; ++b) {
        const std::int16_t at = without.place[b];
        const bool touches = at >= 0;
        const double inverse = touches ? without.inverse[static_cast<std::size_t>(at)] : 1.0;
        const double worst = touches ? without.worst[static_cast<std::size_t>(at)] : 0.0;
        const double single = from.alone[b] * inverse;
        singles += single;
        pairs_of_likeliest += pairs.divided[b];
        double rest = 0.0;
        if (b != likeliest) {
            rest = std::max(0.0, from.marginal[b] - from.alone[b] - pairs.weight[b]) + kRounding * from.marginal[b];
            met += rest;
        }
        if (touches) {
            met_touching += rest;
            most_touching = std::max(most_touching, rest);
            met_divided += rest * std::max(inverse, 0.5 * worst);
        }
        if (compiled.alternative(b).fault == leading) {
            leads += single;
            continue;
        }
        if (compiled.alternative(b).fault != fault) of_fault = 0.0;
        fault = compiled.alternative(b).fault;
        of_fault += single + pairs.divided[b] + rest * (touches ? std::max(inverse, worst) : most_inverse);
        most_of_others = std::max(most_of_others, of_fault);
    }
    leads += pairs_of_likeliest;
    const double untouched = std::max(0.0, 0.5 * met - std::max(0.5 * met_touching, most_touching));
    const double other = from.something_else / without.flat_ratio;
    WithoutFinding bound;
    bound.total_at_most = from.nothing_wrong + other + singles + pairs_of_likeliest + untouched + met_divided;
    bound.leads = std::max({most_of_others, from.nothing_wrong, other}) < leads * (1.0 - 1e-9);
    return bound;
}

}  // namespace frostread
