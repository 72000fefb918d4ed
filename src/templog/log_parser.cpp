#include <algorithm>
#include <cmath>
#include <limits>

#include "frostread/templog.hpp"
#include "templog/log_layout.hpp"
#include "templog/log_order.hpp"
#include "templog/log_text.hpp"

namespace frostread {

namespace {

using templog::Cells;
using templog::CellUnit;
using templog::IssueCounter;

struct PossibleRange {
    double low = 0.0, high = 0.0;
};

/// What a probe in or near a household unit can read; more is a broken probe, not a finding.
PossibleRange possible(LogChannel channel) {
    switch (channel) {
        case LogChannel::fridge:
        case LogChannel::freezer:
            return {-60.0, 70.0};
        case LogChannel::evaporator:
            return {-60.0, 120.0};
        case LogChannel::room:
            return {-40.0, 60.0};
        case LogChannel::watts:
            return {-20.0, 5000.0};
    }
    return {};
}

double in_our_unit(double value, CellUnit unit) {
    switch (unit) {
        case CellUnit::fahrenheit:
            return (value - 32.0) / 1.8;
        case CellUnit::kilowatt:
            return value * 1000.0;
        case CellUnit::none:
        case CellUnit::celsius:
        case CellUnit::watt:
            break;
    }
    return value;
}

struct CellIssues {
    IssueCounter bad_time{"bad-time", "the time cannot be read: row left out", true};
    IssueCounter short_row{"short-row", "the row ends before the first value: left out", true};
    IssueCounter bad_number{"bad-number", "a cell is no number: cell left out", true};
    IssueCounter out_of_range{"out-of-range", "a value no probe in a unit can have: cell left out", true};
    IssueCounter probe_error{"probe-error", "the logger wrote an error word: cell left out", true};
    IssueCounter empty_cell{"missing-cell", "a cell is empty", false};
    IssueCounter repeated_header{"repeated-header", "the header stands again (the logger restarted)", false};
};

/// One cell of a channel; NaN when it holds no usable value, which is then counted.
float read_cell(std::string_view cell, LogChannel channel, CellUnit column_unit, std::size_t line, CellIssues& issues) {
    constexpr float kNone = std::numeric_limits<float>::quiet_NaN();
    const auto number = templog::parse_number(cell);
    if (!number) {
        IssueCounter& counter = templog::is_missing(cell)       ? issues.empty_cell
                                : templog::is_probe_error(cell) ? issues.probe_error
                                                                : issues.bad_number;
        counter.add(line);
        return kNone;
    }
    const double value = in_our_unit(number->value, number->unit == CellUnit::none ? column_unit : number->unit);
    const PossibleRange range = possible(channel);
    if (value < range.low || value > range.high) {
        issues.out_of_range.add(line);
        return kNone;
    }
    return static_cast<float>(value);
}

void reserve_rows(std::string_view text, templog::RawRows& rows, const templog::Layout& layout) {
    const std::string_view head = text.substr(0, 65536);
    const auto lines = static_cast<std::size_t>(std::count(head.begin(), head.end(), '\n')) + 1;
    const std::size_t guess = text.size() / std::max<std::size_t>(1, head.size() / lines) * 21 / 20 + 16;
    rows.time.reserve(guess);
    rows.line.reserve(guess);
    for (std::size_t i = 0; i < kLogChannels; ++i) {
        if (layout.value[i]) {
            rows.values[i].reserve(guess);
        }
    }
}

void read_rows(std::string_view text, const templog::Layout& layout, templog::RawRows& rows, CellIssues& issues,
               Log& log) {
    std::size_t first_value = templog::kMaxCells;
    for (const auto& column : layout.value) {
        first_value = column ? std::min(first_value, *column) : first_value;
    }
    templog::Lines walk(text);
    std::string_view line;
    Cells cells;
    bool any_seconds = false;
    std::optional<int> zone;
    while (walk.next(line)) {
        if (walk.number() < layout.first_data_line) {
            continue;
        }
        templog::split_cells(line, layout.separator, cells);
        if (cells.count == 0 || (cells.count == 1 && cells.cell[0].empty())) {
            continue;
        }
        ++log.rows_read;
        const auto time =
            templog::parse_time(cells.at(*layout.time), layout.clock ? cells.at(*layout.clock) : "", layout.form);
        if (!time) {
            const bool header = !layout.header_line.empty() && templog::trim(line) == layout.header_line;
            (header ? issues.repeated_header : issues.bad_time).add(walk.number());
            continue;
        }
        if (cells.count <= first_value) {
            issues.short_row.add(walk.number());
            continue;
        }
        any_seconds = any_seconds || time->has_seconds;
        if (!zone && time->zone_minutes) {
            zone = time->zone_minutes;
        }
        rows.time.push_back(time->seconds + (time->zone_minutes ? *zone * 60.0 : 0.0));
        rows.line.push_back(static_cast<std::uint32_t>(walk.number()));
        for (std::size_t i = 0; i < kLogChannels; ++i) {
            if (layout.value[i]) {
                rows.values[i].push_back(read_cell(cells.at(*layout.value[i]), static_cast<LogChannel>(i),
                                                   layout.unit[i], walk.number(), issues));
            }
        }
    }
    rows.clock_has_seconds = any_seconds || layout.form.kind == templog::TimeKind::counter;
}

}  // namespace

std::string_view to_word(LogChannel channel) {
    switch (channel) {
        case LogChannel::fridge:
            return "fridge";
        case LogChannel::freezer:
            return "freezer";
        case LogChannel::evaporator:
            return "evaporator";
        case LogChannel::room:
            return "room";
        case LogChannel::watts:
            return "watts";
    }
    return "";
}

Result<Log> parse_log(std::string_view text, std::string_view file_name, const LogOptions& options) {
    std::string storage;
    const auto plain = templog::as_utf8(text, storage);
    if (!plain) {
        return templog::log_error("log-not-text", file_name, 0, "the file holds bytes that are no text",
                                  "a CSV file; a spreadsheet or a logger's own format must be exported first");
    }
    if (plain->find_first_not_of(" \t\r\n\v\f") == std::string_view::npos) {
        return templog::log_error("log-empty", file_name, 0, "the file is empty", "a header line and rows of values");
    }
    auto layout = templog::find_layout(*plain, file_name, options);
    if (!layout) {
        return layout.diagnostics();
    }
    Log log;
    log.name = std::string(file_name);
    log.assumptions = layout->assumptions;
    log.columns = layout->columns;
    CellIssues issues;
    templog::RawRows rows;
    reserve_rows(*plain, rows, *layout);
    read_rows(*plain, *layout, rows, issues, log);
    for (const IssueCounter* counter : {&issues.bad_time, &issues.short_row, &issues.bad_number, &issues.out_of_range,
                                        &issues.probe_error, &issues.empty_cell, &issues.repeated_header}) {
        if (counter->issue().count > 0) {
            log.issues.push_back(counter->issue());
        }
    }
    templog::put_in_order(rows, layout->form, log);
    bool any_signal = false;
    for (auto& values : log.values) {
        const bool empty = std::all_of(values.begin(), values.end(), [](float v) { return std::isnan(v); });
        if (empty) {
            values.clear();
        }
        any_signal = any_signal || !empty;
    }
    if (log.seconds.size() < 3 || !any_signal) {
        Diagnostics problems;
        for (const LogIssue& issue : log.issues) {
            problems.push_back(templog::log_error("log-rows", file_name, issue.first_lines.front(),
                                                  issue.what + " (" + std::to_string(issue.count) + " times)"));
            problems.back().severity = Severity::note;
        }
        problems.push_back(templog::log_error("log-no-signal", file_name, 0,
                                              "no usable signal: " + std::to_string(log.seconds.size()) + " of " +
                                                  std::to_string(log.rows_read) + " rows have a time" +
                                                  (any_signal ? "" : ", and none a value"),
                                              "at least three rows with a time and a value"));
        return problems;
    }
    return log;
}

}  // namespace frostread
