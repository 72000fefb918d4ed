#pragma once

#include <span>

#include "engine/set_weights.hpp"

/// What the sets of a case predict for one more reading: L' of it, summed over all sets by their weight.
namespace frostread {

/// Requires: a look; `row` is its own.
[[nodiscard]] double predicted_look(const SetWeights& weights, const FindingRow& row);

/// The same for a gauge at each deviation, into `sums`: as `finding` but for the deviation. Works it out from all but
/// a ten-thousandth of the weight. Requires: `row` is that of the check for a finding with the same reference.
void predicted_gauge(const SetWeights& weights, const UnitModel& model, const Finding& finding, const FindingRow& row,
                     std::span<const double> deviations, std::span<double> sums);

}  // namespace frostread
