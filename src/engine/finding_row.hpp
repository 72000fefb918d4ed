#pragma once

#include <cstdint>
#include <vector>

#include "engine/stages.hpp"

/// One finding laid out over the alternatives that touch it, ready for the sum over pairs.
namespace frostread {

/// Alternatives that can be present on the unit, numbered densely.
struct LiveAlternatives {
    std::vector<AlternativeIndex> global;  ///< live index -> alternative
    std::vector<std::int32_t> live;        ///< alternative -> live index, -1 when it cannot be present
    std::vector<FaultIndex> fault;         ///< per live index
    std::vector<double> prior;             ///< per live index, > 0
    [[nodiscard]] std::size_t size() const { return global.size(); }
};

void collect_live(const UnitModel& model, LiveAlternatives& out);

/// Structure of arrays over all live alternatives; one that does not touch the check has neutral entries,
/// so that the loops over pairs run over plain contiguous arrays.
struct FindingRow {
    std::vector<std::uint32_t> touching;  ///< live indices of the alternatives that touch, ascending
    std::vector<std::uint32_t> deciders;  ///< those among them that decide
    std::vector<int> rank;
    std::vector<double> normal, rate, shape, shift, spread_squared;
    std::vector<double> ratio;    ///< L'(i) / L'(none)
    std::vector<double> inverse;  ///< L'(none) / L'(i)
    double none = 1.0;            ///< L'(none)
    double flat_ratio = 1.0;      ///< B / L'(none): what "something else" makes of it
    double range_log10 = 0.0;     ///< log10 of the largest possible L' over the smallest
    [[nodiscard]] Influence influence(std::size_t live) const {
        return {rank[live], normal[live], rate[live], shape[live], shift[live], spread_squared[live]};
    }
};

/// Requires: live from collect_live of the same model. Reuses the vectors of `row`.
void lay_out(const UnitModel& model, const Finding& finding, const LiveAlternatives& live, FindingRow& row);

/// Fills out[j] for every live j > i, where i touches the check: L'(i and j) * L'(none) / (L'(i) * L'(j)), the
/// factor by which two alternatives together differ from each on its own; 1 for a j that does not touch.
void pair_factors(const UnitModel& model, const Finding& finding, const FindingRow& row, std::size_t i,
                  std::vector<double>& out);

}  // namespace frostread
