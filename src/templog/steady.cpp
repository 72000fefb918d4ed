#include "templog/steady.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace frostread::templog {

namespace {

constexpr double kDoorSettles = 1200.0;  ///< s after the warmest point of an opening
constexpr double kLeastCalm = 7200.0;

/// Means of every compartment over each cycle; NaN where a compartment is not known.
std::vector<std::vector<double>> cycle_means(const Grid& grid, const std::vector<LogCycle>& cycles) {
    std::vector<std::vector<double>> means;
    for (const LogChannel channel : {LogChannel::fridge, LogChannel::freezer}) {
        if (!grid.has(channel)) {
            continue;
        }
        std::vector<double> of_channel;
        for (const LogCycle& cycle : cycles) {
            const auto mean = mean_between(grid.of(channel), grid.index(cycle.start), grid.index(cycle.end));
            of_channel.push_back(mean.value_or(std::numeric_limits<double>::quiet_NaN()));
        }
        means.push_back(std::move(of_channel));
    }
    return means;
}

/// A cycle's mean agrees with its calm neighbours: within 1 K, so that one warm load is told from a
/// slow drift over days.
bool agrees(const std::vector<double>& means, const std::vector<std::size_t>& calm, std::size_t place) {
    const double own = means[calm[place]];
    if (std::isnan(own)) {
        return true;
    }
    std::vector<double> near;
    const std::size_t from = place > 4 ? place - 4 : 0;
    for (std::size_t k = from; k < std::min(calm.size(), place + 5); ++k) {
        if (!std::isnan(means[calm[k]])) {
            near.push_back(means[calm[k]]);
        }
    }
    const auto middle = median(std::move(near));
    return middle && std::abs(own - *middle) <= 1.0;
}

void join_cycles(LogFindings& findings) {
    for (const LogCycle& cycle : findings.cycles) {
        if (!cycle.steady) {
            continue;
        }
        if (!findings.steady.empty() && std::abs(findings.steady.back().to - cycle.start) < 1e-6) {
            findings.steady.back().to = cycle.end;
        } else {
            findings.steady.push_back({cycle.start, cycle.end});
        }
    }
}

void join_calm(const Grid& grid, const std::vector<std::int8_t>& calm, LogFindings& findings) {
    for (const LogSpan& span : spans_of(grid, calm, 1)) {
        if (span.length() >= kLeastCalm) {
            findings.steady.push_back(span);
        }
    }
}

}  // namespace

std::vector<std::int8_t> calm_points(const Grid& grid, const LogFindings& findings) {
    std::vector<std::int8_t> calm(grid.size, 1);
    const auto block = [&](double from, double to) {
        for (std::size_t i = grid.index(from); i <= grid.index(to); ++i) {
            calm[i] = 0;
        }
    };
    for (const LogDefrost& defrost : findings.defrosts) {
        block(defrost.start, defrost.recovered.value_or(defrost.heat_end + 7200.0));
    }
    for (const LogDoor& door : findings.doors) {
        block(door.start, door.peak_time + kDoorSettles);
    }
    for (const LogSpan& gap : findings.gaps) {
        block(gap.from, gap.to);
    }
    // The first pull-down lasts until the compartment first reaches what is ordinary later on.
    for (const LogChannel channel : {LogChannel::freezer, LogChannel::fridge}) {
        const Values& values = grid.of(channel);
        if (values.empty()) {
            continue;
        }
        const Ordinary usual = ordinary_levels(grid, values);
        std::size_t i = 0;
        // Measured against the second half of the first day, when the log is long enough.
        const std::size_t later = std::min(grid.size - 1, grid.steps(18.0 * 3600.0));
        while (i < grid.size && (std::isnan(values[i]) || static_cast<double>(values[i]) > usual.top_at(later) + 1.0)) {
            ++i;
        }
        if (i > 0 && i < grid.size) {
            block(0.0, grid.time(i));
        }
    }
    return calm;
}

void find_steady(const Grid& grid, LogFindings& findings) {
    const auto calm = calm_points(grid, findings);
    if (findings.cycles.size() < 3) {
        join_calm(grid, calm, findings);
        return;
    }
    // A cycle is used whole or not at all. Where doors leave fewer than three, doors are let in.
    for (const bool doors_count : {true, false}) {
        std::vector<std::size_t> usable;
        for (std::size_t c = 0; c < findings.cycles.size(); ++c) {
            const LogCycle& cycle = findings.cycles[c];
            std::size_t disturbed = 0;
            for (std::size_t i = grid.index(cycle.start); i < grid.index(cycle.end); ++i) {
                disturbed += calm[i] == 0 ? 1U : 0U;
            }
            if (!doors_count) {
                const bool defrosting =
                    std::any_of(findings.defrosts.begin(), findings.defrosts.end(), [&](const LogDefrost& d) {
                        return d.start < cycle.end && d.recovered.value_or(d.heat_end + 7200.0) > cycle.start;
                    });
                disturbed = defrosting ? 1 : 0;
            }
            if (disturbed == 0) {
                usable.push_back(c);
            }
        }
        const auto means = cycle_means(grid, findings.cycles);
        std::size_t marked = 0;
        std::vector<double> lengths;
        for (const std::size_t c : usable) {
            lengths.push_back(findings.cycles[c].end - findings.cycles[c].start);
        }
        const double usual = median(lengths).value_or(0.0);
        for (std::size_t place = 0; place < usable.size(); ++place) {
            const double length = lengths[place];
            const bool fits = std::all_of(means.begin(), means.end(),
                                          [&](const auto& of_channel) { return agrees(of_channel, usable, place); });
            if (fits && length > usual / 3.0 && length < usual * 3.0) {
                findings.cycles[usable[place]].steady = true;
                ++marked;
            }
        }
        if (marked >= 3 || !doors_count) {
            if (!doors_count && marked > 0) {
                findings.remarks.emplace_back(
                    "Fewer than three cycles without an opened door: the steady figures include door openings.");
            }
            break;
        }
        for (LogCycle& cycle : findings.cycles) {
            cycle.steady = false;
        }
    }
    join_cycles(findings);
    if (findings.steady.empty()) {
        // The compressor stops for defrosts only.
        join_calm(grid, calm, findings);
    }
}

Values only_within(const Grid& grid, const Values& values, const std::vector<LogSpan>& spans) {
    Values out(values.size(), std::numeric_limits<float>::quiet_NaN());
    for (const LogSpan& span : spans) {
        const std::size_t to = std::min(grid.index(span.to), values.size());
        for (std::size_t i = grid.index(span.from); i < to; ++i) {
            out[i] = values[i];
        }
    }
    return out;
}

}  // namespace frostread::templog
