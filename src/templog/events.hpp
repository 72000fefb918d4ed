#pragma once

#include <vector>

#include "templog/cycles.hpp"
#include "templog/series.hpp"

/// Things that happen to a compartment: doors, defrosts, spells above a limit.
namespace frostread::templog {

/// Rows must be at most this far apart to see a door, s.
inline constexpr double kDoorInterval = 180.0;

/// A rise far steeper than the compartment's own warming, half gone again soon after.
[[nodiscard]] std::vector<LogDoor> find_doors(const Grid& grid, LogChannel channel);

/// The channel with its door openings bridged, so that they do not count as turning points.
[[nodiscard]] Values without_doors(const Grid& grid, LogChannel channel, const std::vector<LogDoor>& doors);

struct DefrostSearch {
    std::vector<LogDefrost> defrosts;
    bool each_cycle = false;  ///< the coil passes 0 °C in most off periods: it clears by itself
};

/// By the heater's power, else the coil's temperature, else the freezer air's.
[[nodiscard]] DefrostSearch find_defrosts(const Grid& grid, const RunState& run, std::size_t cycle_count,
                                          const std::vector<LogDoor>& doors);

/// Stretches above `limit`; dips shorter than `dip` seconds do not end one, gaps do.
[[nodiscard]] std::vector<LogSpan> spells_above(const Grid& grid, const Values& values, double limit, double dip);

}  // namespace frostread::templog
