#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "frostread/engine.hpp"

/// Internal contracts of the engine, in the order in which they are used: findings.cpp turns readings
/// into findings; likelihood.cpp says how likely a finding is under any set; finding_row.cpp lays the
/// same numbers out as rows over the alternatives that touch the check; posterior.cpp sums.
namespace frostread {

/// gather for a reader that knows which check each reading is of (empty: it does not). Uses the memory of `out` again.
void gather(const UnitModel& model, const Case& the_case, std::span<const CheckIndex> checks, Findings& out);

/// What the members of a set do to one check, added up. Members of a lower `decides` rank than the
/// highest present have no say, and then the background has none either.
struct Influence {
    int rank = 0;
    double normal = 1.0;          ///< product of probabilities to stay normal
    double rate = 0.0;            ///< sum of rates
    double shape = 0.0;           ///< sum of rate * shape of the outcome that was read
    double shift = 0.0;           ///< sum of shifts
    double spread_squared = 0.0;  ///< sum of squared spreads
};

/// Adds one member. Ensures: the order of adding does not matter.
void add(Influence& sum, const Influence& member);

/// L of a finding given what the faults do to it. Requires: influence.rank >= 0.
/// Ensures: finite and >= 0; for looks <= 1.
[[nodiscard]] double likelihood_of(const CompiledCheck& check, const Finding& finding, const Influence& influence);

/// What alternative `index` of the row does; neutral when its variant does not apply.
[[nodiscard]] bool influence_of(const UnitModel& model, const Finding& finding, const LookEffect& effect,
                                Influence& influence);
[[nodiscard]] bool influence_of(const UnitModel& model, const Finding& finding, const GaugeEffect& effect,
                                Influence& influence);

/// The rows of `check` that speak about the finding.
[[nodiscard]] std::span<const LookEffect> look_effects(const CompiledCheck& check, const Finding& finding);

/// Student t density with 4 degrees of freedom at `deviation` about `mean` with scale sqrt(variance).
[[nodiscard]] double student_t4(double deviation, double mean, double variance);

/// No reading is believed so far that it could make every hypothesis impossible: trust is taken as at
/// most 1 - 1e-12, so that the sum never vanishes.
[[nodiscard]] double effective_trust(const Finding& finding);

/// An upper bound of L over all sets: 1 for looks, the peak density for gauges.
[[nodiscard]] double likelihood_ceiling(const CompiledCheck& check);

}  // namespace frostread
