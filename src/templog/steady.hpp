#pragma once

#include <vector>

#include "templog/cycles.hpp"

/// Steady periods: where the numbers of a compartment mean something.
namespace frostread::templog {

/// Where nothing disturbs: 1 inside, 0 during defrost and recovery, door openings, the first
/// pull-down and gaps.
[[nodiscard]] std::vector<std::int8_t> calm_points(const Grid& grid, const LogFindings& findings);

/// Marks `findings.cycles` that are steady and joins them to `findings.steady`. Without cycles a
/// steady period is a calm stretch of at least two hours.
void find_steady(const Grid& grid, LogFindings& findings);

/// Copy of `values` with everything outside the steady periods unknown.
[[nodiscard]] Values only_within(const Grid& grid, const Values& values, const std::vector<LogSpan>& spans);

}  // namespace frostread::templog
