#include <cstdlib>

#include "templog/log_layout.hpp"

namespace frostread::templog {

namespace {

/// What all dates of a file say about the order of day and month.
struct DateEvidence {
    std::size_t day_first_line = 0;    ///< a first number above 12 stands here
    std::size_t month_first_line = 0;  ///< a second number above 12 stands here
    std::string day_first_text, month_first_text;
    bool half_day = false;  ///< AM/PM
    bool named_month = false;
    char mark = '/';
    bool ambiguous = false;                                     ///< some day and month differ
    bool changes = false;                                       ///< more than one date
    long worst_jump_day_first = 0, worst_jump_month_first = 0;  ///< days between one date and the next
};

long day_number(const DateParts& parts, bool day_first) {
    const int day = day_first ? parts.first : parts.second;
    const int month = day_first ? parts.second : parts.first;
    return days_from_civil(parts.third + (parts.third_digits <= 2 ? 2000 : 0), month, day);
}

DateEvidence gather(std::string_view text, const Layout& layout) {
    DateEvidence evidence;
    Lines walk(text);
    std::string_view line;
    Cells cells;
    std::optional<DateParts> before;
    while (walk.next(line)) {
        if (walk.number() < layout.first_data_line) {
            continue;
        }
        split_cells(line, layout.separator, cells);
        const auto parts = date_parts(cells.at(*layout.time));
        if (!parts || parts->first_digits == 4) {
            continue;
        }
        if (parts->month_name) {
            evidence.named_month = true;
            return evidence;
        }
        evidence.half_day = evidence.half_day || parts->half_day;
        evidence.mark = parts->mark;
        if (parts->first > 12 && evidence.day_first_line == 0) {
            evidence.day_first_line = walk.number();
            evidence.day_first_text = std::string(cells.at(*layout.time));
        }
        if (parts->second > 12 && evidence.month_first_line == 0) {
            evidence.month_first_line = walk.number();
            evidence.month_first_text = std::string(cells.at(*layout.time));
        }
        if (parts->first > 12 || parts->second > 12) {
            continue;
        }
        evidence.ambiguous = evidence.ambiguous || parts->first != parts->second;
        if (before &&
            (before->first != parts->first || before->second != parts->second || before->third != parts->third)) {
            evidence.changes = true;
            const long day_step = std::labs(day_number(*parts, true) - day_number(*before, true));
            const long month_step = std::labs(day_number(*parts, false) - day_number(*before, false));
            evidence.worst_jump_day_first = std::max(evidence.worst_jump_day_first, day_step);
            evidence.worst_jump_month_first = std::max(evidence.worst_jump_month_first, month_step);
        }
        before = parts;
    }
    return evidence;
}

}  // namespace

Diagnostics settle_date_order(std::string_view text, std::string_view file, const LogOptions& options, Layout& layout) {
    const DateEvidence seen = gather(text, layout);
    if (seen.named_month) {
        return {};
    }
    const auto choose = [&](bool day_first, const std::string& why) {
        layout.form.kind = day_first ? TimeKind::day_first : TimeKind::month_first;
        if (!why.empty()) {
            layout.assumptions.push_back("Dates were read " + std::string(day_first ? "day first" : "month first") +
                                         ": " + why);
        }
    };
    const bool both = seen.day_first_line > 0 && seen.month_first_line > 0;
    if (options.date_order != DateOrder::detect) {
        const bool day_first = options.date_order == DateOrder::day_first;
        const std::size_t against = day_first ? seen.month_first_line : seen.day_first_line;
        if (against > 0 && !both) {
            return {log_error("log-date-order", file, against,
                              "the date " + printable(day_first ? seen.month_first_text : seen.day_first_text) +
                                  " cannot be " + (day_first ? "day first" : "month first"),
                              std::string("dates as the option says"), day_first ? "--month-first" : "--day-first")};
        }
        choose(day_first, "");
        return {};
    }
    if (both) {
        return {log_error("log-date-order", file, std::max(seen.day_first_line, seen.month_first_line),
                          "dates disagree: " + printable(seen.day_first_text) + " (line " +
                              std::to_string(seen.day_first_line) + ") can only be day first, " +
                              printable(seen.month_first_text) + " (line " + std::to_string(seen.month_first_line) +
                              ") only month first",
                          "one order throughout", "--day-first or --month-first; rows that do not fit are then named")};
    }
    if (seen.day_first_line > 0) {
        choose(true, "line " + std::to_string(seen.day_first_line) + " has " + printable(seen.day_first_text) + ".");
        return {};
    }
    if (seen.month_first_line > 0) {
        choose(false,
               "line " + std::to_string(seen.month_first_line) + " has " + printable(seen.month_first_text) + ".");
        return {};
    }
    if (!seen.ambiguous) {
        choose(true, "");
        return {};
    }
    if (seen.changes) {
        const long by_day = seen.worst_jump_day_first;
        const long by_month = seen.worst_jump_month_first;
        if (by_day <= 2 && by_month >= 20) {
            choose(true, "that way the days follow each other; month first would leave holes of " +
                             std::to_string(by_month) + " days.");
            return {};
        }
        if (by_month <= 2 && by_day >= 20) {
            choose(false, "that way the days follow each other; day first would leave holes of " +
                              std::to_string(by_day) + " days.");
            return {};
        }
    }
    const std::string settle = seen.changes ? " Nothing in the file proves it: --day-first or --month-first settles it."
                                            : " Nothing in the file proves it, but all rows are of one day, so only "
                                              "the date shown depends on it (--day-first or --month-first settles it).";
    if (seen.mark == '.') {
        choose(true, "dates with dots are written that way." + settle);
    } else if (seen.half_day) {
        choose(false, "AM and PM go with that order as a rule." + settle);
    } else {
        choose(true, "assumed." + settle);
    }
    return {};
}

}  // namespace frostread::templog
