#include <algorithm>
#include <cmath>

#include "frostread/templog.hpp"
#include "templog/compartments.hpp"
#include "templog/events.hpp"
#include "templog/log_text.hpp"

namespace frostread {

namespace {

using namespace templog;

/// Running by power if logged, else by the channel that follows the compressor most closely.
RunState find_runs(const Log& log, const Grid& grid, const std::vector<LogDoor>& doors) {
    if (grid.has(LogChannel::watts)) {
        return runs_from_power(grid);
    }
    if (grid.has(LogChannel::evaporator) && grid.has(LogChannel::freezer)) {
        if (auto run = runs_from_coil(grid)) {
            return std::move(*run);
        }
    }
    const auto by_slope = [&](LogChannel channel) {
        return runs_from_temperature(grid, channel, without_doors(grid, channel, doors),
                                     resolution_of(log.of(channel)));
    };
    for (const LogChannel channel : {LogChannel::evaporator, LogChannel::freezer, LogChannel::fridge}) {
        if (!grid.has(channel)) {
            continue;
        }
        RunState run = by_slope(channel);
        if (run.source != RunSource::none && channel != LogChannel::fridge && grid.has(LogChannel::fridge)) {
            const RunState fridge = by_slope(LogChannel::fridge);
            run = fridge.source == RunSource::none ? run : either_runs(run, fridge);
        }
        if (run.source != RunSource::none) {
            return run;
        }
    }
    RunState none;
    none.state.assign(grid.size, kUnknown);
    return none;
}

void describe_runs(const Grid& grid, const RunState& run, LogFindings& findings) {
    findings.run_source = run.source;
    findings.runs = spans_of(grid, run.state, kOn);
    findings.cycles = cycles_of(grid, run.state);
    findings.short_bursts = run.short_bursts;
    std::size_t on = 0;
    std::size_t known = 0;
    for (const std::int8_t state : run.state) {
        on += state == kOn ? 1U : 0U;
        known += state != kUnknown ? 1U : 0U;
    }
    if (known > 0) {
        findings.run_share = static_cast<double>(on) / static_cast<double>(known);
    }
    findings.run_trend = run_trend(grid, run.state);
}

void describe_power(const Grid& grid, const RunState& run, LogFindings& findings) {
    if (!grid.has(LogChannel::watts)) {
        return;
    }
    const Values& watts = grid.of(LogChannel::watts);
    std::vector<double> running;
    std::vector<double> standing;
    std::vector<double> heating;
    double sum = 0.0;
    std::size_t known = 0;
    for (std::size_t i = 0; i < watts.size(); ++i) {
        if (std::isnan(watts[i])) {
            continue;
        }
        const double w = static_cast<double>(watts[i]);
        sum += w;
        ++known;
        const bool heats = run.levels.heater_limit && w > *run.levels.heater_limit;
        (heats ? heating : run.state[i] == kOn ? running : standing).push_back(w);
    }
    findings.mean_watts = sum / static_cast<double>(std::max<std::size_t>(known, 1));
    findings.running_watts = median(std::move(running));
    findings.idle_watts = median(std::move(standing));
    if (!run.heater.empty()) {
        findings.heater_watts = median(std::move(heating));
    }
}

/// The fall of the colder compartment: within a cycle, and after it had warmed.
void describe_fall(const Grid& grid, LogFindings& findings) {
    const Values& values = grid.of(findings.pull_down_of);
    std::vector<double> rates;
    for (const LogCycle& cycle : findings.cycles) {
        if (!cycle.steady) {
            continue;
        }
        // The middle three fifths of the run: past the lag of the start, before the flat end.
        const double length = cycle.stop - cycle.start;
        std::vector<double> time;
        std::vector<double> value;
        for (std::size_t i = grid.index(cycle.start + 0.2 * length); i <= grid.index(cycle.stop - 0.2 * length); ++i) {
            if (!std::isnan(values[i])) {
                time.push_back(grid.time(i));
                value.push_back(static_cast<double>(values[i]));
            }
        }
        if (const auto line = fit_line(time, value)) {
            rates.push_back(-line->slope * 3600.0);
        }
    }
    if (rates.size() >= 2) {
        findings.cycle_rate = median(std::move(rates));
    }
    constexpr double kWindow = 7200.0;
    constexpr double kShortestRun = 1200.0;
    const Values calm = smooth(values, grid.steps(60.0, 0));
    const Ordinary usual = ordinary_levels(grid, values);
    std::vector<double> falls;
    for (const LogSpan& run : findings.runs) {
        const std::size_t from = grid.index(run.from);
        const bool after_defrost = std::any_of(
            findings.defrosts.begin(), findings.defrosts.end(),
            [&](const LogDefrost& d) { return run.from >= d.heat_end - 120.0 && run.from <= d.heat_end + 2400.0; });
        const bool warm_start = run.from < 3600.0 && !std::isnan(calm[from]) &&
                                static_cast<double>(calm[from]) > usual.top_at(grid.steps(18.0 * 3600.0)) + 5.0;
        const double to = std::min(run.to, run.from + kWindow);
        if ((!after_defrost && !warm_start) || to - run.from < kShortestRun) {
            continue;
        }
        const double fall = static_cast<double>(calm[from] - calm[grid.index(to)]);
        if (!std::isnan(fall)) {
            falls.push_back(fall / (to - run.from) * 3600.0);
        }
    }
    findings.pull_downs = falls.size();
    findings.pull_down_rate = median(std::move(falls));
}

void describe_steady(const Grid& grid, LogFindings& findings) {
    double run = 0.0;
    double all = 0.0;
    std::size_t count = 0;
    for (const LogCycle& cycle : findings.cycles) {
        if (cycle.steady) {
            run += cycle.stop - cycle.start;
            all += cycle.end - cycle.start;
            ++count;
        }
    }
    for (const LogSpan& span : findings.steady) {
        findings.steady_h += span.length() / 3600.0;
    }
    if (count >= 2) {
        findings.steady_run_share = run / all;
        findings.cycles_per_hour = static_cast<double>(count) * 3600.0 / all;
    } else if (findings.run_source == RunSource::watts && findings.known_h >= 3.0) {
        // It stops for defrosts only, or not at all: those stops are no cycles.
        const auto own = std::count_if(findings.cycles.begin(), findings.cycles.end(), [&](const LogCycle& cycle) {
            return std::none_of(findings.defrosts.begin(), findings.defrosts.end(), [&](const LogDefrost& d) {
                return d.start < cycle.end + 600.0 && d.heat_end > cycle.start;
            });
        });
        findings.cycles_per_hour = static_cast<double>(own) / findings.known_h;
    }
    if (grid.has(LogChannel::freezer) || grid.has(LogChannel::fridge)) {
        findings.pull_down_of = grid.has(LogChannel::freezer) ? LogChannel::freezer : LogChannel::fridge;
        describe_fall(grid, findings);
    }
}

/// Intervals across a gap are taken back: a defrost may be hidden in it.
void doubt_intervals(LogFindings& findings) {
    for (std::size_t i = 1; i < findings.defrosts.size(); ++i) {
        LogDefrost& defrost = findings.defrosts[i];
        const double from = findings.defrosts[i - 1].start;
        const bool hidden = std::any_of(findings.gaps.begin(), findings.gaps.end(), [&](const LogSpan& gap) {
            return gap.length() > 600.0 && gap.from < defrost.start && gap.to > from;
        });
        if (hidden) {
            defrost.interval_h.reset();
            defrost.run_interval_h.reset();
        }
    }
}

void add_remarks(const Grid& grid, LogFindings& findings) {
    auto& remarks = findings.remarks;
    if (findings.run_source == RunSource::none && !grid.has(LogChannel::watts)) {
        remarks.emplace_back(
            "The temperature does not swing: the compressor runs without a stop, stands still, or the probe is too "
            "slow to show cycles. Listen to it, or log the power.");
    }
    if (findings.run_source == RunSource::fridge) {
        remarks.emplace_back(
            "Cycles are taken from the fridge air alone; on a unit with a damper they may be the damper's.");
    }
    if (findings.run_source == RunSource::freezer) {
        remarks.emplace_back(
            "Run time is taken from falling temperatures, which a damper can disturb; the power at the plug tells it "
            "for certain.");
    }
    if (findings.run_source == RunSource::watts && findings.run_share) {
        if (*findings.run_share <= 0.0) {
            remarks.emplace_back("The power never reached the level of a running compressor.");
        } else if (findings.cycles.empty() && *findings.run_share > 0.9) {
            remarks.emplace_back("The compressor ran without a stop.");
        }
    }
    if (findings.short_bursts >= 3) {
        remarks.push_back("Power rose for less than a minute " + std::to_string(findings.short_bursts) +
                          " times: the compressor may be trying to start and tripping.");
    }
    if (findings.defrost_each_cycle) {
        remarks.emplace_back("The coil passes 0 °C in most off periods: it clears itself in every cycle.");
    }
    if (!findings.doors_visible && (grid.has(LogChannel::fridge) || grid.has(LogChannel::freezer))) {
        remarks.emplace_back("Rows are more than 3 min apart: door openings cannot be seen.");
    }
    if (findings.steady.empty()) {
        remarks.emplace_back("No steady period was found; the means are over the whole log.");
    }
    if (!is_whole_day(findings.length_h, findings)) {
        remarks.emplace_back("The log is shorter than a day: use and defrosts weigh more than they should.");
    }
}

}  // namespace

LogFindings analyse_log(const Log& log) {
    LogFindings findings;
    if (log.seconds.size() < 2) {
        return findings;
    }
    findings.interval_s = usual_interval(log.seconds);
    findings.length_h = log.seconds.back() / 3600.0;
    const Grid grid = make_grid(log, findings.interval_s);
    findings.gaps = find_gaps(log, grid.gap_limit);
    findings.known_h = findings.length_h;
    for (const LogSpan& gap : findings.gaps) {
        findings.known_h -= gap.length() / 3600.0;
    }
    for (const LogChannel channel : {LogChannel::fridge, LogChannel::freezer}) {
        const auto doors = find_doors(grid, channel);
        findings.doors.insert(findings.doors.end(), doors.begin(), doors.end());
    }
    findings.doors_visible =
        grid.step <= kDoorInterval && (grid.has(LogChannel::fridge) || grid.has(LogChannel::freezer));
    const RunState run = find_runs(log, grid, findings.doors);
    describe_runs(grid, run, findings);
    describe_power(grid, run, findings);
    DefrostSearch defrosts = find_defrosts(grid, run, findings.cycles.size(), findings.doors);
    findings.defrosts = std::move(defrosts.defrosts);
    findings.defrost_each_cycle = defrosts.each_cycle;
    findings.defrost_visible =
        grid.has(LogChannel::watts) || grid.has(LogChannel::evaporator) || grid.has(LogChannel::freezer);
    // What looked like a door within a defrost was the heater.
    std::erase_if(findings.doors, [&](const LogDoor& door) {
        return std::any_of(findings.defrosts.begin(), findings.defrosts.end(), [&](const LogDefrost& d) {
            return door.compartment == LogChannel::freezer && door.start >= d.start - 120.0 &&
                   door.start <= d.heat_end + 600.0;
        });
    });
    std::stable_sort(findings.doors.begin(), findings.doors.end(),
                     [](const LogDoor& a, const LogDoor& b) { return a.start < b.start; });
    doubt_intervals(findings);
    find_steady(grid, findings);
    describe_steady(grid, findings);
    for (const LogChannel channel : {LogChannel::fridge, LogChannel::freezer}) {
        if (grid.has(channel)) {
            findings.compartments.push_back(describe_compartment(log, grid, channel, findings));
        }
    }
    if (grid.has(LogChannel::room)) {
        findings.room_mean = mean_between(grid.of(LogChannel::room), 0, grid.size);
    }
    if (grid.has(LogChannel::evaporator)) {
        std::vector<double> coil;
        for (const float v : grid.of(LogChannel::evaporator)) {
            if (!std::isnan(v)) {
                coil.push_back(static_cast<double>(v));
            }
        }
        findings.evaporator_min = quantile(coil, 0.01);
    }
    caution_food(grid, findings);
    add_remarks(grid, findings);
    return findings;
}

}  // namespace frostread
