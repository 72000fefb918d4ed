#include "engine/prediction.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstdint>

#include "engine/wide_vectors.hpp"

namespace frostread {

namespace {

constexpr double kLeftOut = 1e-4;  ///< share of the weight at most

/// The density of likelihood.cpp as a plain loop, which the compiler turns into vectors; in single precision, which is
/// far closer than what is left out.
FROSTREAD_WIDE_VECTORS
void add_t4(const float* deviations, float* sums, std::size_t count, float mean, float variance, float believed,
            float doubted) {
    const float scale = believed * 0.375F * variance * variance;
    for (std::size_t i = 0; i < count; ++i) {
        const float z = deviations[i] - mean;
        const float w = variance + 0.25F * z * z;
        sums[i] += scale / (std::sqrt(w) * w * w) + doubted;
    }
}

/// Sets that do the same to a gauge.
struct Alike {
    double shift = 0.0, variance = 0.0, weight = 0.0;
};

/// Sets by what they do: nothing, one that touches, or a sum of two.
void gather_alike(const SetWeights& weights, double spread_squared, const FindingRow& row, std::vector<Alike>& out) {
    const std::size_t singles = row.size();
    out.assign(1 + singles + row.sum_shift.size(), Alike{});
    out[0] = {0.0, spread_squared, weights.nothing_wrong + weights.total};
    for (std::size_t s = 0; s < row.sum_shift.size(); ++s)
        out[1 + singles + s] = {row.sum_shift[s], row.sum_variance[s], 0.0};
    std::size_t next = 0;
    for (std::size_t a = 0; a < singles; ++a) {
        out[1 + a] = {row.shift[a], row.variance[a], out[1 + a].weight + weights.marginal[row.who[a]]};
        for (std::size_t b = a + 1; b < singles && !weights.pair.empty(); ++b) {
            const double both = weights.pair_row(row.who[a])[row.who[b]];
            out[1 + singles + row.pair_sum[next++]].weight += both;
            out[1 + a].weight -= both;
            out[1 + b].weight -= both;
            out[0].weight += both;  // taken away twice below
        }
    }
    for (std::size_t a = 0; a < singles; ++a) out[0].weight -= weights.marginal[row.who[a]];
}

/// Which power of two a number above zero has, from its bits.
int power_of(double number) {
    return static_cast<int>(std::bit_cast<std::uint64_t>(number) >> 52U);
}

/// Takes away the lightest that together make up no more than `share` of the whole: counted by powers of two.
void leave_out_lightest(std::vector<Alike>& all, double share) {
    constexpr int kPowers = 64;
    std::array<double, kPowers> below{};  // by how many powers of two below the whole
    double whole = 0.0;
    for (const Alike& one : all) whole += std::max(0.0, one.weight);
    const auto place = [top = power_of(whole)](double weight) {
        return static_cast<std::size_t>(std::min(top - power_of(weight), kPowers - 1));
    };
    for (const Alike& one : all)
        if (one.weight > 0.0) below.at(place(one.weight)) += one.weight;
    double left_out = 0.0;
    std::size_t kept = kPowers;
    while (kept > 0 && left_out + below.at(kept - 1) <= share * whole) left_out += below.at(--kept);
    std::erase_if(all, [&](const Alike& one) { return one.weight <= 0.0 || place(one.weight) >= kept; });
}

}  // namespace

double predicted_look(const SetWeights& weights, const FindingRow& row) {
    return row.none * total_with_look(weights, row);
}

void predicted_gauge(const SetWeights& weights, const UnitModel& model, const Finding& finding, const FindingRow& row,
                     std::span<const double> deviations, std::span<double> sums) {
    thread_local std::vector<Alike> alike_of_thread;
    std::vector<Alike>& alike = alike_of_thread;
    gather_alike(weights, model.compiled().check(finding.check).spread_squared, row, alike);
    const double trust = effective_trust(finding), flat = flat_likelihood(model, finding);
    const double doubt = (1.0 - trust) * flat;
    leave_out_lightest(alike, kLeftOut);
    const double scale = 1.0 / weights.all();  // into the range of single precision
    const auto single = [](double number) { return static_cast<float>(number); };
    std::vector<float> at(deviations.size());
    std::transform(deviations.begin(), deviations.end(), at.begin(), single);
    std::vector<float> sum(at.size(), single(weights.something_else * scale * flat));
    for (const Alike& one : alike) {
        const double weight = one.weight * scale;
        add_t4(at.data(), sum.data(), sum.size(), single(std::clamp(one.shift, finding.low, finding.high)),
               single(one.variance), single(weight * trust), single(weight * doubt));
    }
    std::copy(sum.begin(), sum.end(), sums.begin());
}

}  // namespace frostread
