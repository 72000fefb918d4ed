#include <algorithm>
#include <array>
#include <cmath>
#include <functional>

#include "engine/case_sums.hpp"
#include "engine/set_weights.hpp"

/// Normalising the weights of all hypotheses: marginals over every set, and the likeliest sets by name.
namespace frostread {

namespace {

struct Candidate {
    double weight = 0.0;
    std::array<std::uint16_t, 3> members{};  ///< alternatives; those beyond size are 0
    std::uint8_t size = 0;
};

/// The likeliest sets in one pass: what is below the wanted number of others already is not kept.
class LikeliestSets {
public:
    void start(double cut, std::size_t wanted) {
        cut_ = cut;
        wanted_ = wanted;
        limit_ = 2 * wanted + 64;
        found_.clear();
    }
    [[nodiscard]] double cut() const { return cut_; }
    void offer(double weight, std::size_t size, std::size_t i, std::size_t j = 0, std::size_t k = 0) {
        if (weight <= cut_) return;
        found_.push_back({weight,
                          {static_cast<std::uint16_t>(i), static_cast<std::uint16_t>(j), static_cast<std::uint16_t>(k)},
                          static_cast<std::uint8_t>(size)});
        if (found_.size() >= limit_) shorten();
    }
    [[nodiscard]] const std::vector<Candidate>& found() const { return found_; }

private:
    /// Just below the last that is wanted, so that all of several equals at the edge stay and the order decides.
    void shorten() {
        const auto edge = found_.begin() + static_cast<std::ptrdiff_t>(wanted_);
        std::nth_element(found_.begin(), edge, found_.end(),
                         [](const Candidate& a, const Candidate& b) { return a.weight > b.weight; });
        cut_ = std::nextafter(edge->weight, 0.0);
        found_.erase(
            std::partition(found_.begin(), found_.end(), [&](const Candidate& one) { return one.weight > cut_; }),
            found_.end());
        limit_ = std::max(limit_, 2 * found_.size());
    }

    std::vector<Candidate> found_;
    double cut_ = 0.0;
    std::size_t wanted_ = 0, limit_ = 0;
};

/// A weight that at least `wanted` sets reach, as the likeliest of the rows show; just below it, for equals.
double surely_reached(const SetWeights& weights, std::size_t wanted) {
    thread_local std::vector<double> known;
    known.assign(weights.alone.begin(), weights.alone.end());
    known.insert(known.end(), weights.row_largest.begin(), weights.row_largest.end());
    if (wanted == 0 || known.size() < wanted) return 0.0;
    const auto edge = known.begin() + static_cast<std::ptrdiff_t>(wanted - 1);
    std::nth_element(known.begin(), edge, known.end(), std::greater<>());
    return std::nextafter(*edge, 0.0);
}

}  // namespace

Posterior summarise(const UnitModel& model, const std::vector<Triple>& triples, const SetWeights& weights,
                    const InferOptions& options) {
    thread_local std::vector<double> marginal;
    thread_local LikeliestSets likeliest;
    const std::size_t count = weights.alone.size();
    marginal.assign(weights.marginal.begin(), weights.marginal.end());
    double total = weights.total;
    for (std::size_t t = 0; t < triples.size(); ++t) {
        for (const std::uint32_t member : {triples[t].i, triples[t].j, triples[t].k})
            marginal[member] += weights.triples[t];
        total += weights.triples[t];
    }

    HypothesisSums sets(model.compiled());
    sets.add_nothing_wrong(weights.nothing_wrong);
    sets.add_something_else(weights.something_else);
    sets.add_faults(marginal, total);
    likeliest.start(std::max(options.keep_above * sets.total(), surely_reached(weights, options.max_sets)),
                    options.max_sets);
    for (std::size_t i = 0; i < count && options.max_sets > 0; ++i) {
        likeliest.offer(weights.alone[i], 1, i);
        if (weights.pair.empty() || weights.row_largest[i] <= likeliest.cut()) continue;
        const double* row = weights.pair_row(i);
        for (std::size_t j = i + 1; j < count; ++j)
            if (row[j] > likeliest.cut()) likeliest.offer(row[j], 2, i, j);
    }
    for (std::size_t t = 0; t < triples.size() && options.max_sets > 0; ++t)
        likeliest.offer(weights.triples[t], 3, triples[t].i, triples[t].j, triples[t].k);
    for (const Candidate& candidate : likeliest.found()) {
        FaultSet set{HypothesisKind::faults, candidate.size, {}};
        for (std::size_t m = 0; m < candidate.size; ++m) set.members.at(m) = candidate.members.at(m);
        sets.list(set, candidate.weight);
    }
    return sets.finish(likeliest.cut(), options.max_sets,
                       weights.log_scale - std::log(prior_total(model, options.max_faults)));
}

namespace {

/// The latest case of a thread: what is asked next is mostly about the same one.
struct CaseSums {
    std::uint64_t unit = 0;
    int max_faults = 0;
    std::vector<Finding> findings;
    std::vector<Triple> triples;
    SetWeights weights, changed;
    SetWeigher weigher;
    FindingRow without;

    void prepare(const UnitModel& model, const Findings& all, int most) {
        if (unit == model.serial() && unit != 0 && max_faults == most && findings == all.items) return;
        unit = 0;  // until it is done
        triples = most >= 3 ? all_triples(model, all) : std::vector<Triple>{};
        weigher.weigh(model, all, triples, most, weights);
        max_faults = most;
        findings = all.items;
        unit = model.serial();
    }
};

CaseSums& sums_of_this_thread() {
    thread_local CaseSums sums;
    return sums;
}

}  // namespace

void forget_latest_case(bool rows) {
    sums_of_this_thread().unit = 0;
    if (rows) RowStore::of_this_thread().forget();
}

Posterior infer(const UnitModel& model, const Findings& findings, const InferOptions& options) {
    CaseSums& sums = sums_of_this_thread();
    sums.prepare(model, findings, options.max_faults);
    return summarise(model, sums.triples, sums.weights, options);
}

double probability_wrong(const UnitModel& model, const Findings& findings, std::size_t index) {
    CaseSums& sums = sums_of_this_thread();
    sums.prepare(model, findings, 2);
    const Finding& finding = findings.items[index];
    const FindingRow& row = RowStore::of_this_thread().weighed(model, finding);
    const double all = sums.weights.nothing_wrong + sums.weights.something_else + sums.weights.total;
    const double flat = (1.0 - effective_trust(finding)) * flat_likelihood(model, finding);
    return std::min(1.0, flat / row.none * total_without(sums.weights, row) / all);
}

Posterior infer_without(const UnitModel& model, const Findings& findings, std::size_t index,
                        const InferOptions& options) {
    return infer_instead(model, findings, index, nullptr, options);
}

Posterior infer_instead(const UnitModel& model, const Findings& findings, std::size_t index, const Finding* instead,
                        const InferOptions& options) {
    if (options.max_faults >= 3) {
        Findings others = findings;
        if (instead != nullptr)
            others.items[index] = *instead;
        else
            others.items.erase(others.items.begin() + static_cast<std::ptrdiff_t>(index));
        return infer(model, others, options);
    }
    CaseSums& sums = sums_of_this_thread();
    sums.prepare(model, findings, options.max_faults);
    const FindingRow* without = &RowStore::of_this_thread().weighed(model, findings.items[index]);
    const FindingRow* with = nullptr;
    if (instead != nullptr) {  // of two rows only the later is sure to stay
        sums.without = *without;
        without = &sums.without;
        with = &RowStore::of_this_thread().weighed(model, *instead);
    }
    reweigh(sums.weights, *without, with, sums.changed);
    return summarise(model, sums.triples, sums.changed, options);
}

}  // namespace frostread
