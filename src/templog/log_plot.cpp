#include "templog/log_plot.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "templog/log_text.hpp"
#include "templog/log_words.hpp"

namespace frostread::templog {

namespace {

constexpr std::size_t kMargin = 11;  ///< for the labels on the left
constexpr std::size_t kRows = 5;     ///< of a band; each shows two levels

std::string left_label(const std::string& text) {
    const std::size_t wide = display_width(text);
    return std::string(wide < kMargin - 2 ? kMargin - 2 - wide : 0, ' ') + text;
}

/// One compartment: the range of each column as half blocks.
void draw_band(std::vector<std::string>& lines, const Grid& grid, LogChannel channel, const LogWords& words,
               std::size_t columns) {
    const auto parts = slices(grid.of(channel), columns);
    double low = std::numeric_limits<double>::infinity();
    double high = -low;
    for (const Slice& part : parts) {
        if (!std::isnan(part.low)) {
            low = std::min(low, static_cast<double>(part.low));
            high = std::max(high, static_cast<double>(part.high));
        }
    }
    if (!std::isfinite(low)) {
        return;
    }
    const double span = std::max(high - low, 0.5);
    const double levels = 2.0 * kRows;
    const auto level = [&](float value) {
        return std::clamp((static_cast<double>(value) - low) / span * levels, 0.0, levels - 0.001);
    };
    for (std::size_t row = 0; row < kRows; ++row) {
        const double bottom = levels - 2.0 * static_cast<double>(row) - 2.0;
        std::string label = row == 0           ? words.temperature(high)
                            : row + 1 == kRows ? words.temperature(low)
                            : row == kRows / 2 ? std::string(frostread::to_word(channel))
                                               : "";
        std::string line = left_label(label) + (label.empty() || row == kRows / 2 ? " │" : " ┤");
        for (const Slice& part : parts) {
            bool upper = false;
            bool lower = false;
            if (!std::isnan(part.low)) {
                const double from = std::floor(level(part.low));
                const double to = std::floor(level(part.high));
                lower = from <= bottom && to >= bottom;
                upper = from <= bottom + 1.0 && to >= bottom + 1.0;
            }
            line += upper && lower ? "█" : upper ? "▀" : lower ? "▄" : " ";
        }
        lines.push_back(std::move(line));
    }
}

void draw_running(std::vector<std::string>& lines, const LogFindings& findings, double length, std::size_t columns) {
    if (findings.runs.empty()) {
        return;
    }
    static constexpr std::array<std::string_view, 5> kShades{" ", "░", "▒", "▓", "█"};
    std::vector<double> share(columns, 0.0);
    const double width = length / static_cast<double>(columns);
    for (const LogSpan& run : findings.runs) {
        for (auto c = static_cast<std::size_t>(run.from / width); c < columns; ++c) {
            const double from = static_cast<double>(c) * width;
            const double common = std::min(run.to, from + width) - std::max(run.from, from);
            if (common <= 0.0) {
                break;
            }
            share[c] += common / width;
        }
    }
    std::string line = left_label("running") + "  ";
    for (const double s : share) {
        line += kShades[static_cast<std::size_t>(std::lround(std::clamp(s, 0.0, 1.0) * 4.0))];
    }
    lines.push_back(std::move(line));
}

/// D for a defrost, d for a door, ! where the fridge stays above its limit for over two hours.
void draw_events(std::vector<std::string>& lines, const LogFindings& findings, double length, std::size_t columns) {
    std::vector<char> marks(columns, ' ');
    const auto column = [&](double time) {
        return std::min(columns - 1, static_cast<std::size_t>(time / length * static_cast<double>(columns)));
    };
    std::string meaning;
    const auto explain = [&](const std::string& text) { meaning += (meaning.empty() ? "" : ", ") + text; };
    for (const LogCompartment& compartment : findings.compartments) {
        if (compartment.channel == LogChannel::fridge && compartment.longest_above_h > 2.0) {
            explain("! fridge too warm (longest stretch)");
            for (std::size_t c = column(compartment.longest_above.from); c <= column(compartment.longest_above.to);
                 ++c) {
                marks[c] = '!';
            }
        }
    }
    if (!findings.doors.empty()) {
        explain("d door");
    }
    for (const LogDoor& door : findings.doors) {
        marks[column(door.start)] = 'd';
    }
    if (!findings.defrosts.empty()) {
        explain("D defrost");
    }
    for (const LogDefrost& defrost : findings.defrosts) {
        marks[column(defrost.start)] = 'D';
    }
    if (meaning.empty()) {
        return;
    }
    lines.push_back(left_label("events") + "  " + std::string(marks.begin(), marks.end()));
    for (const std::string& line : wrap(std::string(kMargin, ' ') + meaning, columns + kMargin, kMargin)) {
        lines.push_back(line);
    }
}

void draw_axis(std::vector<std::string>& lines, const Log& log, std::size_t columns) {
    std::string axis = left_label("") + " └";
    std::string labels(kMargin, ' ');
    std::vector<bool> ticks(columns, false);
    for (const TimeTick& tick : time_ticks(log, columns / 9)) {
        const auto at = std::min(
            columns - 1, static_cast<std::size_t>(tick.seconds / log.seconds.back() * static_cast<double>(columns)));
        const std::size_t place = kMargin + at;
        if (place < labels.size() + (labels.size() > kMargin ? 1 : 0) ||
            place + tick.label.size() > kMargin + columns) {
            continue;
        }
        ticks[at] = true;
        labels += std::string(place - labels.size(), ' ') + tick.label;
    }
    for (const bool tick : ticks) {
        axis += tick ? "┬" : "─";
    }
    lines.push_back(std::move(axis));
    lines.push_back(std::move(labels));
}

}  // namespace

std::size_t display_width(std::string_view text) {
    return static_cast<std::size_t>(
        std::count_if(text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
}

std::vector<std::string> wrap(std::string_view text, std::size_t width, std::size_t indent) {
    std::vector<std::string> lines;
    // Blanks at the front are kept: they line the text up.
    const std::size_t front = std::min(text.find_first_not_of(' '), text.size());
    std::string line(front, ' ');
    std::size_t wide = front;
    bool empty = true;
    text.remove_prefix(front);
    while (!text.empty()) {
        const std::size_t blank = text.find(' ');
        const std::string_view word = text.substr(0, blank);
        const std::size_t word_wide = display_width(word);
        if (!empty && wide + 1 + word_wide > width) {
            lines.push_back(std::move(line));
            line.assign(indent, ' ');
            wide = indent;
        } else if (!empty) {
            line += ' ';
            ++wide;
        }
        line += word;
        wide += word_wide;
        empty = false;
        text = blank == std::string_view::npos ? std::string_view{} : text.substr(blank + 1);
    }
    if (!line.empty()) {
        lines.push_back(std::move(line));
    }
    return lines;
}

std::vector<std::string> text_plot(const Log& log, const LogFindings& findings, const LogStyle& style) {
    std::vector<std::string> lines;
    const std::size_t width = std::clamp<std::size_t>(style.width, 40, 160);
    const std::size_t columns = width - kMargin;
    const LogWords words(log, findings, style.units);
    const Grid grid = make_grid(log, findings.interval_s);
    for (const LogChannel channel : {LogChannel::fridge, LogChannel::freezer}) {
        if (grid.has(channel)) {
            draw_band(lines, grid, channel, words, columns);
        }
    }
    if (lines.empty() && grid.has(LogChannel::evaporator)) {
        draw_band(lines, grid, LogChannel::evaporator, words, columns);
    }
    draw_running(lines, findings, log.seconds.back(), columns);
    draw_axis(lines, log, columns);
    draw_events(lines, findings, log.seconds.back(), columns);
    for (std::string& line : lines) {
        line.erase(line.find_last_not_of(' ') + 1);
    }
    return lines;
}

}  // namespace frostread::templog
