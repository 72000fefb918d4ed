#include "templog/log_layout.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace frostread::templog {

namespace {

constexpr std::size_t kSampleLines = 400;

struct Line {
    std::size_t number = 0;
    std::string_view text;
};

std::vector<Line> first_lines(std::string_view text, std::size_t most) {
    std::vector<Line> lines;
    Lines walk(text);
    std::string_view line;
    while (lines.size() < most && walk.next(line)) {
        if (!trim(line).empty()) {
            lines.push_back({walk.number(), line});
        }
    }
    return lines;
}

/// The separator that cuts most lines into the same number of cells. A comma may be a decimal mark,
/// so it comes last when another does as well.
char find_separator(const std::vector<Line>& lines) {
    char best = ',';
    std::size_t best_score = 0;
    Cells cells;
    for (const char candidate : {'\t', ';', ','}) {
        std::map<std::size_t, std::size_t> counts;
        for (const Line& line : lines) {
            split_cells(line.text, candidate, cells);
            if (cells.count > 1) {
                ++counts[cells.count];
            }
        }
        for (const auto& [cell_count, line_count] : counts) {
            if (line_count * 4 > best_score * 5) {
                best = candidate;
                best_score = line_count;
            }
        }
    }
    return best;
}

bool is_clock(std::string_view cell) {
    return parse_time(cell, {}, {TimeKind::clock_only, 1.0}).has_value();
}

/// A line of values: at least one time or number, and few cells that are neither.
bool is_data(const Cells& cells) {
    std::size_t values = 0;
    std::size_t words = 0;
    for (std::size_t i = 0; i < cells.count; ++i) {
        const std::string_view cell = cells.cell[i];
        if (is_missing(cell) || is_probe_error(cell)) {
            continue;
        }
        if (parse_number(cell) || date_parts(cell) || is_clock(cell)) {
            ++values;
        } else {
            ++words;
        }
    }
    return cells.count > 1 && values >= 1 && values > words;
}

struct Sample {
    char separator = ',';
    std::vector<std::string> header;
    std::size_t header_line = 0;
    std::string header_text;
    std::vector<std::string> units;  ///< of a line of units under the header
    std::vector<Line> data;
};

Sample take_sample(std::string_view text, char separator) {
    Sample sample;
    const auto lines = first_lines(text, kSampleLines);
    sample.separator = separator != '\0' ? separator : find_separator(lines);
    Cells cells;
    std::size_t first = 0;
    for (; first < lines.size(); ++first) {
        split_cells(lines[first].text, sample.separator, cells);
        if (is_data(cells)) {
            // A line of the logger's own particulars ("Interval; 60") is data only when the next line is too.
            const std::size_t count = cells.count;
            if (first + 1 >= lines.size()) {
                break;
            }
            split_cells(lines[first + 1].text, sample.separator, cells);
            if (is_data(cells) && (cells.count == count || cells.count + 1 == count || count + 1 == cells.count)) {
                break;
            }
        }
    }
    sample.data.assign(lines.begin() + static_cast<std::ptrdiff_t>(first), lines.end());
    std::size_t data_cells = 0;
    if (!sample.data.empty()) {
        split_cells(sample.data[0].text, sample.separator, cells);
        data_cells = cells.count;
    }
    for (std::size_t up = first; up > 0 && sample.header.empty(); --up) {
        split_cells(lines[up - 1].text, sample.separator, cells);
        if (cells.count < 2 || (data_cells > 0 && cells.count + 3 < data_cells)) {
            break;
        }
        std::vector<std::string> names;
        bool only_units = true;
        for (std::size_t i = 0; i < cells.count; ++i) {
            names.emplace_back(cells.cell[i]);
            only_units = only_units && cells.cell[i].size() <= 5 &&
                         (cells.cell[i].empty() || role_of_name(cells.cell[i]).empty() ||
                          unit_of_name(cells.cell[i]) != CellUnit::none);
        }
        if (only_units && sample.units.empty() && up > 1) {
            sample.units = std::move(names);
            continue;
        }
        sample.header = std::move(names);
        sample.header_line = lines[up - 1].number;
        sample.header_text = std::string(trim(lines[up - 1].text));
    }
    if (sample.header.empty() && !sample.units.empty()) {
        sample.header = std::move(sample.units);
        sample.units.clear();
    }
    return sample;
}

std::string list_columns(const Sample& sample) {
    std::string list;
    Cells cells;
    if (!sample.data.empty()) {
        split_cells(sample.data[0].text, sample.separator, cells);
    }
    const std::size_t count = std::min<std::size_t>(std::max(sample.header.size(), cells.count), 12);
    for (std::size_t i = 0; i < count; ++i) {
        list += (i > 0 ? ", " : "") + std::to_string(i + 1) + " ";
        list += i < sample.header.size() ? "\"" + printable(sample.header[i], 24) + "\"" : "(no name)";
        if (i < cells.count) {
            list += " such as " + printable(cells.cell[i], 20);
        }
    }
    return list;
}

constexpr std::string_view kColumnsHelp =
    "--columns time=1,fridge=2,freezer=3 (numbers or names; also clock, evaporator, room, watts)";

/// Column index of what the person wrote: a number from 1, or a name.
std::optional<std::size_t> column_of(const std::string& typed, const Sample& sample) {
    for (std::size_t i = 0; i < sample.header.size(); ++i) {
        if (sample.header[i] == typed) {
            return i;
        }
    }
    for (std::size_t i = 0; i < sample.header.size(); ++i) {
        if (lower(sample.header[i]) == lower(typed)) {
            return i;
        }
    }
    if (!typed.empty() && typed.size() <= 2 && typed.find_first_not_of("0123456789") == std::string::npos) {
        const std::size_t number = static_cast<std::size_t>(std::stoi(typed));
        Cells cells;
        std::size_t most = sample.header.size();
        for (const Line& line : sample.data) {
            split_cells(line.text, sample.separator, cells);
            most = std::max(most, cells.count);
        }
        if (number >= 1 && number <= most) {
            return number - 1;
        }
    }
    return std::nullopt;
}

std::optional<LogChannel> channel_of(std::string_view word) {
    for (std::size_t i = 0; i < kLogChannels; ++i) {
        if (to_word(static_cast<LogChannel>(i)) == word) {
            return static_cast<LogChannel>(i);
        }
    }
    return std::nullopt;
}

Diagnostics columns_by_option(const Sample& sample, std::string_view file, const LogOptions& options, Layout& layout) {
    for (const auto& [role, typed] : options.columns) {
        const auto column = column_of(typed, sample);
        if (!column) {
            return {log_error("log-columns", file, sample.header_line, "no column \"" + printable(typed) + "\"",
                              "one of " + list_columns(sample))};
        }
        if (role == "time" || role == "date") {
            layout.time = column;
        } else if (role == "clock") {
            layout.clock = column;
        } else if (const auto channel = channel_of(role)) {
            layout.value[static_cast<std::size_t>(*channel)] = column;
        } else {
            return {log_error("log-columns", file, 0, "no role \"" + printable(role) + "\"",
                              "time, clock, fridge, freezer, evaporator, room or watts")};
        }
    }
    return {};
}

void columns_by_header(const Sample& sample, Layout& layout) {
    std::optional<std::size_t> date;
    for (std::size_t i = 0; i < sample.header.size(); ++i) {
        const std::string role = role_of_name(sample.header[i]);
        if (role == "time") {
            if (!layout.time) {
                layout.time = i;
            }
        } else if (role == "date") {
            if (!date) {
                date = i;
            }
        } else if (const auto channel = channel_of(role)) {
            auto& place = layout.value[static_cast<std::size_t>(*channel)];
            if (place) {
                layout.assumptions.push_back("Two columns look like " + std::string(role) + ": took \"" +
                                             printable(sample.header[*place]) + "\", left \"" +
                                             printable(sample.header[i]) + "\" (--columns settles it).");
            } else {
                place = i;
            }
        }
    }
    if (date) {
        Cells cells;
        std::string_view cell;
        if (!sample.data.empty()) {
            split_cells(sample.data[0].text, sample.separator, cells);
            cell = layout.time ? cells.at(*layout.time) : std::string_view{};
        }
        // A time column beside a date column holds the clock, unless it carries a date itself.
        if (layout.time && !date_parts(cell)) {
            layout.clock = layout.time;
            layout.time = date;
        } else if (!layout.time) {
            layout.time = date;
        }
    }
}

std::vector<double> sample_numbers(const Sample& sample, std::size_t column) {
    std::vector<double> numbers;
    Cells cells;
    for (const Line& line : sample.data) {
        split_cells(line.text, sample.separator, cells);
        if (const auto number = parse_number(cells.at(column))) {
            numbers.push_back(number->value);
        }
    }
    std::sort(numbers.begin(), numbers.end());
    return numbers;
}

/// Without usable names: the first column that holds times, and a lone column of numbers.
void columns_by_shape(const Sample& sample, Layout& layout, const LogOptions& options) {
    Cells cells;
    if (sample.data.empty()) {
        return;
    }
    split_cells(sample.data[0].text, sample.separator, cells);
    if (!layout.time) {
        for (std::size_t i = 0; i < cells.count && !layout.time; ++i) {
            if (date_parts(cells.cell[i])) {
                layout.time = i;
                if (date_parts(cells.cell[i])->rest.empty() && i + 1 < cells.count && is_clock(cells.cell[i + 1])) {
                    layout.clock = i + 1;
                }
            }
        }
        for (std::size_t i = 0; i < cells.count && !layout.time; ++i) {
            if (is_clock(cells.cell[i])) {
                layout.time = i;
            }
        }
        if (layout.time) {
            layout.assumptions.push_back("Column " + std::to_string(*layout.time + 1) +
                                         " was taken as the time, since it reads like one.");
        }
    }
    const bool any = std::any_of(layout.value.begin(), layout.value.end(), [](const auto& c) { return c.has_value(); });
    if (any || !layout.time) {
        return;
    }
    std::vector<std::size_t> numeric;
    for (std::size_t i = 0; i < std::max(cells.count, sample.header.size()); ++i) {
        const bool named_away =
            i < sample.header.size() &&
            (lower(sample.header[i]).find('%') != std::string::npos ||
             lower(sample.header[i]).find("hum") != std::string::npos || lower(sample.header[i]).find("no") == 0 ||
             lower(sample.header[i]) == "#" || lower(sample.header[i]).find("index") != std::string::npos);
        if (i != *layout.time && (!layout.clock || i != *layout.clock) && !named_away &&
            sample_numbers(sample, i).size() * 2 > sample.data.size()) {
            numeric.push_back(i);
        }
    }
    if (numeric.size() != 1) {
        return;
    }
    const auto numbers = sample_numbers(sample, numeric[0]);
    double middle = numbers[numbers.size() / 2];
    const CellUnit named = numeric[0] < sample.header.size() ? unit_of_name(sample.header[numeric[0]]) : CellUnit::none;
    if (options.temperature == LogTemperature::fahrenheit || named == CellUnit::fahrenheit) {
        middle = (middle - 32.0) / 1.8;
    }
    const bool freezer = middle < -8.0;
    layout.value[static_cast<std::size_t>(freezer ? LogChannel::freezer : LogChannel::fridge)] = numeric[0];
    layout.assumptions.push_back("The only column of values was taken as the " +
                                 std::string(freezer ? "freezer" : "fridge") + " air: its middle value is " +
                                 fixed(middle, 1) + " °C (--columns settles it).");
}

void settle_units(const Sample& sample, const LogOptions& options, Layout& layout) {
    std::string bare;
    std::array<bool, kLogChannels> unnamed{};
    int fahrenheit_votes = 0;
    int celsius_votes = 0;
    for (std::size_t i = 0; i < kLogChannels; ++i) {
        if (!layout.value[i]) {
            continue;
        }
        const std::size_t column = *layout.value[i];
        CellUnit unit = column < sample.header.size() ? unit_of_name(sample.header[column]) : CellUnit::none;
        if (unit == CellUnit::none && column < sample.units.size()) {
            unit = unit_of_name(sample.units[column]);
        }
        const auto channel = static_cast<LogChannel>(i);
        if (channel == LogChannel::watts) {
            layout.unit[i] = unit == CellUnit::kilowatt ? unit : CellUnit::watt;
            continue;
        }
        const bool temperature = unit == CellUnit::celsius || unit == CellUnit::fahrenheit;
        if (options.temperature != LogTemperature::detect) {
            const CellUnit told =
                options.temperature == LogTemperature::celsius ? CellUnit::celsius : CellUnit::fahrenheit;
            if (temperature && unit != told) {
                layout.assumptions.push_back("The header says " + std::string(unit == CellUnit::celsius ? "°C" : "°F") +
                                             " for the " + std::string(to_word(channel)) +
                                             ", the option says otherwise: the option was followed.");
            }
            layout.unit[i] = told;
            continue;
        }
        if (temperature) {
            layout.unit[i] = unit;
            continue;
        }
        unnamed[i] = true;
        bare += (bare.empty() ? "" : ", ") + std::string(to_word(channel));
        const auto numbers = sample_numbers(sample, column);
        if (numbers.empty()) {
            continue;
        }
        const double middle = numbers[numbers.size() / 2];
        const bool cold = channel == LogChannel::freezer || channel == LogChannel::evaporator;
        const double border = channel == LogChannel::fridge ? 20.0 : channel == LogChannel::room ? 48.0 : -9.0;
        // A freezer near 0 is at 0 °F when the rest agrees; near −18 it can only be °C.
        (middle > border ? fahrenheit_votes : celsius_votes) += cold ? 1 : 2;
    }
    if (bare.empty()) {
        return;
    }
    const bool fahrenheit = fahrenheit_votes > celsius_votes && fahrenheit_votes >= 2;
    for (std::size_t i = 0; i < kLogChannels; ++i) {
        if (unnamed[i]) {
            layout.unit[i] = fahrenheit ? CellUnit::fahrenheit : CellUnit::celsius;
        }
    }
    layout.assumptions.push_back("No unit in the header for " + bare + ": taken as " +
                                 (fahrenheit ? "°F, since the values would be far too warm as °C"
                                             : "°C, since the values fit a refrigerator that way") +
                                 " (--celsius or --fahrenheit settles it).");
}

Diagnostics settle_time_form(const Sample& sample, std::string_view file, const LogOptions& options, Layout& layout) {
    std::size_t year_first = 0;
    std::size_t dated = 0;
    std::size_t named = 0;
    std::size_t clocks = 0;
    std::size_t numbers = 0;
    std::size_t seen = 0;
    double largest = 0.0;
    Cells cells;
    for (const Line& line : sample.data) {
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

}  // namespace

Diagnostic log_error(std::string id, std::string_view file, std::size_t line, std::string what, std::string expected,
                     std::string suggestion) {
    Diagnostic diagnostic;
    diagnostic.id = std::move(id);
    diagnostic.place.file = std::string(file);
    diagnostic.place.line = line;
    diagnostic.what = std::move(what);
    diagnostic.expected = std::move(expected);
    diagnostic.suggestion = std::move(suggestion);
    return diagnostic;
}

Result<Layout> find_layout(std::string_view text, std::string_view file, const LogOptions& options) {
    Layout layout;
    const Sample sample = take_sample(text, options.separator);
    layout.separator = sample.separator;
    layout.header_line = sample.header_text;
    layout.header_cells = sample.header.size();
    if (sample.data.empty()) {
        return log_error("log-no-signal", file, 0, "no rows of values were found",
                         "rows of a time and at least one number, parted by comma, semicolon or tab");
    }
    layout.first_data_line = sample.data[0].number;
    if (!options.columns.empty()) {
        auto problems = columns_by_option(sample, file, options, layout);
        if (!problems.empty()) {
            return problems;
        }
    } else {
        columns_by_header(sample, layout);
    }
    columns_by_shape(sample, layout, options);
    if (!layout.time) {
        return log_error("log-columns", file, sample.header_line,
                         "no time column was found among: " + list_columns(sample),
                         "a column named time, date or timestamp", std::string(kColumnsHelp));
    }
    if (std::none_of(layout.value.begin(), layout.value.end(), [](const auto& c) { return c.has_value(); })) {
        return log_error("log-columns", file, sample.header_line,
                         "no column says which compartment it is, among: " + list_columns(sample),
                         "columns named fridge, freezer, evaporator, room or watts", std::string(kColumnsHelp));
    }
    // Decimal commas between comma separators shift every cell to the right of the first.
    std::size_t longer = 0;
    Cells cells;
    for (const Line& line : sample.data) {
        split_cells(line.text, sample.separator, cells);
        longer += !sample.header.empty() && cells.count > sample.header.size() && !cells.cell[cells.count - 1].empty()
                      ? 1U
                      : 0U;
    }
    if (sample.separator == ',' && longer * 2 > sample.data.size()) {
        return log_error("log-columns", file, sample.data[0].number, "the rows have more cells than the header",
                         "as many cells as names; with decimal commas the cells must be parted by semicolons or tabs, "
                         "or stand in quotes");
    }
    auto problems = settle_time_form(sample, file, options, layout);
    if (problems.empty() && layout.form.kind == TimeKind::day_first) {
        problems = settle_date_order(text, file, options, layout);
    }
    if (!problems.empty()) {
        return problems;
    }
    settle_units(sample, options, layout);
    for (std::size_t i = 0; i < kLogChannels; ++i) {
        if (layout.value[i]) {
            static constexpr std::array<std::string_view, 5> kUnits{"", "°C", "°F", "W", "kW"};
            const std::size_t column = *layout.value[i];
            layout.columns.push_back({static_cast<LogChannel>(i), column + 1,
                                      column < sample.header.size() ? printable(sample.header[column]) : "",
                                      std::string(kUnits[static_cast<std::size_t>(layout.unit[i])])});
        }
    }
    return layout;
}

}  // namespace frostread::templog
