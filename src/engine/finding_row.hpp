#pragma once

#include <algorithm>
#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "engine/stages.hpp"
#include "engine/wide_vectors.hpp"

/// One finding laid out over the alternatives that touch its check, ready for the sum over pairs.
namespace frostread {

/// Arrays over the k alternatives that touch the check on the unit, ascending. When most of the library's alternatives
/// touch it, the others are entered as well, with no influence: then one plain loop runs over all pairs.
struct FindingRow {
    std::vector<AlternativeIndex> who;
    std::vector<std::int16_t> place;  ///< alternative -> place in `who`, -1 when it does not touch
    std::vector<int> rank;
    std::vector<double> normal, rate, shape, shift, spread_squared;
    bool anyone_decides = false;

    std::vector<double> variance;  ///< gauges: of the alternative and the check together
    /// Gauges: what two alternatives shift and spread together; no reading changes it. Many pairs come to the same,
    /// so every sum stands here once, and `pair_sum` says which one a pair has, in the order of `pairs`.
    std::vector<double> sum_shift, sum_variance;
    std::vector<std::uint32_t> pair_sum;
    /// Gauges: between what the sums of one alternative with any other lie.
    std::vector<double> least_shift, most_shift, least_variance, most_variance;

    std::optional<Finding> weighed_for;  ///< gauges: the value that what follows belongs to
    std::vector<double> ratio;           ///< L'(i) / L'(none)
    std::vector<double> inverse;         ///< L'(none) / L'(i)
    /// L'(ij) L'(none) / (L'(i) L'(j)) for places i < j, one row after the other (k (k - 1) / 2): the factor by
    /// which two alternatives together differ from each on its own. Empty for a gauge: see pair_sum.
    LongDoubles pairs;
    std::vector<double> sum_likelihood;  ///< gauges: L' of each sum
    /// At least L'(none) / L'(ij) for every j that touches as well.
    std::vector<double> worst;
    double none = 1.0;         ///< L'(none)
    double log_none = 0.0;     ///< its natural logarithm
    double flat_ratio = 1.0;   ///< B / L'(none): what "something else" makes of it
    double range_log10 = 0.0;  ///< log10 of the largest possible L' over the smallest

    [[nodiscard]] std::size_t size() const { return who.size(); }
    [[nodiscard]] Influence influence(std::size_t at) const {
        return {rank[at], normal[at], rate[at], shape[at], shift[at], spread_squared[at]};
    }
    /// Where the factors of place i with i + 1, i + 2, … begin in `pairs`.
    [[nodiscard]] std::size_t pairs_of(std::size_t i) const { return i * (2 * who.size() - i - 1) / 2; }
    /// L'(none) / L'(ij). Requires: i != j.
    [[nodiscard]] double both(std::size_t i, std::size_t j) const {
        if (pair_sum.empty()) return inverse[i] * inverse[j] / pair(i, j);
        const std::size_t low = std::min(i, j), high = std::max(i, j);
        return none / sum_likelihood[pair_sum[pairs_of(low) + high - low - 1]];
    }
    /// Requires: no gauge.
    [[nodiscard]] double pair(std::size_t i, std::size_t j) const {
        return i < j ? pairs[pairs_of(i) + j - i - 1] : pairs[pairs_of(j) + i - j - 1];
    }
};

/// Fills who … anyone_decides: what depends on the check, the outcome and the unit's rule variants.
void collect_touching(const UnitModel& model, const Finding& finding, FindingRow& row);
/// Fills the rest from them: what depends on the trust, and for a gauge on the value.
/// Reuses the vectors of `row`.
void weigh_touching(const UnitModel& model, const Finding& finding, FindingRow& row);

/// Rows that were worked out before. A look is one of few outcomes at one of few trusts, and units differ in
/// few rule variants, so from case to case the same rows come back. Equal questions give the same numbers as
/// a fresh start; the memory is bounded. One for each thread: `of_this_thread`.
class RowStore {
public:
    static RowStore& of_this_thread();

    /// Forgets all rows; no answer depends on it. Some of their memory stays, to be filled afresh.
    void forget();

    /// The whole row. Valid until the next call.
    const FindingRow& weighed(const UnitModel& model, const Finding& finding) { return *lay_out(model, finding, true); }
    /// For a gauge only what collect_touching fills; for others the whole row. Valid until the next call.
    const FindingRow& touching(const UnitModel& model, const Finding& finding) {
        return *lay_out(model, finding, false);
    }
    /// As `weighed`; `row` is what it gave for this finding before, when `version` was that of today.
    const FindingRow& weighed_again(const UnitModel& model, const Finding& finding, const FindingRow* row,
                                    std::uint64_t version) {
        const bool stands = version == version_ && row != nullptr && row != &scratch_ &&
                            (row->pair_sum.empty() || row->weighed_for == finding);
        return stands ? *row : weighed(model, finding);
    }
    /// Changes when rows are forgotten.
    [[nodiscard]] std::uint64_t version() const { return version_; }

private:
    struct Remembered {
        std::uint64_t variants = 0;  ///< which of the check's rule variants apply, one bit each
        double trust = 0.0;          ///< looks only
        bool flag = false;           ///< item denied, or reference known
        std::unique_ptr<FindingRow> row;
    };
    struct OneCheck {
        std::size_t variants = 0;                         ///< how many its effects name
        std::vector<std::vector<Remembered>> by_outcome;  ///< a gauge has one entry
    };
    void prepare(const UnitModel& model);
    const FindingRow* lay_out(const UnitModel& model, const Finding& finding, bool with_gauge_weights);
    /// The remembered row, or a new one to fill (`is_new`); null when it cannot be told apart by the key.
    FindingRow* find(const UnitModel& model, const Finding& finding, bool& is_new);
    /// Counts a newcomer; when there is too much, forgets all others. Returns where the newcomer is then.
    FindingRow* make_room(FindingRow& newcomer);

    std::shared_ptr<const CompiledLibrary> library_;  ///< held, so that no other can come to lie at its address
    std::vector<OneCheck> checks_;
    std::size_t bytes_ = 0;
    std::uint64_t version_ = 0;
    FindingRow scratch_;  ///< the one that is not kept
    std::vector<std::unique_ptr<FindingRow>> spare_;
};

}  // namespace frostread
