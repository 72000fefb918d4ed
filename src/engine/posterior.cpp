#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>

#include "engine/finding_row.hpp"
#include "engine/hypotheses.hpp"

/// The exact sum over hypotheses. Relative to "nothing wrong" a set of two weighs
///     prior_i prior_j second_fault * w_i * w_j * c_ij
/// where w_i is the product over findings of L'(i)/L'(none) and c_ij the product, over the findings
/// that both touch, of L'(ij) L'(none) / (L'(i) L'(j)). Findings that an alternative does not touch
/// factor out, which is where the speed comes from; nothing is dropped.
namespace frostread {

namespace {

constexpr double kDecadesBeforeFold = 100.0;  ///< products stay far inside the range of a double (308 decades)

/// Products over findings, in the linear domain while they fit and folded into logarithms when not.
class Accumulator {
public:
    explicit Accumulator(const UnitModel& model) : model_(model) { collect_live(model, live_); }

    void run(const Findings& findings) {
        const std::size_t count = live_.size();
        single_.assign(count, 1.0);
        pair_.assign(count * count, 1.0);
        for (const Finding& finding : findings.items) take(finding);
        if (folded_) fold();
    }

    [[nodiscard]] const LiveAlternatives& live() const { return live_; }
    [[nodiscard]] double log_none() const { return log_none_; }
    [[nodiscard]] bool folded() const { return folded_; }
    /// What the findings make of "something else": a product, or its logarithm once folded.
    [[nodiscard]] double else_value() const { return folded_ ? else_log_ : else_; }
    [[nodiscard]] const std::vector<double>& single() const { return folded_ ? single_log_ : single_; }
    [[nodiscard]] const std::vector<double>& pair() const { return folded_ ? pair_log_ : pair_; }

private:
    void take(const Finding& finding) {
        lay_out(model_, finding, live_, row_);
        if (decades_ + row_.range_log10 > kDecadesBeforeFold) fold();
        decades_ += row_.range_log10;
        log_none_ += std::log(row_.none);
        else_ *= row_.flat_ratio;
        const std::size_t count = live_.size();
        for (const std::uint32_t i : row_.touching) {
            single_[i] *= row_.ratio[i];
            pair_factors(model_, finding, row_, i, factors_);
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

    const UnitModel& model_;
    LiveAlternatives live_;
    FindingRow row_;
    std::vector<double> factors_;
    std::vector<double> single_, single_log_;
    std::vector<double> pair_, pair_log_;  ///< upper triangle, row * count + column
    double else_ = 1.0, else_log_ = 0.0, log_none_ = 0.0, decades_ = 0.0;
    bool folded_ = false;
};

/// Weight of every pair of different faults, in the layout of Accumulator::pair (others stay 0), relative to
/// the empty set's likelihood times exp(shift).
std::vector<double> pair_weights(const UnitModel& model, const Accumulator& sums, double shift) {
    const LiveAlternatives& live = sums.live();
    const std::size_t count = live.size();
    const double second = model.second_fault();
    std::vector<double> weights(count * count, 0.0);
    std::vector<double> single(count);
    for (std::size_t i = 0; i < count; ++i)
        single[i] = sums.folded() ? sums.single()[i] : live.prior[i] * sums.single()[i];
    for (std::size_t i = 0; i < count; ++i) {
        const double* pair = sums.pair().data() + i * count;
        double* row = weights.data() + i * count;
        std::size_t first = i + 1;
        while (first < count && live.fault[first] == live.fault[i]) ++first;  // grades of one fault exclude each other
        if (sums.folded()) {
            for (std::size_t j = first; j < count; ++j)
                row[j] = second * live.prior[i] * live.prior[j] * std::exp(single[i] + single[j] + pair[j] - shift);
        } else {
            const double scale = second * single[i];
            for (std::size_t j = first; j < count; ++j) row[j] = scale * single[j] * pair[j];
        }
    }
    return weights;
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
                largest = std::max(largest, sums.single()[i] + sums.single()[j] + sums.pair()[i * count + j]);
    }
    for (const Triple& triple : triples) largest = std::max(largest, triple.exponent);
    return largest;
}

/// The weight below which pairs need not be listed because `wanted` others are larger; 0 when there are fewer.
double nth_largest(const std::vector<double>& weights, double cut, std::size_t wanted) {
    std::vector<double> large;
    large.reserve(weights.size());
    for (const double weight : weights)
        if (weight > cut) large.push_back(weight);
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
    Accumulator sums(model);
    sums.run(findings);
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
    const std::vector<double> pairs = options.max_faults >= 2 ? pair_weights(model, sums, shift)
                                                              : std::vector<double>(live.size() * live.size(), 0.0);
    for (std::size_t i = 0; i < live.size(); ++i) {
        const double* row = pairs.data() + i * live.size();
        double sum = 0.0;
        for (std::size_t j = i + 1; j < live.size(); ++j) {
            sum += row[j];
            marginal[j] += row[j];
        }
        marginal[i] += sum;
        total += sum;
    }
    for (const Triple& triple : triples) {
        const double weight = triple_weight(triple);
        for (const std::uint32_t member : {triple.i, triple.j, triple.k}) marginal[member] += weight;
        total += weight;
    }
    sets.add_faults(live, std::move(marginal), total);

    double cut = options.keep_above * sets.total();
    if (options.max_sets > 0) {
        if (live.size() * live.size() > 2 * options.max_sets)
            cut = std::max(cut, nth_largest(pairs, cut, options.max_sets));
        for (std::size_t i = 0; i < live.size(); ++i) {
            if (alone[i] > cut) sets.list(set_of(live, {i}), alone[i]);
            const double* row = pairs.data() + i * live.size();
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
