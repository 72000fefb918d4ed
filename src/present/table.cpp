#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>

#include "base/markup.hpp"
#include "present/writers.hpp"

namespace frostread::present {

namespace {

/// One code point and the bytes it took; a broken sequence counts as one byte, one column.
struct Decoded {
    char32_t code = 0;
    std::size_t bytes = 1;
};

Decoded decode(std::string_view text) {
    const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
    const unsigned char first = byte(0);
    std::size_t length = 1;
    char32_t code = first;
    if (first >= 0xF0 && first < 0xF8) {
        length = 4;
        code = first & 0x07U;
    } else if (first >= 0xE0) {
        length = 3;
        code = first & 0x0FU;
    } else if (first >= 0xC0) {
        length = 2;
        code = first & 0x1FU;
    }
    if (length > text.size()) {
        return {};
    }
    for (std::size_t i = 1; i < length; ++i) {
        if ((byte(i) & 0xC0U) != 0x80U) {
            return {};
        }
        code = (code << 6U) | (byte(i) & 0x3FU);
    }
    return {code, length};
}

/// Columns of one code point: 0 for combining marks, 2 for East Asian wide and emoji.
std::size_t columns(char32_t code) {
    if ((code >= 0x0300 && code <= 0x036F) || (code >= 0x20D0 && code <= 0x20FF) ||
        (code >= 0xFE00 && code <= 0xFE0F) || code == 0x200B || code == 0x200D) {
        return 0;
    }
    if ((code >= 0x1100 && code <= 0x115F) || (code >= 0x2E80 && code <= 0xA4CF) ||
        (code >= 0xAC00 && code <= 0xD7A3) || (code >= 0xF900 && code <= 0xFAFF) ||
        (code >= 0xFE30 && code <= 0xFE6F) || (code >= 0xFF00 && code <= 0xFF60) ||
        (code >= 0x1F300 && code <= 0x1FAFF)) {
        return 2;
    }
    return 1;
}

/// Length of an ANSI colour sequence at the start of `text`, 0 when there is none.
std::size_t escape_length(std::string_view text) {
    if (text.size() < 3 || text[0] != '\x1b' || text[1] != '[') {
        return 0;
    }
    const std::size_t end = text.find('m');
    return end == std::string_view::npos ? 0 : end + 1;
}

void wrap_line(std::string_view line, std::size_t width, std::vector<std::string>& lines) {
    std::string current;
    std::size_t used = 0;
    std::size_t at = 0;
    while (at < line.size()) {
        std::size_t end = line.find(' ', at);
        if (end == std::string_view::npos) {
            end = line.size();
        }
        const std::string_view word = line.substr(at, end - at);
        at = end + 1;
        if (word.empty()) {
            continue;
        }
        const std::size_t word_width = display_width(word);
        if (used > 0 && used + 1 + word_width > width) {
            lines.push_back(std::move(current));
            current.clear();
            used = 0;
        }
        if (used > 0) {
            current += ' ';
            ++used;
        }
        current += word;
        used += word_width;
    }
    lines.push_back(std::move(current));
}

}  // namespace

std::size_t display_width(std::string_view text) {
    std::size_t width = 0;
    while (!text.empty()) {
        if (const std::size_t skip = escape_length(text); skip > 0) {
            text.remove_prefix(skip);
            continue;
        }
        const Decoded next = decode(text);
        width += columns(next.code);
        text.remove_prefix(next.bytes);
    }
    return width;
}

std::vector<std::string> wrap(std::string_view text, std::size_t width) {
    std::vector<std::string> lines;
    std::size_t at = 0;
    while (at <= text.size()) {
        std::size_t end = text.find('\n', at);
        if (end == std::string_view::npos) {
            end = text.size();
        }
        wrap_line(text.substr(at, end - at), width, lines);
        at = end + 1;
    }
    return lines;
}

std::string wrapped(std::string_view text, std::size_t width, std::string_view first, std::string_view rest) {
    const std::size_t indent = std::max(display_width(first), display_width(rest));
    const std::size_t room = width > indent + 10 ? width - indent : 10;
    std::string out;
    bool is_first = true;
    for (const std::string& line : wrap(text, room)) {
        std::string whole = std::string(is_first ? first : rest) + line;
        whole.erase(whole.find_last_not_of(' ') + 1);
        out += whole + "\n";
        is_first = false;
    }
    return out;
}

std::string pad_right(std::string_view text, std::size_t width) {
    const std::size_t used = display_width(text);
    return std::string(text) + std::string(used < width ? width - used : 0, ' ');
}

std::string pad_left(std::string_view text, std::size_t width) {
    const std::size_t used = display_width(text);
    return std::string(used < width ? width - used : 0, ' ') + std::string(text);
}

std::string cut(std::string_view text, std::size_t width) {
    if (display_width(text) <= width) {
        return std::string(text);
    }
    std::string out;
    std::size_t used = 0;
    while (!text.empty()) {
        const Decoded next = decode(text);
        used += columns(next.code);
        if (used + 1 > width) {
            break;
        }
        out += text.substr(0, next.bytes);
        text.remove_prefix(next.bytes);
    }
    return out + "…";
}

std::string bar(double share, std::size_t width) {
    static constexpr std::array<const char*, 8> kEighths = {"", "▏", "▎", "▍", "▌", "▋", "▊", "▉"};
    const double clamped = std::isfinite(share) ? std::clamp(share, 0.0, 1.0) : 0.0;
    const auto eighths = static_cast<std::size_t>(std::lround(clamped * static_cast<double>(width) * 8.0));
    std::string out;
    for (std::size_t i = 0; i < eighths / 8; ++i) {
        out += "█";
    }
    return out + kEighths.at(eighths % 8);
}

std::string percent_words(double probability) {
    const double percent = probability * 100.0;
    if (percent > 99.9) {
        return "over 99.9 %";
    }
    if (percent < 0.1) {
        return "under 0.1 %";
    }
    if (percent < 0.95 || percent > 99.0) {
        return fmt::format("{:.1f} %", percent);
    }
    return fmt::format("{:.0f} %", percent);
}

std::string minutes_words(double minutes) {
    if (minutes > 0.0 && minutes < 1.0) {
        return "under 1 min";
    }
    const auto whole = static_cast<long>(std::lround(minutes));
    if (whole < 90) {
        return fmt::format("{} min", whole);
    }
    if (whole % 60 == 0 || whole >= 600) {
        return fmt::format("{} h", (whole + 30) / 60);
    }
    return fmt::format("{} h {} min", whole / 60, whole % 60);
}

std::string plain_number(double value) {
    if (std::abs(value) >= 100.0) {
        return fmt::format("{:.0f}", value);
    }
    std::string text = fmt::format("{:.1f}", value);
    if (text.ends_with(".0")) {
        text.resize(text.size() - 2);
    }
    return text == "-0" ? "0" : text;
}

std::string inked(std::string_view text, Ink ink, const TextStyle& style) {
    if (!style.colour || ink == Ink::plain || text.empty()) {
        return std::string(text);
    }
    const char* code = "1";
    switch (ink) {
        case Ink::plain:
        case Ink::bold:
            break;
        case Ink::dim:
            code = "2";
            break;
        case Ink::caution:
            code = "1;31";
            break;
        case Ink::good:
            code = "32";
            break;
    }
    return fmt::format("\x1b[{}m{}\x1b[0m", code, text);
}

std::string html_escape(std::string_view text) {
    return text::escaped(text);
}

std::string join_words(const std::vector<std::string>& words, std::string_view last) {
    std::string out;
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (i > 0) {
            out += i + 1 == words.size() ? fmt::format(" {} ", last) : ", ";
        }
        out += words[i];
    }
    return out;
}

std::vector<std::string> opening_sentences(const std::vector<std::string>& names, const std::vector<std::string>& how) {
    std::vector<std::string> out;
    for (std::size_t i = 0; i < names.size() && i < how.size(); ++i)
        if (!how[i].empty()) out.push_back(fmt::format("How to open it, {}: {}", names[i], how[i]));
    return out;
}

std::string sentence_case(std::string_view text) {
    std::string out(text);
    if (!out.empty() && out[0] >= 'a' && out[0] <= 'z') {
        out[0] = static_cast<char>(out[0] - 'a' + 'A');
    }
    return out;
}

}  // namespace frostread::present
