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

/// Structure of arrays over the touching alternatives (t of them), in ascending live index.
struct FindingRow {
    std::vector<std::uint32_t> live;
    std::vector<Influence> influence;
    std::vector<double> normal, rate, shape, shift, spread_squared;  ///< of rank 0 members
    std::vector<double> ratio;                                       ///< L'(i) / L'(none)
    std::vector<double> inverse;                                     ///< L'(none) / L'(i)
    double none = 1.0;                                               ///< L'(none)
    double flat_ratio = 1.0;   ///< B / L'(none): what "something else" makes of it
    double range_log10 = 0.0;  ///< log10 of the largest possible L' over the smallest
    bool any_decides = false;
};

/// Requires: live from collect_live of the same model. Reuses the vectors of `row`.
void lay_out(const UnitModel& model, const Finding& finding, const LiveAlternatives& live, FindingRow& row);

/// Fills out[j], j in [first, t): L'(i and j) * L'(none) / (L'(i) * L'(j)), the factor by which two
/// alternatives together differ from each on its own.
void pair_factors(const UnitModel& model, const Finding& finding, const FindingRow& row, std::size_t i,
                  std::vector<double>& out);

}  // namespace frostread
