#include <algorithm>

#include "base/text.hpp"

namespace frostread::text {

namespace {

std::size_t line_start(std::string_view whole, std::size_t offset) {
    if (offset == 0) return 0;
    const std::size_t before = whole.rfind('\n', offset - 1);
    return before == std::string_view::npos ? 0 : before + 1;
}

/// Length of a valid UTF-8 sequence at `at`, 0 when it is not valid.
std::size_t sequence_length(std::string_view s, std::size_t at) {
    const auto byte = [&](std::size_t i) -> unsigned {
        return at + i < s.size() ? static_cast<unsigned char>(s[at + i]) : 0U;
    };
    const auto follows = [&](std::size_t i) { return (byte(i) & 0xC0U) == 0x80U; };
    const unsigned lead = byte(0);
    if (lead < 0x80U) return 1;
    if (lead < 0xC2U) return 0;
    if (lead < 0xE0U) return follows(1) ? 2 : 0;
    if (lead < 0xF0U) {
        if (!follows(1) || !follows(2)) return 0;
        if (lead == 0xE0U && byte(1) < 0xA0U) return 0;   // overlong
        if (lead == 0xEDU && byte(1) >= 0xA0U) return 0;  // surrogate
        return 3;
    }
    if (lead < 0xF5U) {
        if (!follows(1) || !follows(2) || !follows(3)) return 0;
        if (lead == 0xF0U && byte(1) < 0x90U) return 0;
        if (lead == 0xF4U && byte(1) >= 0x90U) return 0;
        return 4;
    }
    return 0;
}

}  // namespace

Position position_at(std::string_view whole, std::size_t offset) {
    offset = std::min(offset, whole.size());
    Position position;
    position.line +=
        static_cast<std::size_t>(std::count(whole.begin(), whole.begin() + static_cast<std::ptrdiff_t>(offset), '\n'));
    position.column += offset - line_start(whole, offset);
    return position;
}

std::string line_at(std::string_view whole, std::size_t offset) {
    offset = std::min(offset, whole.size());
    const std::size_t first = line_start(whole, offset);
    std::size_t last = whole.find('\n', offset);
    if (last == std::string_view::npos) last = whole.size();
    std::string line(whole.substr(first, last - first));
    if (!line.empty() && line.back() == '\r') line.pop_back();
    for (char& c : line) {
        if (static_cast<unsigned char>(c) < 0x20U || c == 0x7F) c = ' ';
    }
    return line;
}

std::optional<std::size_t> first_invalid_utf8(std::string_view whole) {
    std::size_t i = 0;
    while (i < whole.size()) {
        if (static_cast<unsigned char>(whole[i]) < 0x80U) {
            ++i;
            continue;
        }
        const std::size_t length = sequence_length(whole, i);
        if (length == 0) return i;
        i += length;
    }
    return std::nullopt;
}

}  // namespace frostread::text
