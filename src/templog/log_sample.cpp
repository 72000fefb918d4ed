#include "templog/log_sample.hpp"

#include <algorithm>
#include <map>

namespace frostread::templog {

namespace {

constexpr std::size_t kSampleLines = 400;

std::vector<SampleLine> first_lines(std::string_view text, std::size_t most) {
    std::vector<SampleLine> lines;
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
char find_separator(const std::vector<SampleLine>& lines) {
    char best = ',';
    std::size_t best_score = 0;
    Cells cells;
    for (const char candidate : {'\t', ';', ','}) {
        std::map<std::size_t, std::size_t> counts;
        for (const SampleLine& line : lines) {
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

}  // namespace

bool is_clock(std::string_view cell) {
    return parse_time(cell, {}, {TimeKind::clock_only, 1.0}).has_value();
}

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

std::vector<double> sample_numbers(const Sample& sample, std::size_t column) {
    std::vector<double> numbers;
    Cells cells;
    for (const SampleLine& line : sample.data) {
        split_cells(line.text, sample.separator, cells);
        if (const auto number = parse_number(cells.at(column))) {
            numbers.push_back(number->value);
        }
    }
    std::sort(numbers.begin(), numbers.end());
    return numbers;
}

}  // namespace frostread::templog
