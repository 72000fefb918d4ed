#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <limits>

#include "engine/finding_row.hpp"
#include "engine/hypotheses.hpp"

/// The exact sum over hypotheses. Relative to "nothing wrong" a set of two weighs
///     prior_i prior_j second_fault * w_i * w_j * c_ij
/// where w_i is the product over findings of L'(i)/L'(none) and c_ij the product, over the findings
/// that both touch, of L'(ij) L'(none) / (L'(i) L'(j)). Findings that an alternative does not touch
/// factor out, which is where the speed comes from; nothing is dropped. The arrays are kept from call to
/// call, one set for each thread, so that a batch allocates nothing per hypothesis.
namespace frostread {

namespace {

constexpr double kDecadesBeforeFold = 100.0;  ///< products stay far inside the range of a double (308 decades)

/// Products over findings, in the linear domain while they fit and folded into logarithms when not.
class Accumulator {
public:
    void run(const UnitModel& model, const Findings& findings) {
        model_ = &model;
        collect_live(model, live_);
        const std::size_t count = live_.size();
        single_.assign(count, 1.0);
        pair_.assign(count * count, 1.0);
        else_ = 1.0;
        else_log_ = log_none_ = decades_ = 0.0;
        folded_ = false;
        for (const Finding& finding : findings.items) take(finding);
        if (folded_) fold();
    }

    [[nodiscard]] const LiveAlternatives& live() const { return live_; }
    [[nodiscard]] double log_none() const { return log_none_; }
    [[nodiscard]] bool folded() const { return folded_; }
    /// What the findings make of "something else": a product, or its logarithm once folded.
    [[nodiscard]] double else_value() const { return folded_ ? else_log_ : else_; }
    [[nodiscard]] const std::vector<double>& single() const { return folded_ ? single_log_ : single_; }
    [[nodiscard]] const std::vector<double>& pair_log() const { return pair_log_; }  ///< requires: folded
    /// Row i of the linear pair array: factors while not folded. weigh_pairs turns it into weights.
    [[nodiscard]] double* pair_row(std::size_t i) { return pair_.data() + i * live_.size(); }
    [[nodiscard]] const double* pair_row(std::size_t i) const { return pair_.data() + i * live_.size(); }

private:
    void take(const Finding& finding) {
        lay_out(*model_, finding, live_, row_);
        if (decades_ + row_.range_log10 > kDecadesBeforeFold) fold();
        decades_ += row_.range_log10;
        log_none_ += std::log(row_.none);
        else_ *= row_.flat_ratio;
        const std::size_t count = live_.size();
        for (const std::uint32_t i : row_.touching) {
            single_[i] *= row_.ratio[i];
            pair_factors(*model_, finding, row_, i, factors_);
            double* target = pair_.data() + i * count;
            for (std::size_t j = i + 1; j < count; ++j) target[j] *= factors_[j];
        }
    }

    void fold() {
        if (!folded_) {
            single_log_.assign(single_.size(), 0.0);
            pair_log_.assign(pair_.size(), 0.0);
            folded_ = true;
        }
        else_log_ += std::log(else_);
        else_ = 1.0;
        for (std::size_t i = 0; i < single_.size(); ++i) single_log_[i] += std::log(single_[i]);
        for (std::size_t i = 0; i < pair_.size(); ++i)
            if (pair_[i] != 1.0) pair_log_[i] += std::log(pair_[i]);
        std::fill(single_.begin(), single_.end(), 1.0);
        std::fill(pair_.begin(), pair_.end(), 1.0);
        decades_ = 0.0;
    }

    const UnitModel* model_ = nullptr;
    LiveAlternatives live_;
    FindingRow row_;
    std::vector<double> factors_;
    std::vector<double> single_, single_log_;
    std::vector<double> pair_, pair_log_;  ///< upper triangle, row * count + column
    double else_ = 1.0, else_log_ = 0.0, log_none_ = 0.0, decades_ = 0.0;
    bool folded_ = false;
};

/// What a row of pairs comes to.
struct RowSum {
    double sum = 0.0, largest = 0.0;
};

/// Turns row[j], j in [first, count), from factors into weights scale * alone[j] * row[j] and adds them
/// to marginal[j]. Four sums side by side: they need not wait for each other.
RowSum weigh_row(double* row, const double* alone, double* marginal, std::size_t first, std::size_t count,
                 double scale) {
    std::array<double, 4> sum{}, largest{};
    std::size_t j = first;
    for (; j + 4 <= count; j += 4)
        for (std::size_t lane = 0; lane < 4; ++lane) {
            const double weight = scale * alone[j + lane] * row[j + lane];
            row[j + lane] = weight;
            marginal[j + lane] += weight;
            sum[lane] += weight;
            largest[lane] = largest[lane] < weight ? weight : largest[lane];
        }
    for (; j < count; ++j) {
        const double weight = scale * alone[j] * row[j];
        row[j] = weight;
        marginal[j] += weight;
        sum[0] += weight;
        largest[0] = largest[0] < weight ? weight : largest[0];
    }
    return {(sum[0] + sum[1]) + (sum[2] + sum[3]), *std::max_element(largest.begin(), largest.end())};
}

/// Weights of all pairs of different faults in place of their factors (others become 0), relative to the
/// empty set's likelihood times exp(shift). Returns the total; row_largest[i] bounds row i, so that
/// listing can pass over rows without a likely pair.
double weigh_pairs(const UnitModel& model, Accumulator& sums, double shift, const std::vector<double>& alone,
                   std::vector<double>& marginal, std::vector<double>& row_largest) {
    const LiveAlternatives& live = sums.live();
    const std::size_t count = live.size();
    const double second = model.second_fault();
    double total = 0.0;
    for (std::size_t i = 0; i < count; ++i) {
        double* row = sums.pair_row(i);
        std::size_t first = i + 1;
        while (first < count && live.fault[first] == live.fault[i]) ++first;  // grades of one fault exclude each other
        std::fill(row + i, row + first, 0.0);
        if (sums.folded()) {
            // A single weight may have vanished where the pair has not, so the logarithms are added first.
            const double* log = sums.pair_log().data() + i * count;
            for (std::size_t j = first; j < count; ++j) {
                row[j] = second * live.prior[i] * live.prior[j] *
                         std::exp(sums.single()[i] + sums.single()[j] + log[j] - shift);
                marginal[j] += row[j];
                marginal[i] += row[j];
                total += row[j];
                row_largest[i] = std::max(row_largest[i], row[j]);
            }
            continue;
        }
        const RowSum sum = weigh_row(row, alone.data(), marginal.data(), first, count, second * alone[i]);
        marginal[i] += sum.sum;
        row_largest[i] = sum.largest;
        total += sum.sum;
    }
    return total;
}

/// The largest exponent of any hypothesis, so that folded weights neither overflow nor all vanish.
double largest_exponent(const Accumulator& sums, const UnitModel& model, const std::vector<Triple>& triples) {
    if (!sums.folded()) return 0.0;
    const LiveAlternatives& live = sums.live();
    const std::size_t count = live.size();
    double largest = model.nothing_wrong() > 0.0 ? 0.0 : -std::numeric_limits<double>::infinity();
    if (model.something_else() > 0.0) largest = std::max(largest, sums.else_value());
    for (std::size_t i = 0; i < count; ++i) {
        largest = std::max(largest, sums.single()[i]);
        for (std::size_t j = i + 1; j < count; ++j)
            if (live.fault[i] != live.fault[j])
                largest = std::max(largest, sums.single()[i] + sums.single()[j] + sums.pair_log()[i * count + j]);
    }
    for (const Triple& triple : triples) largest = std::max(largest, triple.exponent);
    return largest;
}

/// The weight below which pairs need not be listed because `wanted` others are larger; 0 when there are fewer.
double nth_largest(const Accumulator& sums, const std::vector<double>& row_largest, double cut, std::size_t wanted) {
    thread_local std::vector<double> large;
    large.clear();
    const std::size_t count = row_largest.size();
    for (std::size_t i = 0; i < count; ++i) {
        if (row_largest[i] <= cut) continue;
        const double* row = sums.pair_row(i);
        for (std::size_t j = i + 1; j < count; ++j)
            if (row[j] > cut) large.push_back(row[j]);
    }
    if (large.size() <= wanted) return 0.0;
    const auto place = large.begin() + static_cast<std::ptrdiff_t>(wanted);
    std::nth_element(large.begin(), place, large.end(), std::greater<>());
    // Just below, so that all of several equals at the edge are listed and the order decides among them.
    return std::nextafter(*place, 0.0);
}

FaultSet set_of(const LiveAlternatives& live, std::initializer_list<std::size_t> members) {
    FaultSet set;
    set.kind = HypothesisKind::faults;
    for (const std::size_t member : members) set.members[set.size++] = static_cast<std::uint16_t>(live.global[member]);
    return set;
}

}  // namespace

Posterior infer(const UnitModel& model, const Findings& findings, const InferOptions& options) {
    thread_local Accumulator sums;
    thread_local std::vector<double> row_largest;
    sums.run(model, findings);
    const LiveAlternatives& live = sums.live();
    const std::vector<Triple> triples =
        options.max_faults >= 3 ? all_triples(model, findings, live) : std::vector<Triple>{};
    const double shift = largest_exponent(sums, model, triples);
    const auto scaled = [&](double value) { return sums.folded() ? std::exp(value - shift) : value; };
    const auto triple_weight = [&](const Triple& triple) {
        return live.prior[triple.i] * live.prior[triple.j] * live.prior[triple.k] * model.second_fault() *
               model.second_fault() * std::exp(triple.exponent - shift);
    };

    HypothesisSums sets(model.compiled());
    sets.add_nothing_wrong(model.nothing_wrong() * scaled(sums.folded() ? 0.0 : 1.0));
    sets.add_something_else(model.something_else() * scaled(sums.else_value()));
    std::vector<double> alone(live.size());
    double total = 0.0;
    for (std::size_t i = 0; i < live.size(); ++i) total += alone[i] = live.prior[i] * scaled(sums.single()[i]);
    std::vector<double> marginal = alone;
    row_largest.assign(live.size(), 0.0);
    if (options.max_faults >= 2) total += weigh_pairs(model, sums, shift, alone, marginal, row_largest);
    for (const Triple& triple : triples) {
        const double weight = triple_weight(triple);
        for (const std::uint32_t member : {triple.i, triple.j, triple.k}) marginal[member] += weight;
        total += weight;
    }
    sets.add_faults(live, std::move(marginal), total);

    double cut = options.keep_above * sets.total();
    if (options.max_sets > 0) {
        if (live.size() * live.size() > 2 * options.max_sets)
            cut = std::max(cut, nth_largest(sums, row_largest, cut, options.max_sets));
        for (std::size_t i = 0; i < live.size(); ++i) {
            if (alone[i] > cut) sets.list(set_of(live, {i}), alone[i]);
            if (row_largest[i] <= cut) continue;
            const double* row = sums.pair_row(i);
            for (std::size_t j = i + 1; j < live.size(); ++j)
                if (row[j] > cut) sets.list(set_of(live, {i, j}), row[j]);
        }
        for (const Triple& triple : triples)
            if (const double weight = triple_weight(triple); weight > cut)
                sets.list(set_of(live, {triple.i, triple.j, triple.k}), weight);
    }
    return sets.finish(cut, options.max_sets,
                       sums.log_none() + shift - std::log(prior_total(model, live, options.max_faults)));
}

}  // namespace frostread
