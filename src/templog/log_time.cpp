#include "templog/log_time.hpp"

#include <array>
#include <cmath>

#include "templog/log_text.hpp"

namespace frostread::templog {

namespace {

constexpr std::array<std::string_view, 12> kMonths{"jan", "feb", "mar", "apr", "may", "jun",
                                                   "jul", "aug", "sep", "oct", "nov", "dec"};
constexpr std::array<int, 12> kMonthDays{31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}
bool is_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

/// Reads up to `most` digits off the front; the number of digits read, 0 when there are none.
int take_number(std::string_view& text, int& number, int most) {
    int digits = 0;
    number = 0;
    while (digits < most && !text.empty() && is_digit(text.front())) {
        number = number * 10 + (text.front() - '0');
        text.remove_prefix(1);
        ++digits;
    }
    return digits;
}

bool take_month_name(std::string_view& text, int& month) {
    if (text.size() < 3 || !is_letter(text[0])) {
        return false;
    }
    const std::string word = lower(text.substr(0, 3));
    for (std::size_t i = 0; i < kMonths.size(); ++i) {
        if (word == kMonths[i]) {
            month = static_cast<int>(i) + 1;
            while (!text.empty() && is_letter(text.front())) {
                text.remove_prefix(1);
            }
            return true;
        }
    }
    return false;
}

bool take_mark(std::string_view& text, char& mark) {
    if (text.empty() || (text[0] != '-' && text[0] != '/' && text[0] != '.' && text[0] != ' ')) {
        return false;
    }
    mark = text[0];
    text.remove_prefix(1);
    if (!text.empty() && text[0] == ' ') {
        text.remove_prefix(1);
    }
    return true;
}

struct Clock {
    double seconds = 0.0;
    bool has_seconds = false;
    std::optional<int> zone_minutes;
};

std::optional<Clock> parse_clock(std::string_view text) {
    Clock clock;
    int hour = 0;
    int minute = 0;
    if (take_number(text, hour, 3) == 0 || text.empty() || (text[0] != ':' && text[0] != '.')) {
        return std::nullopt;
    }
    text.remove_prefix(1);
    if (take_number(text, minute, 2) == 0 || minute > 59) {
        return std::nullopt;
    }
    double seconds = 0.0;
    if (!text.empty() && (text[0] == ':' || text[0] == '.') && text.size() > 1 && is_digit(text[1])) {
        text.remove_prefix(1);
        int whole = 0;
        take_number(text, whole, 2);
        if (whole > 60) {
            return std::nullopt;
        }
        seconds = whole;
        clock.has_seconds = true;
        if (!text.empty() && (text[0] == '.' || text[0] == ',' || text[0] == ':') && text.size() > 1 &&
            is_digit(text[1])) {
            text.remove_prefix(1);
            int part = 0;
            const int digits = take_number(text, part, 9);
            seconds += part / std::pow(10.0, digits);
            while (!text.empty() && is_digit(text[0])) {
                text.remove_prefix(1);
            }
        }
    }
    text = trim(text);
    if (text.size() >= 2 && is_letter(text[0])) {
        const std::string word = lower(text.substr(0, 2));
        if (word == "am" || word == "pm" || word == "a." || word == "p.") {
            if (hour < 1 || hour > 12) {
                return std::nullopt;
            }
            hour = hour % 12 + (word[0] == 'p' ? 12 : 0);
            text = trim(text.substr(text.size() >= 4 && text[1] == '.' ? 4 : 2));
        }
    }
    if (!text.empty()) {
        if (text == "Z" || text == "z" || text == "UTC") {
            clock.zone_minutes = 0;
        } else if (text[0] == '+' || text[0] == '-') {
            const int sign = text[0] == '-' ? -1 : 1;
            text.remove_prefix(1);
            int zone_hour = 0;
            int zone_minute = 0;
            if (take_number(text, zone_hour, 2) == 0) {
                return std::nullopt;
            }
            if (!text.empty() && text[0] == ':') {
                text.remove_prefix(1);
            }
            if (!text.empty() && (take_number(text, zone_minute, 2) == 0 || !text.empty())) {
                return std::nullopt;
            }
            if (zone_hour > 14 || zone_minute > 59) {
                return std::nullopt;
            }
            clock.zone_minutes = sign * (zone_hour * 60 + zone_minute);
        } else {
            return std::nullopt;
        }
    }
    clock.seconds = hour * 3600.0 + minute * 60.0 + seconds;
    return clock;
}

struct Civil {
    long year = 0;
    int month = 0, day = 0;
};

Civil civil_from_days(long days) {
    days += 719468;
    const long era = (days >= 0 ? days : days - 146096) / 146097;
    const long doe = days - era * 146097;
    const long yoe = (doe - doe / 1460 + doe / 36524 - doe / 146096) / 365;
    const long doy = doe - (365 * yoe + yoe / 4 - yoe / 100);
    const long mp = (5 * doy + 2) / 153;
    const int day = static_cast<int>(doy - (153 * mp + 2) / 5 + 1);
    const int month = static_cast<int>(mp < 10 ? mp + 3 : mp - 9);
    return {yoe + era * 400 + (month <= 2 ? 1 : 0), month, day};
}

std::string two(long number) {
    return (number < 10 ? "0" : "") + std::to_string(number);
}

}  // namespace

long days_from_civil(long year, int month, int day) {
    year -= month <= 2 ? 1 : 0;
    const long era = (year >= 0 ? year : year - 399) / 400;
    const long yoe = year - era * 400;
    const long doy = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;
    const long doe = yoe * 365 + yoe / 4 - yoe / 100 + doy;
    return era * 146097 + doe - 719468;
}

std::optional<DateParts> date_parts(std::string_view cell) {
    DateParts parts;
    std::string_view text = cell;
    char mark = '\0';
    if (take_month_name(text, parts.first)) {
        parts.month_name = parts.name_leads = true;
    } else {
        parts.first_digits = take_number(text, parts.first, 4);
        if (parts.first_digits == 0) {
            return std::nullopt;
        }
    }
    if (!take_mark(text, mark)) {
        return std::nullopt;
    }
    parts.mark = mark;
    if (!parts.month_name && take_month_name(text, parts.second)) {
        parts.month_name = true;
    } else if (take_number(text, parts.second, 2) == 0) {
        return std::nullopt;
    }
    if (!text.empty() && text[0] == ',' && parts.name_leads) {
        text.remove_prefix(1);
    }
    if (!take_mark(text, mark)) {
        return std::nullopt;
    }
    parts.third_digits = take_number(text, parts.third, 4);
    if (parts.third_digits == 0) {
        return std::nullopt;
    }
    if (!text.empty() && text[0] != ' ' && text[0] != 'T' && text[0] != 't' && text[0] != ',' && text[0] != '_') {
        return std::nullopt;
    }
    while (!text.empty() && (text[0] == ' ' || text[0] == 'T' || text[0] == 't' || text[0] == ',' || text[0] == '_')) {
        text.remove_prefix(1);
    }
    parts.rest = text;
    const char last = text.empty() ? '\0' : text.back();
    parts.half_day =
        last == 'M' || last == 'm' || (last == '.' && text.size() > 2 && (text[text.size() - 2] | 0x20) == 'm');
    return parts;
}

std::optional<ReadTime> parse_time(std::string_view cell, std::string_view clock_cell, const TimeForm& form) {
    ReadTime time;
    if (form.kind == TimeKind::counter || form.kind == TimeKind::epoch_seconds || form.kind == TimeKind::epoch_millis) {
        const auto number = parse_number(cell);
        if (!number || number->unit != CellUnit::none || std::abs(number->value) > 1e15) {
            return std::nullopt;
        }
        const double scale = form.kind == TimeKind::counter        ? form.scale
                             : form.kind == TimeKind::epoch_millis ? 1e-3
                                                                   : 1.0;
        time.seconds = number->value * scale;
        return time;
    }
    if (form.kind == TimeKind::clock_only) {
        // A dot alone may be a decimal point, so a clock by itself needs its colon.
        const auto clock = cell.find(':') != std::string_view::npos ? parse_clock(cell) : std::nullopt;
        if (!clock) {
            return std::nullopt;
        }
        time.seconds = clock->seconds;
        time.has_seconds = clock->has_seconds;
        return time;
    }
    const auto parts = date_parts(cell);
    if (!parts) {
        return std::nullopt;
    }
    int year = parts->third;
    int year_digits = parts->third_digits;
    int month = parts->second;
    int day = parts->first;
    if (form.kind == TimeKind::year_first) {
        year = parts->first;
        year_digits = parts->first_digits;
        day = parts->third;
        if (year_digits != 4) {
            return std::nullopt;
        }
    } else if (parts->name_leads || (form.kind == TimeKind::month_first && !parts->month_name)) {
        month = parts->first;
        day = parts->second;
    }
    if (year_digits <= 2) {
        year += 2000;
    }
    if (month < 1 || month > 12 || day < 1 || day > kMonthDays[static_cast<std::size_t>(month - 1)] || year < 1970 ||
        year > 2199) {
        return std::nullopt;
    }
    const bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    if (month == 2 && day == 29 && !leap) {
        return std::nullopt;
    }
    const std::string_view clock_text = parts->rest.empty() ? clock_cell : parts->rest;
    Clock clock;
    if (!clock_text.empty()) {
        const auto parsed = parse_clock(clock_text);
        if (!parsed || parsed->seconds > 86400.0) {
            return std::nullopt;
        }
        clock = *parsed;
    }
    time.seconds = static_cast<double>(days_from_civil(year, month, day)) * 86400.0 + clock.seconds;
    time.has_seconds = clock.has_seconds;
    if (clock.zone_minutes) {
        time.seconds -= *clock.zone_minutes * 60.0;
        time.zone_minutes = clock.zone_minutes;
    }
    return time;
}

std::string iso_time(double seconds) {
    const double whole = std::floor(seconds + 0.5);
    const long days = static_cast<long>(std::floor(whole / 86400.0));
    const long rest = static_cast<long>(whole - static_cast<double>(days) * 86400.0);
    const Civil civil = civil_from_days(days);
    return std::to_string(civil.year) + "-" + two(civil.month) + "-" + two(civil.day) + "T" + two(rest / 3600) + ":" +
           two(rest / 60 % 60) + ":" + two(rest % 60);
}

std::string short_time(double seconds) {
    static constexpr std::array<std::string_view, 12> kNames{"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                                             "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
    const double whole = std::floor(seconds / 60.0 + 0.5) * 60.0;
    const long days = static_cast<long>(std::floor(whole / 86400.0));
    const long rest = static_cast<long>(whole - static_cast<double>(days) * 86400.0);
    const Civil civil = civil_from_days(days);
    return std::to_string(civil.day) + " " + std::string(kNames[static_cast<std::size_t>(civil.month - 1)]) + " " +
           two(rest / 3600) + ":" + two(rest / 60 % 60);
}

}  // namespace frostread::templog
