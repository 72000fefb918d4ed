#include <algorithm>
#include <cmath>
#include <initializer_list>

#include "templog/log_sample.hpp"

namespace frostread::templog {

Diagnostics settle_time_form(const Sample& sample, std::string_view file, const LogOptions& options, Layout& layout) {
    std::size_t year_first = 0;
    std::size_t dated = 0;
    std::size_t named = 0;
    std::size_t clocks = 0;
    std::size_t numbers = 0;
    std::size_t seen = 0;
    double largest = 0.0;
    Cells cells;
    for (const SampleLine& line : sample.data) {
        split_cells(line.text, sample.separator, cells);
        const std::string_view cell = cells.at(*layout.time);
        if (cell.empty()) {
            continue;
        }
        ++seen;
        if (const auto parts = date_parts(cell)) {
            ++dated;
            year_first += parts->first_digits == 4 ? 1U : 0U;
            named += parts->month_name ? 1U : 0U;
        } else if (is_clock(cell)) {
            ++clocks;
        } else if (const auto number = parse_number(cell)) {
            ++numbers;
            largest = std::max(largest, std::abs(number->value));
        }
    }
    const std::string name = *layout.time < sample.header.size() ? sample.header[*layout.time] : "";
    if (dated * 2 > seen) {
        layout.form.kind = year_first * 2 > dated ? TimeKind::year_first : TimeKind::day_first;
        if (layout.form.kind == TimeKind::day_first && named * 2 <= dated) {
            return {};  // numeric: settled by all rows
        }
        return {};
    }
    if (clocks * 2 > seen) {
        layout.form.kind = TimeKind::clock_only;
        layout.assumptions.push_back("The times carry no date: the log is taken to go on past midnight.");
        return {};
    }
    if (numbers * 2 <= seen || seen == 0) {
        return {log_error("log-no-time", file, sample.data.empty() ? 0 : sample.data[0].number,
                          "column " + std::to_string(*layout.time + 1) + " does not read as a time",
                          "2031-04-17T09:12:00, 17.04.2031 09:12, 4/17/2031 9:12 AM, 09:12:00 or a counter; columns: " +
                              list_columns(sample),
                          std::string(kColumnsHelp))};
    }
    if (options.time_unit == LogTimeUnit::detect && largest >= 5e8) {
        layout.form.kind = largest >= 5e11 ? TimeKind::epoch_millis : TimeKind::epoch_seconds;
        layout.assumptions.push_back("The time column was read as " +
                                     std::string(largest >= 5e11 ? "milliseconds" : "seconds") +
                                     " since 1970 (UTC), by the size of its numbers.");
        return {};
    }
    layout.form.kind = TimeKind::counter;
    switch (options.time_unit) {
        case LogTimeUnit::seconds:
            layout.form.scale = 1.0;
            return {};
        case LogTimeUnit::minutes:
            layout.form.scale = 60.0;
            return {};
        case LogTimeUnit::hours:
            layout.form.scale = 3600.0;
            return {};
        case LogTimeUnit::detect:
            break;
    }
    const std::string padded = [&] {
        std::string text = " " + lower(name) + " ";
        if (*layout.time < sample.units.size()) {
            text += lower(sample.units[*layout.time]) + " ";
        }
        std::replace_if(
            text.begin(), text.end(), [](char c) { return !(c >= 'a' && c <= 'z'); }, ' ');
        return text;
    }();
    const auto says = [&](std::initializer_list<std::string_view> words) {
        return std::any_of(words.begin(), words.end(), [&](std::string_view word) {
            return padded.find(" " + std::string(word) + " ") != std::string::npos;
        });
    };
    if (says({"ms", "millis", "milliseconds"})) {
        layout.form.scale = 1e-3;
    } else if (says({"s", "sec", "secs", "second", "seconds"})) {
        layout.form.scale = 1.0;
    } else if (says({"min", "mins", "minute", "minutes", "m"})) {
        layout.form.scale = 60.0;
    } else if (says({"h", "hr", "hrs", "hour", "hours"})) {
        layout.form.scale = 3600.0;
    } else {
        return {log_error("log-time-unit", file, sample.header_line,
                          "the time column counts up, and nothing says whether in seconds or in minutes",
                          "a header such as \"time (s)\", or --time seconds|minutes|hours")};
    }
    return {};
}

}  // namespace frostread::templog
