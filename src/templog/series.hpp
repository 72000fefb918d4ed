#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "frostread/templog.hpp"

/// A log on an even grid, and the small tools every finding is built with.
namespace frostread::templog {

using Values = std::vector<float>;

/// Point i stands for the time i * step; NaN where nothing is known. Single missing rows are bridged,
/// gaps are not.
struct Grid {
    double step = 10.0;  ///< s
    std::size_t size = 0;
    double gap_limit = 0.0;  ///< s; a longer hole is a gap
    std::array<Values, kLogChannels> values;
    [[nodiscard]] bool has(LogChannel channel) const { return !of(channel).empty(); }
    [[nodiscard]] const Values& of(LogChannel channel) const { return values[static_cast<std::size_t>(channel)]; }
    [[nodiscard]] double time(std::size_t index) const { return static_cast<double>(index) * step; }
    [[nodiscard]] std::size_t index(double time) const;
    /// Number of grid steps in so many seconds, at least `least`.
    [[nodiscard]] std::size_t steps(double seconds, std::size_t least = 1) const;
};

/// A logger with steps of this or more needs longer stretches to see a slope, K.
inline constexpr double kCoarse = 0.4;

/// Median distance of rows, s.
[[nodiscard]] double usual_interval(const std::vector<double>& seconds);

[[nodiscard]] Grid make_grid(const Log& log, double interval);
[[nodiscard]] std::vector<LogSpan> find_gaps(const Log& log, double gap_limit);

/// Standard deviation of the noise of one point, from second differences (robust against the signal).
[[nodiscard]] double noise_of(std::span<const float> values);
/// Steps of a coarse logger (0.5, 1.0), 0 when it is finer than 0.05.
[[nodiscard]] double resolution_of(const std::vector<float>& values);

/// Mean of known points within `half` steps on either side; NaN stays NaN.
[[nodiscard]] Values smooth(std::span<const float> values, std::size_t half);

/// A turning point, confirmed by a move of at least the threshold to the other side.
struct Extreme {
    std::size_t at = 0;
    float value = 0.0F;
    bool high = false;
    bool after_break = false;  ///< the first since the start or a gap: no leg leads to it
};
[[nodiscard]] std::vector<Extreme> find_extremes(std::span<const float> values, double threshold);

/// Where two straight lines through the points on either side meet best: smoothing moves a lopsided
/// turning point and cuts its height, this does not. `before` and `after` are the neighbouring turns.
struct Turn {
    double at = 0.0;  ///< grid steps, with a fraction
    double value = 0.0;
};
[[nodiscard]] Turn refine_turn(const Grid& grid, std::span<const float> values, std::size_t before,
                               const Extreme& extreme, std::size_t after, std::size_t reach, double resolution);

/// q-quantile (0..1) of the known values; none when there are none. Reorders `values`.
[[nodiscard]] std::optional<double> quantile(std::vector<double>& values, double q);
[[nodiscard]] std::optional<double> median(std::vector<double> values);

/// Least squares over (time in s, value): slope per s with its standard error. None below 3 points.
struct Line {
    double slope = 0.0, slope_error = 0.0, mean = 0.0;
};
[[nodiscard]] std::optional<Line> fit_line(std::span<const double> time, std::span<const double> value);

/// Mean of known points in [from, to) of the grid; none when fewer than half are known.
[[nodiscard]] std::optional<double> mean_between(std::span<const float> values, std::size_t from, std::size_t to);

/// Median and lower decile of a slow neighbourhood (24 h): what is ordinary at a time of the log.
struct Ordinary {
    std::vector<float> middle, low;  ///< one per block
    std::size_t block = 1;           ///< grid steps
    [[nodiscard]] double middle_at(std::size_t index) const;
    /// Top of the ordinary band: as far above the median as a cycle reaches.
    [[nodiscard]] double top_at(std::size_t index) const;
};
[[nodiscard]] Ordinary ordinary_levels(const Grid& grid, std::span<const float> values);

}  // namespace frostread::templog
