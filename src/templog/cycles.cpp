#include "templog/cycles.hpp"

#include <algorithm>
#include <cmath>

namespace frostread::templog {

namespace {

/// Where a leg really begins when its first part is flat: the point furthest from the chord, on the
/// side of the extreme. A straight or bowed-in leg begins at the extreme itself.
std::size_t knee(std::span<const float> values, const Extreme& from, const Extreme& to, double noise) {
    const double length = static_cast<double>(to.at - from.at);
    const double rise = static_cast<double>(to.value - from.value);
    double best = std::max(0.15 * std::abs(rise), 4.0 * noise);
    std::size_t at = from.at;
    for (std::size_t i = from.at; i < to.at; ++i) {
        const double chord = static_cast<double>(from.value) + rise * static_cast<double>(i - from.at) / length;
        const double off = from.high ? static_cast<double>(values[i]) - chord : chord - static_cast<double>(values[i]);
        if (off > best) {
            best = off;
            at = i;
        }
    }
    return at;
}

std::size_t segment_end(std::span<const float> values, std::size_t at) {
    while (at < values.size() && !std::isnan(values[at])) {
        ++at;
    }
    return at;
}

std::size_t segment_begin(std::span<const float> values, std::size_t at) {
    while (at > 0 && !std::isnan(values[at - 1])) {
        --at;
    }
    return at;
}

}  // namespace

std::size_t smoothing_half(const Grid& grid, double noise, double resolution) {
    // Three minutes follow any cycle; a noisy probe gets up to ten.
    const double seconds = noise > 0.3 || resolution >= kCoarse ? 300.0 : 90.0;
    return static_cast<std::size_t>(seconds / grid.step);
}

double turning_threshold(std::span<const float> smoothed, double noise, double resolution) {
    const double floor = std::max({0.25, 6.0 * noise, 1.1 * resolution});
    const auto extremes = find_extremes(smoothed, floor);
    std::vector<double> legs;
    for (std::size_t i = 1; i < extremes.size(); ++i) {
        if (!extremes[i].after_break) {
            legs.push_back(std::abs(static_cast<double>(extremes[i].value - extremes[i - 1].value)));
        }
    }
    const auto usual = quantile(legs, 0.6);
    return std::max(floor, usual ? 0.4 * *usual : 0.0);
}

RunState runs_from_temperature(const Grid& grid, LogChannel channel, const Values& values, double resolution) {
    RunState run;
    run.source = channel == LogChannel::evaporator ? RunSource::evaporator
                 : channel == LogChannel::freezer  ? RunSource::freezer
                                                   : RunSource::fridge;
    run.state.assign(grid.size, kUnknown);
    const double noise = noise_of(values);
    const std::size_t half = smoothing_half(grid, noise, resolution);
    const Values smoothed = smooth(values, half);
    const double left = noise / std::sqrt(static_cast<double>(2 * half + 1));
    const auto extremes = find_extremes(smoothed, turning_threshold(smoothed, left, resolution));
    const auto fill = [&](std::size_t from, std::size_t to, std::int8_t what) {
        std::fill(run.state.begin() + static_cast<std::ptrdiff_t>(from),
                  run.state.begin() + static_cast<std::ptrdiff_t>(to), what);
    };
    std::size_t begun = 0;
    for (std::size_t i = 0; i < extremes.size(); ++i) {
        const Extreme& here = extremes[i];
        const bool last = i + 1 == extremes.size() || extremes[i + 1].after_break;
        if (here.after_break) {
            // Before the first turning point of a segment it went the other way.
            fill(segment_begin(smoothed, here.at), here.at, here.high ? kOff : kOn);
            begun = here.at;
        }
        // A flat part before the leg is left out by its knee, then the corner is placed on the raw points.
        Extreme corner = here;
        if (!last) {
            corner.at = knee(smoothed, here, extremes[i + 1], left);
        }
        const std::size_t before = here.after_break ? segment_begin(smoothed, here.at) : extremes[i - 1].at;
        const std::size_t after = last ? segment_end(smoothed, here.at) - 1 : extremes[i + 1].at;
        const Turn turn = refine_turn(grid, values, before, corner, after, 2 * half + 2, resolution);
        const std::size_t at = std::clamp(static_cast<std::size_t>(std::llround(turn.at)), begun, after);
        fill(begun, at, here.high ? kOff : kOn);
        begun = at;
        if (last) {
            fill(at, after + 1, here.high ? kOn : kOff);
        }
    }
    if (extremes.size() < 3) {
        run.source = RunSource::none;
        run.state.assign(grid.size, kUnknown);
    }
    return run;
}

RunState either_runs(const RunState& freezer, const RunState& fridge) {
    RunState run = freezer;
    for (std::size_t i = 0; i < run.state.size() && i < fridge.state.size(); ++i) {
        if (run.state[i] == kOff && fridge.state[i] == kOn) {
            run.state[i] = kOn;
        }
    }
    return run;
}

std::vector<LogSpan> spans_of(const Grid& grid, const std::vector<std::int8_t>& state, std::int8_t what) {
    std::vector<LogSpan> spans;
    std::size_t i = 0;
    while (i < state.size()) {
        if (state[i] != what) {
            ++i;
            continue;
        }
        const std::size_t begin = i;
        while (i < state.size() && state[i] == what) {
            ++i;
        }
        spans.push_back({std::max(0.0, grid.time(begin) - 0.5 * grid.step), grid.time(i) - 0.5 * grid.step});
    }
    return spans;
}

std::vector<LogCycle> cycles_of(const Grid& grid, const std::vector<std::int8_t>& state) {
    std::vector<LogCycle> cycles;
    constexpr double kNotYet = -1.0;
    double start = kNotYet;
    double stop = kNotYet;
    for (std::size_t i = 1; i < state.size(); ++i) {
        if (state[i] == kUnknown) {
            start = stop = kNotYet;
        } else if (state[i] != state[i - 1]) {
            const double at = grid.time(i) - 0.5 * grid.step;
            if (state[i] == kOn && state[i - 1] == kOff) {
                if (start > kNotYet && stop > kNotYet) {
                    cycles.push_back({start, stop, at, false});
                }
                start = at;
                stop = kNotYet;
            } else if (state[i] == kOff && state[i - 1] == kOn && start > kNotYet) {
                stop = at;
            }
        }
    }
    return cycles;
}

std::optional<double> run_time_between(const Grid& grid, const std::vector<std::int8_t>& state, double from,
                                       double to) {
    if (state.empty()) {
        return std::nullopt;
    }
    std::size_t on = 0;
    std::size_t unknown = 0;
    const std::size_t first = grid.index(from);
    const std::size_t last = grid.index(to);
    for (std::size_t i = first; i < last; ++i) {
        on += state[i] == kOn ? 1U : 0U;
        unknown += state[i] == kUnknown ? 1U : 0U;
    }
    if (unknown * 50 > last - first) {
        return std::nullopt;
    }
    return static_cast<double>(on) * grid.step;
}

}  // namespace frostread::templog
