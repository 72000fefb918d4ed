#include <algorithm>
#include <cmath>

#include "templog/cycles.hpp"

namespace frostread::templog {

namespace {

// Levels of household units; the run of 18-22 min at 110-190 W is in the CREST demand model
// (Richardson et al. 2010), heaters of 350-600 W in trade texts. The borders between are ours.
constexpr double kNothingRuns = 25.0;     ///< W: a board, a lamp, a fan
constexpr double kHeaterAtLeast = 150.0;  ///< W
constexpr double kShortBurst = 60.0;      ///< s: a compressor that starts runs longer
constexpr double kShortHeater = 180.0;    ///< s

struct Split {
    double limit = 0.0, low_mean = 0.0, high_mean = 0.0, high_share = 0.0;
};

/// Best two classes of a sorted range.
std::optional<Split> split(std::span<const double> sorted) {
    const std::size_t n = sorted.size();
    if (n < 4 || sorted.back() - sorted.front() < 5.0) {
        return std::nullopt;
    }
    double total = 0.0;
    for (const double v : sorted) {
        total += v;
    }
    double below = 0.0;
    double best = -1.0;
    Split result;
    for (std::size_t i = 1; i < n; ++i) {
        below += sorted[i - 1];
        if (sorted[i] == sorted[i - 1]) {
            continue;
        }
        const auto n0 = static_cast<double>(i);
        const auto n1 = static_cast<double>(n - i);
        const double m0 = below / n0;
        const double m1 = (total - below) / n1;
        const double between = n0 * n1 * (m1 - m0) * (m1 - m0);
        if (between > best) {
            best = between;
            result = {0.5 * (m0 + m1), m0, m1, n1 / static_cast<double>(n)};
        }
    }
    return result;
}

bool far_apart(const Split& parts) {
    return parts.high_mean > 1.8 * parts.low_mean + 15.0;
}

/// Compressor on or off inside a class that holds no heater.
void set_on_limit(std::span<const double> sorted, PowerLevels& levels) {
    const double middle = sorted[sorted.size() / 2];
    const auto parts = split(sorted);
    if (parts && far_apart(*parts) && parts->high_mean > kNothingRuns) {
        // A variable-speed compressor spreads over a wide range: the border stays near idle.
        levels.on_limit = std::max(std::min(parts->limit, parts->low_mean + 0.5 * (parts->high_mean - parts->low_mean)),
                                   parts->low_mean + 8.0);
        return;
    }
    levels.always_on = middle > kNothingRuns;
    if (levels.always_on) {
        levels.on_limit = 0.5 * middle;
    }
}

std::span<const double> below(std::span<const double> sorted, double limit) {
    const auto end = std::upper_bound(sorted.begin(), sorted.end(), limit);
    return sorted.first(static_cast<std::size_t>(end - sorted.begin()));
}

}  // namespace

PowerLevels power_levels(std::span<const float> watts) {
    PowerLevels levels;
    std::vector<double> sorted;
    const std::size_t stride = std::max<std::size_t>(1, watts.size() / 60000);
    for (std::size_t i = 0; i < watts.size(); i += stride) {
        if (!std::isnan(watts[i])) {
            sorted.push_back(static_cast<double>(watts[i]));
        }
    }
    if (sorted.empty()) {
        return levels;
    }
    std::sort(sorted.begin(), sorted.end());
    levels.idle = sorted[sorted.size() / 20];
    // The surge of a start is no level of its own.
    const double cap = sorted[static_cast<std::size_t>(static_cast<double>(sorted.size() - 1) * 0.998)];
    const std::span<const double> all = below(sorted, cap);
    if (cap < kNothingRuns) {
        return levels;
    }
    const auto top = split(all);
    if (top && top->high_mean >= kHeaterAtLeast && far_apart(*top)) {
        const auto lower = below(all, top->limit);
        const auto inner = split(lower);
        const bool compressor_below =
            inner && far_apart(*inner) && inner->high_mean >= 40.0 && inner->high_share > 0.06;
        const bool runs_throughout = lower.size() > 3 && lower[lower.size() / 2] > 40.0;
        if (compressor_below || runs_throughout || top->high_mean > 280.0) {
            levels.heater_limit = top->limit;
            if (compressor_below || runs_throughout) {
                set_on_limit(lower, levels);
            }
            return levels;
        }
    }
    set_on_limit(all, levels);
    if (levels.on_limit) {
        const auto above = std::upper_bound(all.begin(), all.end(), *levels.on_limit);
        if (above != all.end()) {
            const double running = *(above + (all.end() - above) / 2);
            levels.heater_limit = std::max(kHeaterAtLeast, 1.8 * running);
        }
    }
    return levels;
}

std::optional<RunState> runs_from_coil(const Grid& grid) {
    const Values freezer = smooth(grid.of(LogChannel::freezer), grid.steps(60.0, 0));
    const Values coil = smooth(grid.of(LogChannel::evaporator), grid.steps(60.0, 0));
    Values below_air(grid.size);
    std::vector<double> sorted;
    for (std::size_t i = 0; i < grid.size; ++i) {
        below_air[i] = freezer[i] - coil[i];
        // A coil warmer than the air is being defrosted: no level of standing.
        if (below_air[i] > -1.0F && i % std::max<std::size_t>(1, grid.size / 60000) == 0) {
            sorted.push_back(static_cast<double>(below_air[i]));
        }
    }
    if (sorted.size() < 10) {
        return std::nullopt;
    }
    std::sort(sorted.begin(), sorted.end());
    double limit = 0.0;
    const auto parts = split(sorted);
    const double apart = parts ? parts->high_mean - parts->low_mean : 0.0;
    if (parts && apart >= 3.0 && parts->high_mean >= 3.5 && parts->high_share < 0.92) {
        limit = parts->limit;
        // Two levels and little between, else the slope is the better witness.
        const auto between =
            std::count_if(sorted.begin(), sorted.end(), [&](double v) { return std::abs(v - limit) < apart / 6.0; });
        if (static_cast<std::size_t>(between) * 10 > sorted.size()) {
            return std::nullopt;
        }
    } else {
        return std::nullopt;
    }
    RunState run;
    run.source = RunSource::evaporator;
    run.state.assign(grid.size, kUnknown);
    for (std::size_t i = 0; i < grid.size; ++i) {
        if (!std::isnan(below_air[i])) {
            run.state[i] = static_cast<double>(below_air[i]) > limit ? kOn : kOff;
        }
    }
    return run;
}

RunState runs_from_power(const Grid& grid) {
    RunState run;
    run.source = RunSource::watts;
    const Values& watts = grid.of(LogChannel::watts);
    run.levels = power_levels(watts);
    run.state.assign(grid.size, kUnknown);
    std::vector<std::int8_t> heat(grid.size, kUnknown);
    for (std::size_t i = 0; i < grid.size; ++i) {
        if (std::isnan(watts[i])) {
            continue;
        }
        const double w = static_cast<double>(watts[i]);
        const bool heater = run.levels.heater_limit && w > *run.levels.heater_limit;
        heat[i] = heater ? kOn : kOff;
        run.state[i] = !heater && run.levels.on_limit && w > *run.levels.on_limit ? kOn : kOff;
    }
    // Seconds of high power are the surge of a start, not a heater; minutes without are its thermostat.
    const auto settle = [&](std::vector<std::int8_t>& state, std::int8_t what, double shortest, auto&& put) {
        for (const LogSpan& span : spans_of(grid, state, what)) {
            if (span.length() < shortest) {
                for (std::size_t i = grid.index(span.from + 0.49 * grid.step); i < grid.size && grid.time(i) < span.to;
                     ++i) {
                    put(i);
                }
            }
        }
    };
    settle(heat, kOn, kShortHeater, [&](std::size_t i) {
        heat[i] = kOff;
        run.state[i] = kOn;
    });
    run.heater = spans_of(grid, heat, kOn);
    if (grid.step <= 20.0) {
        const auto bursts = spans_of(grid, run.state, kOn);
        for (const LogSpan& burst : bursts) {
            run.short_bursts += burst.length() < kShortBurst ? 1U : 0U;
        }
        settle(run.state, kOn, kShortBurst, [&](std::size_t i) { run.state[i] = kOff; });
        settle(run.state, kOff, kShortBurst, [&](std::size_t i) { run.state[i] = heat[i] == kOn ? kOff : kOn; });
    }
    return run;
}

}  // namespace frostread::templog
