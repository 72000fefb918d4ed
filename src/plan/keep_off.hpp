#pragma once

#include "frostread/engine.hpp"

/// Readings after which the unit stays without power.
namespace frostread::plan {

/// The caution under which this reading keeps the unit off; null when it does not, or when the caution is known not to
/// apply to the unit.
[[nodiscard]] const Caution* keep_off_caution(const UnitModel& model, const Finding& finding);

}  // namespace frostread::plan
