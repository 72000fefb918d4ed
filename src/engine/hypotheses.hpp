#pragma once

#include <vector>

#include "engine/stages.hpp"

/// Sets of faults: their prior, the sum of their weights, and the sets of three that an option asks for.
namespace frostread {

/// Collects weights (any common scale) and turns them into a Posterior.
class HypothesisSums {
public:
    explicit HypothesisSums(const CompiledLibrary& compiled) : compiled_(compiled) {}

    void add_nothing_wrong(double weight) { nothing_ = weight; }
    void add_something_else(double weight) { else_ = weight; }
    /// `marginal[i]` is the weight of all sets that hold alternative i; `sets_total` of all sets with a fault.
    void add_faults(const std::vector<double>& marginal, double sets_total);
    [[nodiscard]] double total() const { return nothing_ + else_ + sets_total_; }
    /// Lists "nothing wrong" and "something else" when they lie above the cut.
    void list_others(double cut, std::vector<WeightedSet>& listed) const;
    /// Requires: total() > 0. Normalises, and keeps the likeliest of the listed sets, which carry their weights; what
    /// is left in `listed` is of no use.
    [[nodiscard]] Posterior finish(std::vector<WeightedSet>& listed, std::size_t max_sets, double log_scale);

private:
    const CompiledLibrary& compiled_;
    double nothing_ = 0.0, else_ = 0.0, sets_total_ = 0.0;
    std::vector<double> marginal_;  ///< per alternative of the library
};

/// The order of Posterior::sets; one total order, so that ties never depend on anything else.
[[nodiscard]] inline bool likelier(const WeightedSet& a, const WeightedSet& b) {
    if (a.probability != b.probability) return a.probability > b.probability;
    if (a.set.kind != b.set.kind) return a.set.kind < b.set.kind;
    if (a.set.size != b.set.size) return a.set.size < b.set.size;
    return a.set.members < b.set.members;
}

/// Sum of the prior weights of all hypotheses with at most `max_faults` faults.
[[nodiscard]] double prior_total(const UnitModel& model, int max_faults);

struct Triple {
    std::uint32_t i = 0, j = 0, k = 0;  ///< alternatives, ascending, of three different faults
    double exponent = 0.0;              ///< ln of the product over findings of L'(ijk) / L'(none)
};

/// All sets of three, one finding after another; slow and plain, since only an option asks for it.
[[nodiscard]] std::vector<Triple> all_triples(const UnitModel& model, const Findings& findings);

}  // namespace frostread
