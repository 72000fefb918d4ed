#pragma once

#include <optional>
#include <string>
#include <string_view>

/// Times as loggers write them. The form of a file is settled once; rows are then read by it.
namespace frostread::templog {

enum class TimeKind {
    year_first,     ///< 2031-04-17T09:12:00, 2031/4/17 9:12
    day_first,      ///< 17.04.2031 09:12
    month_first,    ///< 4/17/2031 9:12 AM
    epoch_seconds,  ///< seconds since 1970
    epoch_millis,
    counter,     ///< a plain number that counts up, times `scale` seconds
    clock_only,  ///< 09:12:00 without a date
};

struct TimeForm {
    TimeKind kind = TimeKind::year_first;
    double scale = 1.0;  ///< counter: seconds per count
};

struct ReadTime {
    double seconds = 0.0;             ///< since 1970 by the file's own clock; counter and clock_only: since 0
    std::optional<int> zone_minutes;  ///< offset written beside it; already taken off `seconds`
    bool has_seconds = true;          ///< the clock shows seconds
};

/// The three numbers of a date, in the order they are written, and where the clock begins.
struct DateParts {
    int first = 0, second = 0, third = 0;
    int first_digits = 0, third_digits = 0;
    bool month_name = false;  ///< the month was a word; `second` (or `first` when it leads) holds it
    bool name_leads = false;
    char mark = '-';
    bool half_day = false;  ///< AM or PM follows
    std::string_view rest;  ///< after the date
};

[[nodiscard]] std::optional<DateParts> date_parts(std::string_view cell);

/// Reads one time. `clock_cell` is the second column when date and clock stand apart, else empty.
/// None when it is no time of that form, or no day of the calendar.
[[nodiscard]] std::optional<ReadTime> parse_time(std::string_view cell, std::string_view clock_cell,
                                                 const TimeForm& form);

/// Days since 1970-01-01 of the civil calendar, after H. Hinnant's public-domain algorithm.
[[nodiscard]] long days_from_civil(long year, int month, int day);

/// "2031-04-17T09:12:00" of seconds since 1970, rounded to whole seconds.
[[nodiscard]] std::string iso_time(double seconds);
/// "17 Apr 09:12"
[[nodiscard]] std::string short_time(double seconds);

}  // namespace frostread::templog
