#include <algorithm>
#include <cmath>
#include <limits>

#include "templog/events.hpp"

namespace frostread::templog {

namespace {

constexpr double kLongestDefrost = 2.5 * 3600.0;
constexpr double kRecoverySearch = 8.0 * 3600.0;

struct Excursion {
    std::size_t start = 0, peak = 0, back = 0;  ///< back: first point in the band again; size when never
    double rise = 0.0;
};

/// Runs of points above `limit_at`, each walked back to the foot of its rise.
template <class Limit>
std::vector<Excursion> excursions(const Grid& grid, const Values& values, Limit limit_at) {
    std::vector<Excursion> found;
    const std::size_t look = grid.steps(120.0);
    std::size_t i = 0;
    while (i < values.size()) {
        if (std::isnan(values[i]) || static_cast<double>(values[i]) <= limit_at(i)) {
            ++i;
            continue;
        }
        Excursion ex;
        std::size_t foot = i;
        while (foot >= look && !std::isnan(values[foot - look]) && values[foot - look] < values[foot]) {
            --foot;
        }
        ex.start = foot;
        ex.peak = i;
        std::size_t k = i;
        std::size_t below = 0;
        // A short dip under the limit does not end it: the heater's thermostat, a fan that starts.
        for (; k < values.size() && !std::isnan(values[k]); ++k) {
            if (static_cast<double>(values[k]) > limit_at(k)) {
                below = 0;
                ex.peak = values[k] > values[ex.peak] ? k : ex.peak;
            } else if (++below >= grid.steps(600.0)) {
                break;
            }
        }
        ex.back = k < values.size() && !std::isnan(values[k]) ? k - below + 1 : values.size();
        ex.rise = static_cast<double>(values[ex.peak] - values[ex.start]);
        found.push_back(ex);
        i = std::max(k, i + 1);
    }
    return found;
}

Values smoothed(const Grid& grid, LogChannel channel) {
    const Values& raw = grid.of(channel);
    return raw.empty() ? raw : smooth(raw, smoothing_half(grid, noise_of(raw)));
}

/// Highest known value in [from, to] s and its place.
std::optional<std::size_t> peak_between(const Grid& grid, const Values& values, double from, double to) {
    std::optional<std::size_t> best;
    if (values.empty()) {
        return best;
    }
    for (std::size_t i = grid.index(from); i <= grid.index(to); ++i) {
        if (!std::isnan(values[i]) && (!best || values[i] > values[*best])) {
            best = i;
        }
    }
    return best;
}

std::vector<LogDefrost> by_power(const RunState& run) {
    std::vector<LogDefrost> defrosts;
    for (const LogSpan& span : run.heater) {
        if (!defrosts.empty() && span.from - defrosts.back().heat_end < 900.0) {
            defrosts.back().heat_end = span.to;
            continue;
        }
        LogDefrost defrost;
        defrost.start = span.from;
        defrost.heat_end = span.to;
        defrost.seen_by = "power";
        defrosts.push_back(defrost);
    }
    return defrosts;
}

LogDefrost of_excursion(const Grid& grid, const Excursion& ex, std::string seen_by) {
    LogDefrost defrost;
    defrost.start = grid.time(ex.start);
    defrost.heat_end = grid.time(ex.peak);
    defrost.seen_by = std::move(seen_by);
    return defrost;
}

std::vector<LogDefrost> by_coil(const Grid& grid, const Values& coil, std::size_t cycle_count, bool& each_cycle) {
    std::vector<LogDefrost> defrosts;
    const Ordinary usual = ordinary_levels(grid, coil);
    const auto limit = [&](std::size_t i) { return std::max(-2.0, usual.middle_at(i) + 6.0); };
    for (const Excursion& ex : excursions(grid, coil, limit)) {
        const double length = grid.time(ex.peak - ex.start);
        if (ex.start > 0 && ex.rise >= 8.0 && length <= kLongestDefrost && length >= 180.0) {
            defrosts.push_back(of_excursion(grid, ex, "evaporator"));
        }
    }
    each_cycle = cycle_count >= 6 && defrosts.size() * 10 >= cycle_count * 6;
    return each_cycle ? std::vector<LogDefrost>{} : defrosts;
}

std::vector<LogDefrost> by_freezer(const Grid& grid, const Values& freezer, const RunState& run,
                                   const std::vector<LogDoor>& doors, double margin) {
    std::vector<LogDefrost> defrosts;
    const Ordinary usual = ordinary_levels(grid, freezer);
    const auto limit = [&](std::size_t i) {
        return usual.top_at(i) + std::max(margin, 0.4 * (usual.top_at(i) - usual.middle_at(i)));
    };
    for (const Excursion& ex : excursions(grid, freezer, limit)) {
        const double from = grid.time(ex.start);
        const double to = grid.time(ex.peak);
        const bool door = std::any_of(doors.begin(), doors.end(), [&](const LogDoor& d) {
            return d.compartment == LogChannel::freezer && d.start >= from - 300.0 && d.start <= to + 60.0;
        });
        if (door || ex.start == 0 || ex.rise < 2.0 || to - from < 360.0 || to - from > kLongestDefrost) {
            continue;
        }
        if (ex.back < grid.size && grid.time(ex.back) - to > kRecoverySearch) {
            continue;
        }
        // A heater works with the compressor standing; warm food is fought with the compressor running.
        if (run.source == RunSource::watts) {
            const auto ran = run_time_between(grid, run.state, from, to);
            if (!ran || *ran > 0.3 * (to - from)) {
                continue;
            }
        }
        defrosts.push_back(of_excursion(grid, ex, "freezer"));
    }
    return defrosts;
}

/// Back in the ordinary band of the colder compartment, or at the first stop of the compressor.
std::optional<double> recovery_end(const Grid& grid, const LogDefrost& defrost, const Values& freezer,
                                   const Ordinary& usual, const RunState& run) {
    const std::size_t end = grid.index(defrost.heat_end + kRecoverySearch);
    if (!freezer.empty()) {
        const auto peak = peak_between(grid, freezer, defrost.start, defrost.heat_end + 2400.0);
        if (peak && static_cast<double>(freezer[*peak]) > usual.top_at(*peak) + 0.2) {
            for (std::size_t i = *peak; i < end; ++i) {
                if (std::isnan(freezer[i])) {
                    return std::nullopt;
                }
                if (static_cast<double>(freezer[i]) <= usual.top_at(i)) {
                    return grid.time(i);
                }
            }
            return std::nullopt;
        }
    }
    bool ran = false;
    for (std::size_t i = grid.index(defrost.heat_end); i < end && i < run.state.size(); ++i) {
        ran = ran || run.state[i] == kOn;
        if (ran && run.state[i] == kOff) {
            return grid.time(i);
        }
    }
    return run.state.empty() ? std::optional<double>(defrost.heat_end) : std::nullopt;
}

}  // namespace

DefrostSearch find_defrosts(const Grid& grid, const RunState& run, std::size_t cycle_count,
                            const std::vector<LogDoor>& doors) {
    DefrostSearch search;
    const Values coil = smoothed(grid, LogChannel::evaporator);
    const Values freezer = smoothed(grid, LogChannel::freezer);
    search.defrosts = by_power(run);
    if (search.defrosts.empty() && !coil.empty()) {
        search.defrosts = by_coil(grid, coil, cycle_count, search.each_cycle);
    }
    // With the power or the coil logged, a freezer that warms up without heat is no defrost.
    if (search.defrosts.empty() && coil.empty() && !freezer.empty() && run.source != RunSource::watts) {
        search.defrosts = by_freezer(grid, freezer, run, doors, 1.0);
    }
    const Ordinary usual = freezer.empty() ? Ordinary{} : ordinary_levels(grid, freezer);
    for (std::size_t i = 0; i < search.defrosts.size(); ++i) {
        LogDefrost& defrost = search.defrosts[i];
        if (const auto at = peak_between(grid, coil, defrost.start, defrost.heat_end + 600.0)) {
            defrost.peak = static_cast<double>(coil[*at]);
        }
        if (const auto at = peak_between(grid, freezer, defrost.start, defrost.heat_end + 2400.0)) {
            defrost.freezer_peak = static_cast<double>(freezer[*at]);
            if (!defrost.peak) {
                defrost.peak = defrost.freezer_peak;
            }
        }
        defrost.recovered = recovery_end(grid, defrost, freezer, usual, run);
        if (i > 0) {
            const double from = search.defrosts[i - 1].start;
            defrost.interval_h = (defrost.start - from) / 3600.0;
            if (const auto ran = run_time_between(grid, run.state, from, defrost.start)) {
                defrost.run_interval_h = *ran / 3600.0;
            }
        }
    }
    return search;
}

}  // namespace frostread::templog
