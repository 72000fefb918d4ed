#pragma once

#include "templog/steady.hpp"

namespace frostread::templog {

/// Whether so many hours of rows are a day: each row stands for the time up to the next.
[[nodiscard]] bool is_whole_day(double hours, const LogFindings& findings);

/// Air that is warmer than this for long spoils food: 4 °C / 40 °F (USDA FSIS press text on power
/// outages, carried by the Carbon County Comet).
inline constexpr double kFridgeLimit = 4.0;
inline constexpr double kFreezerLimit = -15.0;  ///< 3 K above the usual −18 °C; common practice, no source

/// Mean, swing, trend and time above the limit of one compartment.
[[nodiscard]] LogCompartment describe_compartment(const Log& log, const Grid& grid, LogChannel channel,
                                                  const LogFindings& findings);

/// The food-safety caution, when the fridge was above 4 °C for over two hours, in one stretch or as
/// a mean (food follows the mean of the air).
void caution_food(const Grid& grid, LogFindings& findings);

[[nodiscard]] std::optional<LogTrend> run_trend(const Grid& grid, const std::vector<std::int8_t>& state);

}  // namespace frostread::templog
