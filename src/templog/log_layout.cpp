#include "templog/log_layout.hpp"

#include <algorithm>

#include "templog/log_sample.hpp"

namespace frostread::templog {

namespace {

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
        for (const SampleLine& line : sample.data) {
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
    for (const SampleLine& line : sample.data) {
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
