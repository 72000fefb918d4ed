#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "templog/series.hpp"

/// When the compressor ran: from the power if it was logged, else from the slope of a temperature.
namespace frostread::templog {

inline constexpr std::int8_t kOff = 0;
inline constexpr std::int8_t kOn = 1;
inline constexpr std::int8_t kUnknown = -1;

struct PowerLevels {
    double idle = 0.0;
    std::optional<double> on_limit;      ///< above it something runs; none: nothing ever does
    std::optional<double> heater_limit;  ///< above it the defrost heater is on
    bool always_on = false;              ///< the power never falls to an idle level
};

struct RunState {
    RunSource source = RunSource::none;
    std::vector<std::int8_t> state;  ///< per grid point
    std::vector<LogSpan> heater;
    std::size_t short_bursts = 0;
    PowerLevels levels;
};

/// Splits the power into idle, compressor and heater by the gaps in its distribution
/// (N. Otsu, IEEE Trans. SMC 9 (1979) 62-66: the split with the largest variance between classes).
[[nodiscard]] PowerLevels power_levels(std::span<const float> watts);

[[nodiscard]] RunState runs_from_power(const Grid& grid);

/// A running compressor keeps the coil well below the freezer's air, a standing one lets it rise to it.
/// None when the two levels cannot be told apart.
[[nodiscard]] std::optional<RunState> runs_from_coil(const Grid& grid);

/// Where either falls, something cools. An open damper warms the freezer while it cools the fridge, so
/// the freezer alone would take running for standing.
[[nodiscard]] RunState either_runs(const RunState& freezer, const RunState& fridge);

/// Falling legs are running, rising legs are standing. `values` may have door openings taken out.
[[nodiscard]] RunState runs_from_temperature(const Grid& grid, LogChannel channel, const Values& values,
                                             double resolution);

/// Threshold for the turning points of a channel, K: above its noise and steps, and a good part of
/// its usual swing.
[[nodiscard]] double turning_threshold(std::span<const float> smoothed, double noise, double resolution);

/// Half width of the smoothing that a channel needs, in grid steps.
[[nodiscard]] std::size_t smoothing_half(const Grid& grid, double noise, double resolution = 0.0);

[[nodiscard]] std::vector<LogSpan> spans_of(const Grid& grid, const std::vector<std::int8_t>& state, std::int8_t what);
[[nodiscard]] std::vector<LogCycle> cycles_of(const Grid& grid, const std::vector<std::int8_t>& state);

/// Seconds of running in [from, to); none when the state is not known throughout.
[[nodiscard]] std::optional<double> run_time_between(const Grid& grid, const std::vector<std::int8_t>& state,
                                                     double from, double to);

}  // namespace frostread::templog
