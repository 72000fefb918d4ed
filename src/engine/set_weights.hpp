#pragma once

#include <algorithm>
#include <cstdint>
#include <span>
#include <vector>

#include "engine/finding_row.hpp"
#include "engine/hypotheses.hpp"

/// The weights of all hypotheses, relative to "nothing wrong" before its prior:
///     pair: prior_i prior_j second_fault * w_i * w_j * c_ij
/// where w_i is the product over findings of L'(i)/L'(none) and c_ij the product, over the findings that both
/// touch, of L'(ij) L'(none) / (L'(i) L'(j)). Findings that an alternative does not touch factor out; nothing
/// is dropped. The arrays are kept from case to case, so that a batch allocates nothing per hypothesis.
namespace frostread {

struct SetWeights {
    double nothing_wrong = 0.0, something_else = 0.0;
    std::vector<double> alone;    ///< per alternative of the library; 0 when the unit cannot have it
    LongDoubles pair;             ///< see pair_row; 0 for two grades of one fault; empty without pairs
    std::vector<double> triples;  ///< per entry of all_triples
    double log_scale = 0.0;       ///< ln of the factor that every weight was divided by

    std::vector<double> marginal;     ///< per alternative: all sets of one or two that hold it
    std::vector<double> row_largest;  ///< per alternative i: the largest pair (i, j > i)
    double total = 0.0;               ///< all sets of one or two

    [[nodiscard]] double all() const { return nothing_wrong + something_else + total; }
    /// So placed that row[j] is the pair of i and j > i. The first numbers of `pair` are spare, so that no row begins
    /// before it and the first begins a cache line.
    static constexpr std::size_t kSpare = 8;
    [[nodiscard]] double* pair_row(std::size_t i) { return pair.data() + row_start(i); }
    [[nodiscard]] const double* pair_row(std::size_t i) const { return pair.data() + row_start(i); }
    [[nodiscard]] std::span<double> pairs() { return std::span(pair).subspan(std::min(kSpare, pair.size())); }
    [[nodiscard]] std::span<const double> pairs() const {
        return std::span(pair).subspan(std::min(kSpare, pair.size()));
    }

private:
    [[nodiscard]] std::size_t row_start(std::size_t i) const {
        return i * (2 * alone.size() - i - 1) / 2 + kSpare - 1 - i;
    }
};

/// Every pair of the library has a factor of its own in FindingRow::pairs.
[[nodiscard]] inline bool is_full(const FindingRow& row, const SetWeights& weights) {
    return row.size() == weights.alone.size() && row.pair_sum.empty();
}

/// Works out the weights of one case. Keeps its arrays.
class SetWeigher {
public:
    /// Requires: triples (empty unless sets of three are wanted) belong to the model and the findings.
    void weigh(const UnitModel& model, const Findings& findings, const std::vector<Triple>& triples, int max_faults,
               SetWeights& out);

    /// The row of a finding of the latest case. Valid until rows are asked for again.
    [[nodiscard]] const FindingRow& row(const UnitModel& model, const Findings& findings, std::size_t index) const {
        return RowStore::of_this_thread().weighed_again(model, findings.items[index], rows_[index], rows_version_);
    }

private:
    void take(const UnitModel& model, const FindingRow& row);
    void fold();
    void finish(const UnitModel& model);
    void finish_folded(const UnitModel& model, const std::vector<Triple>& triples);

    SetWeights* out_ = nullptr;
    std::vector<double> single_log_, pair_log_;  ///< once folded
    std::vector<const FindingRow*> rows_;        ///< by finding
    std::vector<const double*> full_;            ///< factors of those that touch all pairs
    std::uint64_t rows_version_ = 0;
    double else_ = 1.0, else_log_ = 0.0, log_none_ = 0.0, decades_ = 0.0;
    bool folded_ = false;
};

/// The sum of all weights (two faults at most) without one finding, relative to those in `from`; the sums that do
/// not touch the finding are not added up again. Requires: no triples.
[[nodiscard]] double total_without(const SetWeights& from, const FindingRow& without);

/// Never below total_without, and a few steps for each alternative instead of one for each pair: a set that the finding
/// does not touch keeps its weight, and any other is multiplied by at most what its members' worst partners allow.
[[nodiscard]] double total_without_at_most(const SetWeights& from, const FindingRow& without);

/// The sum of all weights with one look more, which is none of the case's findings; relative to those in `from`.
/// Requires: no triples.
[[nodiscard]] double total_with_look(const SetWeights& from, const FindingRow& with);

/// The weights without one finding, or with another in its place, out of those with it: every set's L' of the
/// finding divides out. Requires: no triples. `out` is another object than `from`.
void reweigh(const SetWeights& from, const FindingRow& without, const FindingRow* with, SetWeights& out);

}  // namespace frostread
