#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstdint>

#include "engine/case_sums.hpp"
#include "engine/doubt_bound.hpp"
#include "engine/prediction.hpp"
#include "engine/set_weights.hpp"

/// Normalising the weights of all hypotheses: marginals over every set, and the likeliest sets by name.
namespace frostread {

namespace {

/// Most that the likeliest of each row can stand for: more sets would often reach below them.
constexpr std::size_t kFew = 32;

/// A weight that at least `wanted` sets exceed, and few more; 0 when there are not so many. Weights are counted by
/// quarters of powers of two below the largest, which their bits tell. For few sets the largest of each row suffice.
double surely_exceeded(const SetWeights& weights, std::size_t wanted) {
    constexpr std::size_t kSteps = 128;  // 32 powers of two: more than nine decades
    constexpr unsigned kShift = 50;
    double largest = 0.0;
    for (const auto* known : {&weights.alone, &weights.row_largest})
        for (const double weight : *known) largest = std::max(largest, weight);
    const auto top = std::bit_cast<std::uint64_t>(largest);
    std::array<std::uint32_t, kSteps> counts{};
    const auto count = [&](const double* from, const double* to) {
        for (; from != to; ++from) {
            const std::uint64_t below = (top - std::bit_cast<std::uint64_t>(*from)) >> kShift;
            ++counts[std::min<std::uint64_t>(below, kSteps - 1)];
        }
    };
    count(weights.alone.data(), weights.alone.data() + weights.alone.size());
    if (wanted <= kFew)
        count(weights.row_largest.data(), weights.row_largest.data() + weights.row_largest.size());
    else
        count(weights.pairs().data(), weights.pairs().data() + weights.pairs().size());
    std::size_t seen = 0;
    for (std::size_t step = 0; step + 1 < kSteps; ++step) {
        seen += counts[step];
        const std::uint64_t span = (static_cast<std::uint64_t>(step) + 1) << kShift;
        if (seen >= wanted) return span < top ? std::bit_cast<double>(top - span) : 0.0;
    }
    return 0.0;
}

/// All sets above the cut.
void list_sets(const std::vector<Triple>& triples, const SetWeights& weights, double cut,
               std::vector<WeightedSet>& listed) {
    const std::size_t count = weights.alone.size();
    const auto list = [&](double weight, std::uint8_t size, std::size_t i, std::size_t j = 0, std::size_t k = 0) {
        const auto member = [](std::size_t index) { return static_cast<std::uint16_t>(index); };
        listed.push_back({{HypothesisKind::faults, size, {member(i), member(j), member(k)}}, weight});
    };
    for (std::size_t i = 0; i < count; ++i) {
        if (weights.alone[i] > cut) list(weights.alone[i], 1, i);
        if (weights.pair.empty() || weights.row_largest[i] <= cut) continue;
        const double* row = weights.pair_row(i);
        for (std::size_t j = i + 1; j < count; ++j)
            if (row[j] > cut) list(row[j], 2, i, j);
    }
    for (std::size_t t = 0; t < triples.size(); ++t)
        if (weights.triples[t] > cut) list(weights.triples[t], 3, triples[t].i, triples[t].j, triples[t].k);
}

}  // namespace

Posterior summarise(const UnitModel& model, const std::vector<Triple>& triples, const SetWeights& weights,
                    const InferOptions& options) {
    thread_local std::vector<double> marginal_of_thread;
    thread_local std::vector<WeightedSet> listed_of_thread;
    std::vector<double>& marginal = marginal_of_thread;
    std::vector<WeightedSet>& listed = listed_of_thread;
    marginal.assign(weights.marginal.begin(), weights.marginal.end());
    double total = weights.total;
    for (std::size_t t = 0; t < triples.size(); ++t) {
        for (const std::uint32_t member : {triples[t].i, triples[t].j, triples[t].k})
            marginal[member] += weights.triples[t];
        total += weights.triples[t];
    }

    HypothesisSums sums(model.compiled());
    sums.add_nothing_wrong(weights.nothing_wrong);
    sums.add_something_else(weights.something_else);
    sums.add_faults(marginal, total);
    listed.clear();
    double cut = 0.0;
    if (options.max_sets > 0) {
        cut = std::max(options.keep_above * sums.total(), surely_exceeded(weights, options.max_sets));
        list_sets(triples, weights, cut, listed);
        sums.list_others(cut, listed);
    }
    return sums.finish(listed, options.max_sets, weights.log_scale - std::log(prior_total(model, options.max_faults)));
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
    std::size_t changed_for = 0;  ///< `changed` leaves out the finding before this one; 0: something else

    [[nodiscard]] bool are_of(const UnitModel& model, const Findings& all) const {
        return unit == model.serial() && unit != 0 && findings == all.items;
    }
    void prepare(const UnitModel& model, const Findings& all, int most) {
        if (max_faults == most && are_of(model, all)) return;
        unit = 0;  // until it is done
        changed_for = 0;
        triples = most >= 3 ? all_triples(model, all) : std::vector<Triple>{};
        weigher.weigh(model, all, triples, most, weights);
        max_faults = most;
        findings = all.items;
        unit = model.serial();
    }
    /// Requires: prepare, for at most two faults.
    void leave_out(const UnitModel& model, const Findings& all, std::size_t index) {
        if (changed_for == index + 1) return;
        reweigh(weights, weigher.row(model, all, index), nullptr, changed);
        changed_for = index + 1;
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

namespace {

/// P(the finding is wrong), from the sum over all hypotheses without it.
double share_wrong(const UnitModel& model, const Finding& finding, const FindingRow& row, double all, double without) {
    const double flat = (1.0 - effective_trust(finding)) * flat_likelihood(model, finding);
    return std::min(1.0, flat / row.none * without / all);
}

}  // namespace

CaseRows::CaseRows(const UnitModel& model, const Findings& findings) : model_(model), findings_(findings) {
    CaseSums& sums = sums_of_this_thread();
    if (!sums.are_of(model, findings)) sums.prepare(model, findings, 2);
}

const FindingRow& CaseRows::operator[](std::size_t finding) const {
    return sums_of_this_thread().weigher.row(model_, findings_, finding);
}

double probability_wrong(const UnitModel& model, const Findings& findings, std::size_t index) {
    CaseSums& sums = sums_of_this_thread();
    sums.prepare(model, findings, 2);
    const FindingRow& row = sums.weigher.row(model, findings, index);
    return share_wrong(model, findings.items[index], row, sums.weights.all(), total_without(sums.weights, row));
}

void probability_wrong_at_most(const UnitModel& model, const Findings& findings, std::vector<double>& most) {
    CaseSums& sums = sums_of_this_thread();
    sums.prepare(model, findings, 2);
    const double all = sums.weights.all();
    most.clear();
    for (std::size_t i = 0; i < findings.items.size(); ++i) {
        const FindingRow& row = sums.weigher.row(model, findings, i);
        most.push_back(share_wrong(model, findings.items[i], row, all, total_without_at_most(sums.weights, row)));
    }
}

DoubtBound bound_doubt(const UnitModel& model, const Findings& findings, std::size_t index, FaultIndex leading) {
    CaseSums& sums = sums_of_this_thread();
    sums.prepare(model, findings, 2);
    const FindingRow& row = sums.weigher.row(model, findings, index);
    const WithoutFinding without = bound_without(model.compiled(), sums.weights, row, leading);
    return {share_wrong(model, findings.items[index], row, sums.weights.all(), without.total_at_most), without.leads};
}

void predict_without(const UnitModel& model, const Findings& findings, std::size_t index,
                     std::span<const Finding> imagined, std::span<double> predicted) {
    CaseSums& sums = sums_of_this_thread();
    sums.prepare(model, findings, 2);
    sums.leave_out(model, findings, index);
    RowStore& store = RowStore::of_this_thread();
    if (model.compiled().check(findings.items[index].check).kind != CheckKind::gauge) {
        for (std::size_t i = 0; i < imagined.size(); ++i)
            predicted[i] = predicted_look(sums.changed, store.weighed(model, imagined[i]));
        return;
    }
    thread_local std::vector<double> deviations_of_thread;
    std::vector<double>& deviations = deviations_of_thread;
    deviations.clear();
    for (const Finding& one : imagined) deviations.push_back(one.deviation);
    const Finding& finding = findings.items[index];
    predicted_gauge(sums.changed, model, finding, store.touching(model, finding), deviations, predicted);
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
    if (instead == nullptr) {
        sums.leave_out(model, findings, index);
    } else {  // of two rows only the later is sure to stay
        sums.without = sums.weigher.row(model, findings, index);
        reweigh(sums.weights, sums.without, &RowStore::of_this_thread().weighed(model, *instead), sums.changed);
        sums.changed_for = 0;
    }
    return summarise(model, sums.triples, sums.changed, options);
}

}  // namespace frostread
