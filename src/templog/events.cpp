#include "templog/events.hpp"

#include <algorithm>
#include <cmath>

namespace frostread::templog {

namespace {

constexpr double kRiseWindow = 120.0;  ///< s in which an opened door shows
constexpr double kLongestRise = 900.0;
constexpr double kLeastRise = 0.6;  ///< K

/// How far the compartment rises by itself within the window: its steeper ordinary moves.
double own_rise(const Values& values, std::size_t window) {
    std::vector<double> moves;
    const std::size_t stride = std::max<std::size_t>(1, values.size() / 50000);
    for (std::size_t i = 0; i + window < values.size(); i += stride) {
        const double move = static_cast<double>(values[i + window] - values[i]);
        if (move > 0.0) {
            moves.push_back(move);
        }
    }
    return quantile(moves, 0.8).value_or(0.0);
}

}  // namespace

std::vector<LogDoor> find_doors(const Grid& grid, LogChannel channel) {
    std::vector<LogDoor> doors;
    const Values& raw = grid.of(channel);
    if (raw.empty() || grid.step > kDoorInterval) {
        return doors;
    }
    const double noise = noise_of(raw);
    const Values values = smooth(raw, grid.step <= 20.0 ? grid.steps(15.0) : 0);
    const std::size_t window = grid.steps(kRiseWindow);
    const double left = grid.step <= 20.0 ? noise / std::sqrt(3.0) : noise;
    const double least = std::max({kLeastRise, 7.0 * left, 3.0 * own_rise(values, window)});
    const std::size_t longest = grid.steps(kLongestRise);
    const Ordinary usual = ordinary_levels(grid, values);
    std::size_t i = 0;
    while (i + window < values.size()) {
        const double move = static_cast<double>(values[i + window] - values[i]);
        if (std::isnan(move) || move < least) {
            ++i;
            continue;
        }
        std::size_t peak = i + window;
        for (std::size_t k = peak; k < std::min(values.size(), i + longest) && !std::isnan(values[k]); ++k) {
            peak = values[k] > values[peak] ? k : peak;
        }
        // The foot: as late as a tenth of the rise has not yet been made.
        const float tenth = values[i] + 0.1F * (values[peak] - values[i]);
        std::size_t foot = peak;
        while (foot > i && values[foot] > tenth) {
            --foot;
        }
        const double rise = static_cast<double>(values[peak] - values[foot]);
        const double first_move = static_cast<double>(values[std::min(foot + window, peak)] - values[foot]);
        // A defrost has been rising for a while where a door jumps out of the ordinary.
        const std::size_t earlier = foot - std::min(foot, 2 * window);
        const double already = static_cast<double>(values[foot] - values[earlier]);
        const bool still_rising = peak + 1 >= std::min(values.size(), i + longest);
        const bool steep = first_move >= 0.4 * rise && !(already > 0.5 * first_move) && !still_rising;
        // Half gone again within half an hour, else it was no door but a warming unit or a moved probe.
        bool gone = false;
        for (std::size_t k = peak; k < std::min(values.size(), peak + grid.steps(1800.0)); ++k) {
            gone = gone || static_cast<double>(values[peak] - values[k]) > 0.35 * rise;
        }
        // The puff of a fan that starts after a defrost comes out of a freezer that is warm already.
        const bool warm_before =
            channel == LogChannel::freezer && static_cast<double>(values[foot]) > usual.top_at(foot) + 1.5;
        if (steep && gone && rise >= least && !warm_before) {
            doors.push_back({channel, grid.time(foot), grid.time(peak), rise});
        }
        i = std::max(peak, i + 1);
    }
    return doors;
}

Values without_doors(const Grid& grid, LogChannel channel, const std::vector<LogDoor>& doors) {
    Values values = grid.of(channel);
    for (const LogDoor& door : doors) {
        if (door.compartment != channel) {
            continue;
        }
        const std::size_t from = grid.index(door.start);
        const std::size_t longest = std::min(values.size(), grid.index(door.peak_time) + grid.steps(2700.0));
        std::size_t to = grid.index(door.peak_time);
        while (to + 1 < longest && !std::isnan(values[to]) &&
               static_cast<double>(values[to] - values[from]) > 0.15 * door.rise) {
            ++to;
        }
        if (to <= from || std::isnan(values[to]) || std::isnan(values[from])) {
            continue;
        }
        const float a = values[from];
        const float b = values[to];
        for (std::size_t k = from + 1; k < to; ++k) {
            if (!std::isnan(values[k])) {
                values[k] = a + (b - a) * static_cast<float>(k - from) / static_cast<float>(to - from);
            }
        }
    }
    return values;
}

std::vector<LogSpan> spells_above(const Grid& grid, const Values& values, double limit, double dip) {
    std::vector<LogSpan> spells;
    bool open = false;
    std::size_t begin = 0;
    std::size_t last = 0;  // last point above
    const auto close = [&] {
        if (open) {
            spells.push_back({grid.time(begin), grid.time(last) + grid.step});
        }
        open = false;
    };
    for (std::size_t i = 0; i < values.size(); ++i) {
        if (std::isnan(values[i])) {
            close();
        } else if (static_cast<double>(values[i]) > limit) {
            if (!open) {
                open = true;
                begin = i;
            }
            last = i;
        } else if (open && grid.time(i - last) >= dip) {
            close();
        }
    }
    close();
    return spells;
}

}  // namespace frostread::templog
