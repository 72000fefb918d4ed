#include "templog/log_order.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "templog/log_text.hpp"

namespace frostread::templog {

namespace {

constexpr double kUnknownHole = 3600.0;  ///< room left between two parts of a log whose distance nobody knows

double usual_step(const std::vector<double>& time) {
    std::vector<double> steps;
    const std::size_t stride = std::max<std::size_t>(1, time.size() / 20000);
    for (std::size_t i = 1; i < time.size(); i += stride) {
        if (time[i] > time[i - 1]) {
            steps.push_back(time[i] - time[i - 1]);
        }
    }
    if (steps.empty()) {
        return 0.0;
    }
    const auto middle = steps.begin() + static_cast<std::ptrdiff_t>(steps.size() / 2);
    std::nth_element(steps.begin(), middle, steps.end());
    return *middle;
}

/// First index after `from` whose time falls back again.
std::size_t end_of_block(const std::vector<double>& time, std::size_t from) {
    std::size_t end = from + 1;
    while (end < time.size() && time[end] >= time[end - 1]) {
        ++end;
    }
    return end;
}

/// Clocks without a date pass midnight; counters and lost clocks begin again; a clock set back by an
/// hour repeats an hour. Each shifts all later rows. Single late rows are left for the sort.
void undo_restarts(RawRows& rows, const TimeForm& form, double step, IssueCounter& restarts, IssueCounter& hour_back,
                   IssueCounter& midnights) {
    auto& time = rows.time;
    const bool dated = form.kind != TimeKind::counter && form.kind != TimeKind::clock_only;
    const double first = time.front();
    double shift = 0.0;
    double highest = time.front();
    double raw_before = time.front();
    for (std::size_t i = 1; i < time.size(); ++i) {
        const double raw = time[i];
        if (raw < raw_before) {
            const std::size_t end = end_of_block(time, i);
            const bool stays = end - i >= 3 || end == time.size();
            const double fall = raw_before - raw;
            if (form.kind == TimeKind::clock_only && fall > 43200.0) {
                shift += 86400.0;
                midnights.add(rows.line[i]);
            } else if (!dated && stays && raw <= first + 2.0 * step && fall > 3.0 * step) {
                shift = highest + kUnknownHole - raw;
                restarts.add(rows.line[i]);
            } else if (dated && stays && raw < first - 86400.0) {
                shift = highest + kUnknownHole - raw;
                restarts.add(rows.line[i]);
            } else if (dated && std::abs(fall + step - 3600.0) <= std::max(60.0, 1.5 * step) &&
                       static_cast<double>(end - i) * step >= 3600.0) {
                shift += 3600.0;
                hour_back.add(rows.line[i]);
            }
        }
        raw_before = raw;
        time[i] = raw + shift;
        highest = std::max(highest, time[i]);
    }
}

template <class T>
void reorder(std::vector<T>& values, const std::vector<std::uint32_t>& order) {
    if (values.empty()) {
        return;
    }
    std::vector<T> sorted(values.size());
    for (std::size_t i = 0; i < order.size(); ++i) {
        sorted[i] = values[order[i]];
    }
    values = std::move(sorted);
}

void sort_rows(RawRows& rows, IssueCounter& late) {
    double highest = -std::numeric_limits<double>::infinity();
    bool sorted = true;
    for (std::size_t i = 0; i < rows.time.size(); ++i) {
        if (rows.time[i] < highest) {
            late.add(rows.line[i]);
            sorted = false;
        }
        highest = std::max(highest, rows.time[i]);
    }
    if (sorted) {
        return;
    }
    std::vector<std::uint32_t> order(rows.time.size());
    std::iota(order.begin(), order.end(), 0U);
    std::stable_sort(order.begin(), order.end(),
                     [&](std::uint32_t a, std::uint32_t b) { return rows.time[a] < rows.time[b]; });
    reorder(rows.time, order);
    reorder(rows.line, order);
    for (auto& values : rows.values) {
        reorder(values, order);
    }
}

/// A clock shown to the minute with several rows a minute: the rows are spread evenly.
bool spread_within_minute(RawRows& rows) {
    auto& time = rows.time;
    std::size_t same = 0;
    for (std::size_t i = 1; i < time.size(); ++i) {
        same += time[i] == time[i - 1] ? 1U : 0U;
    }
    if (rows.clock_has_seconds || same * 2 < time.size()) {
        return false;
    }
    std::size_t begin = 0;
    double width = 60.0;
    while (begin < time.size()) {
        std::size_t end = begin;
        while (end < time.size() && time[end] == time[begin]) {
            ++end;
        }
        if (end < time.size()) {
            width = std::min(60.0, time[end] - time[begin]);
        }
        const double base = time[begin];
        for (std::size_t i = begin; i < end; ++i) {
            time[i] = base + width * static_cast<double>(i - begin) / static_cast<double>(end - begin);
        }
        begin = end;
    }
    return true;
}

/// Rows of one time: cells that complete each other are joined, the rest are duplicates.
void join_same_times(RawRows& rows, IssueCounter& twice, IssueCounter& contrary) {
    std::size_t kept = 0;
    for (std::size_t i = 1; i < rows.time.size(); ++i) {
        if (rows.time[i] > rows.time[kept]) {
            ++kept;
            rows.time[kept] = rows.time[i];
            for (auto& values : rows.values) {
                if (!values.empty()) {
                    values[kept] = values[i];
                }
            }
            continue;
        }
        bool adds = false;
        bool differs = false;
        for (auto& values : rows.values) {
            if (values.empty() || std::isnan(values[i])) {
                continue;
            }
            if (std::isnan(values[kept])) {
                values[kept] = values[i];
                adds = true;
            } else {
                differs = differs || values[kept] != values[i];
            }
        }
        if (differs) {
            contrary.add(rows.line[i]);
        } else if (!adds) {
            twice.add(rows.line[i]);
        }
    }
    rows.time.resize(kept + 1);
    for (auto& values : rows.values) {
        if (!values.empty()) {
            values.resize(kept + 1);
        }
    }
}

/// A few rows with a time years away from all others are a wrong clock, not a log of years.
void drop_far_rows(RawRows& rows, IssueCounter& far) {
    constexpr double kFar = 30.0 * 86400.0;
    std::size_t best_begin = 0;
    std::size_t best_end = 0;
    std::size_t begin = 0;
    for (std::size_t i = 1; i <= rows.time.size(); ++i) {
        if (i == rows.time.size() || rows.time[i] - rows.time[i - 1] > kFar) {
            if (i - begin > best_end - best_begin) {
                best_begin = begin;
                best_end = i;
            }
            begin = i;
        }
    }
    const std::size_t all = rows.time.size();
    if (best_end - best_begin == all || (best_end - best_begin) * 10 < all * 9) {
        return;
    }
    for (std::size_t i = 0; i < all; ++i) {
        if (i < best_begin || i >= best_end) {
            far.add(rows.line[i]);
        }
    }
    const auto keep = [&](auto& values) {
        if (!values.empty()) {
            values.erase(values.begin() + static_cast<std::ptrdiff_t>(best_end), values.end());
            values.erase(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(best_begin));
        }
    };
    keep(rows.time);
    keep(rows.line);
    for (auto& values : rows.values) {
        keep(values);
    }
}

}  // namespace

void put_in_order(RawRows& rows, const TimeForm& form, Log& log) {
    IssueCounter restarts(
        "restart", "the clock began again: what follows was laid after it, the time between is not known", false);
    IssueCounter hour_back("hour-back", "the clock was put back an hour: what follows was moved on", false);
    IssueCounter midnights("midnight", "", false);
    IssueCounter late("out-of-order", "rows stand after later ones: put in their place", false);
    IssueCounter twice("duplicate-row", "the same row stands twice: one was kept", true);
    IssueCounter contrary("contrary-row", "the same time with other values: the first was kept", true);
    IssueCounter far("far-time", "a time more than 30 days from all the others: row left out", true);
    if (rows.time.empty()) {
        return;
    }
    undo_restarts(rows, form, usual_step(rows.time), restarts, hour_back, midnights);
    sort_rows(rows, late);
    drop_far_rows(rows, far);
    if (spread_within_minute(rows)) {
        log.assumptions.push_back(
            "The clock shows minutes only and several rows share one: they were spread evenly over it.");
    }
    join_same_times(rows, twice, contrary);
    for (const IssueCounter* counter : {&restarts, &hour_back, &late, &far, &twice, &contrary}) {
        if (counter->issue().count > 0) {
            log.issues.push_back(counter->issue());
        }
    }
    const double first = rows.time.front();
    if (form.kind != TimeKind::counter && form.kind != TimeKind::clock_only) {
        log.start = first;
    }
    for (double& time : rows.time) {
        time -= first;
    }
    log.seconds = std::move(rows.time);
    log.values = std::move(rows.values);
}

}  // namespace frostread::templog
