#include "templog/log_text.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdint>

namespace frostread::templog {

namespace {

bool is_blank(char c) {
    return c == ' ' || c == '\t' || c == '\r' || c == '\v' || c == '\f';
}
bool is_digit(char c) {
    return c >= '0' && c <= '9';
}
char lower_char(char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

void append_utf8(std::string& out, std::uint32_t code) {
    const auto put = [&out](std::uint32_t byte) { out.push_back(static_cast<char>(static_cast<unsigned char>(byte))); };
    if (code < 0x80) {
        put(code);
    } else if (code < 0x800) {
        put(0xC0 | (code >> 6));
        put(0x80 | (code & 0x3F));
    } else {
        put(0xE0 | (code >> 12));
        put(0x80 | ((code >> 6) & 0x3F));
        put(0x80 | (code & 0x3F));
    }
}

std::optional<CellUnit> unit_of(std::string_view text) {
    std::string word;
    for (const char c : text) {
        // The degree sign in UTF-8 (two bytes), Latin-1 (one byte), or written out.
        if (c == '\xC2' || c == '\xB0' || is_blank(c)) {
            continue;
        }
        word.push_back(lower_char(c));
        if (word.size() > 8) {
            return std::nullopt;
        }
    }
    if (word.substr(0, 3) == "deg") {
        word.erase(0, 3);
    }
    if (word.empty()) {
        return CellUnit::none;
    }
    if (word == "c") {
        return CellUnit::celsius;
    }
    if (word == "f") {
        return CellUnit::fahrenheit;
    }
    if (word == "w") {
        return CellUnit::watt;
    }
    if (word == "kw") {
        return CellUnit::kilowatt;
    }
    return std::nullopt;
}

template <std::size_t N>
bool one_of(std::string_view cell, const std::array<std::string_view, N>& words) {
    if (cell.size() > 8) {
        return false;
    }
    std::array<char, 8> low{};
    std::transform(cell.begin(), cell.end(), low.begin(), lower_char);
    const std::string_view word(low.data(), cell.size());
    return std::find(words.begin(), words.end(), word) != words.end();
}

}  // namespace

Lines::Lines(std::string_view text) : text_(text) {
    if (text.find('\n') == std::string_view::npos && text.find('\r') != std::string_view::npos) {
        end_ = '\r';
    }
}

bool Lines::next(std::string_view& line) {
    if (offset_ >= text_.size()) {
        return false;
    }
    const std::size_t end = text_.find(end_, offset_);
    const std::size_t stop = end == std::string_view::npos ? text_.size() : end;
    line = text_.substr(offset_, stop - offset_);
    if (!line.empty() && line.back() == '\r') {
        line.remove_suffix(1);
    }
    offset_ = end == std::string_view::npos ? text_.size() : end + 1;
    ++number_;
    return true;
}

std::string_view trim(std::string_view text) {
    while (!text.empty() && is_blank(text.front())) {
        text.remove_prefix(1);
    }
    while (!text.empty() && is_blank(text.back())) {
        text.remove_suffix(1);
    }
    return text;
}

std::string lower(std::string_view text) {
    std::string low(text);
    std::transform(low.begin(), low.end(), low.begin(), lower_char);
    return low;
}

void split_cells(std::string_view line, char separator, Cells& cells) {
    cells.count = 0;
    std::size_t begin = 0;
    const std::size_t size = line.size();
    while (cells.count < kMaxCells) {
        std::size_t at = begin;
        while (at < size && line[at] != separator && is_blank(line[at])) {
            ++at;
        }
        if (at < size && line[at] == '"') {
            const std::size_t close = line.find('"', at + 1);
            const std::size_t stop = close == std::string_view::npos ? size : close;
            cells.cell[cells.count++] = trim(line.substr(at + 1, stop - at - 1));
            const std::size_t next = stop < size ? line.find(separator, stop) : std::string_view::npos;
            if (next == std::string_view::npos) {
                return;
            }
            begin = next + 1;
            continue;
        }
        std::size_t stop = at;
        while (stop < size && line[stop] != separator) {
            ++stop;
        }
        cells.cell[cells.count++] = trim(line.substr(at, stop - at));
        if (stop >= size) {
            return;
        }
        begin = stop + 1;
    }
}

std::optional<CellNumber> parse_number(std::string_view cell) {
    std::size_t at = 0;
    const std::size_t size = cell.size();
    bool negative = false;
    if (at < size && (cell[at] == '-' || cell[at] == '+')) {
        negative = cell[at] == '-';
        ++at;
    } else if (cell.substr(0, 3) == "\xE2\x88\x92") {  // the typographer's minus sign
        negative = true;
        at = 3;
    }
    double value = 0.0;
    double scale = 1.0;
    std::size_t digits = 0;
    bool fraction = false;
    for (; at < size; ++at) {
        const char c = cell[at];
        if (is_digit(c)) {
            value = value * 10.0 + (c - '0');
            scale *= fraction ? 10.0 : 1.0;
            ++digits;
            if (digits > 18) {
                return std::nullopt;
            }
        } else if (c == '.' || c == ',') {
            // The last mark is the decimal mark; an earlier one of the other kind groups thousands.
            if (fraction) {
                return std::nullopt;
            }
            const char other = c == '.' ? ',' : '.';
            const std::size_t second = cell.find(other, at + 1);
            if (second != std::string_view::npos && second == at + 4) {
                continue;
            }
            fraction = true;
        } else {
            break;
        }
    }
    if (digits == 0) {
        return std::nullopt;
    }
    value /= scale;
    if (at < size && (cell[at] == 'e' || cell[at] == 'E')) {
        int exponent = 0;
        const char* first = cell.data() + at + 1;
        const char* last = cell.data() + size;
        if (first < last && *first == '+') {
            ++first;
        }
        const auto parsed = std::from_chars(first, last, exponent);
        if (parsed.ec != std::errc{} || exponent < -30 || exponent > 30) {
            return std::nullopt;
        }
        value *= std::pow(10.0, exponent);
        at = static_cast<std::size_t>(parsed.ptr - cell.data());
    }
    CellNumber number{negative ? -value : value, CellUnit::none};
    if (at < size) {
        const auto unit = unit_of(cell.substr(at));
        if (!unit) {
            return std::nullopt;
        }
        number.unit = *unit;
    }
    return number;
}

bool is_missing(std::string_view cell) {
    static constexpr std::array<std::string_view, 13> kWords{"-",    "--", "---",  "----", "nan", "null", "n/a",
                                                             "#n/a", "na", "none", "nil",  "?",   "."};
    return cell.empty() || one_of(cell, kWords);
}

bool is_probe_error(std::string_view cell) {
    static constexpr std::array<std::string_view, 12> kWords{"err",   "error", "open", "short", "ol", "o.l",
                                                             "fault", "inf",   "-inf", "hi",    "lo", "fail"};
    return one_of(cell, kWords);
}

std::optional<std::string_view> as_utf8(std::string_view text, std::string& storage) {
    if (text.substr(0, 3) == "\xEF\xBB\xBF") {
        text.remove_prefix(3);
    }
    const bool little = text.substr(0, 2) == "\xFF\xFE";
    const bool big = text.substr(0, 2) == "\xFE\xFF";
    if (little || big) {
        storage.clear();
        storage.reserve(text.size() / 2);
        for (std::size_t i = 2; i + 1 < text.size(); i += 2) {
            const auto first = static_cast<unsigned char>(text[i]);
            const auto second = static_cast<unsigned char>(text[i + 1]);
            const std::uint32_t code = little ? static_cast<std::uint32_t>(second << 8 | first)
                                              : static_cast<std::uint32_t>(first << 8 | second);
            append_utf8(storage, code);
        }
        text = storage;
    }
    if (text.find('\0') != std::string_view::npos) {
        return std::nullopt;
    }
    return text;
}

std::string printable(std::string_view text, std::size_t most) {
    std::string out;
    std::size_t shown = 0;
    for (std::size_t i = 0; i < text.size(); ++shown) {
        if (shown == most) {
            out += "...";
            break;
        }
        const auto byte = static_cast<unsigned char>(text[i]);
        const std::size_t length = byte < 0x80 ? 1 : byte >= 0xF0 ? 4 : byte >= 0xE0 ? 3 : byte >= 0xC2 ? 2 : 0;
        bool good = length > 0 && byte < 0xF5 && i + length <= text.size() && byte >= 0x20 && byte != 0x7F;
        for (std::size_t k = 1; good && k < length; ++k) {
            good = (static_cast<unsigned char>(text[i + k]) & 0xC0) == 0x80;
        }
        // C1 controls, surrogates and over-long forms are not for a terminal either.
        if (good && length == 2 && byte == 0xC2 && static_cast<unsigned char>(text[i + 1]) < 0xA0) {
            good = false;
        }
        if (good && length == 3) {
            const auto second = static_cast<unsigned char>(text[i + 1]);
            good = !(byte == 0xE0 && second < 0xA0) && !(byte == 0xED && second >= 0xA0);
        }
        if (good && length == 4) {
            const auto second = static_cast<unsigned char>(text[i + 1]);
            good = !(byte == 0xF0 && second < 0x90) && !(byte == 0xF4 && second >= 0x90);
        }
        if (good) {
            out.append(text.substr(i, length));
            i += length;
        } else {
            out.push_back('?');
            ++i;
        }
    }
    return out;
}

std::string fixed(double value, int decimals) {
    if (!std::isfinite(value)) {
        return "?";
    }
    std::array<char, 64> buffer{};
    const double half = 0.5 * std::pow(10.0, -decimals);
    if (std::abs(value) < half) {
        value = 0.0;
    }
    const auto written =
        std::to_chars(buffer.data(), buffer.data() + buffer.size(), value, std::chars_format::fixed, decimals);
    return written.ec == std::errc{} ? std::string(buffer.data(), written.ptr) : "?";
}

}  // namespace frostread::templog
