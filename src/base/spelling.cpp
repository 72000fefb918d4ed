#include <algorithm>
#include <array>

#include "base/text.hpp"

namespace frostread::text {

namespace {

char lower(char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

bool is_space(char c) {
    return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\f' || c == '\v';
}

template <class Candidates>
std::string_view nearest_of(std::string_view word, const Candidates& candidates) {
    std::string_view best;
    std::size_t limit = slip_limit(word.size());
    bool found = false;
    for (const auto& candidate : candidates) {
        if (found && limit == 0) break;
        const std::size_t allowed = found ? limit - 1 : limit;
        const std::size_t distance = edit_distance(word, candidate, allowed);
        if (distance > allowed) continue;
        // A word with none of its letters in place is no slip of the other.
        if (distance >= std::max(word.size(), std::string_view(candidate).size())) continue;
        best = candidate;
        limit = distance;
        found = true;
    }
    return best;
}

}  // namespace

std::size_t edit_distance(std::string_view a, std::string_view b, std::size_t limit) {
    if (a.size() > b.size()) std::swap(a, b);
    if (b.size() - a.size() > limit) return limit + 1;
    // Three rows of the optimal-string-alignment table; the row before the last is for swaps.
    std::vector<std::size_t> before(a.size() + 1);
    std::vector<std::size_t> last(a.size() + 1);
    std::vector<std::size_t> row(a.size() + 1);
    for (std::size_t i = 0; i <= a.size(); ++i) last[i] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
        row[0] = j;
        std::size_t smallest = j;
        for (std::size_t i = 1; i <= a.size(); ++i) {
            const bool same = lower(a[i - 1]) == lower(b[j - 1]);
            std::size_t cost = std::min({row[i - 1] + 1, last[i] + 1, last[i - 1] + (same ? 0U : 1U)});
            if (i > 1 && j > 1 && lower(a[i - 1]) == lower(b[j - 2]) && lower(a[i - 2]) == lower(b[j - 1])) {
                cost = std::min(cost, before[i - 2] + 1);
            }
            row[i] = cost;
            smallest = std::min(smallest, cost);
        }
        // A swap reaches back two rows, so one more than the limit is still kept.
        if (smallest > limit + 1) return limit + 1;
        std::swap(before, last);
        std::swap(last, row);
    }
    return std::min(last[a.size()], limit + 1);
}

std::size_t slip_limit(std::size_t length) {
    return std::clamp<std::size_t>((length + 1) / 3, 1, 3);
}

std::string_view nearest(std::string_view word, std::span<const std::string_view> candidates) {
    return nearest_of(word, candidates);
}

std::string_view nearest(std::string_view word, std::span<const std::string> candidates) {
    return nearest_of(word, candidates);
}

std::string_view trim(std::string_view s) {
    while (!s.empty() && is_space(s.front())) s.remove_prefix(1);
    while (!s.empty() && is_space(s.back())) s.remove_suffix(1);
    return s;
}

std::string to_lower(std::string_view s) {
    std::string out(s);
    std::transform(out.begin(), out.end(), out.begin(), lower);
    return out;
}

bool equal_ignoring_case(std::string_view a, std::string_view b) {
    return a.size() == b.size() && starts_with_ignoring_case(a, b);
}

bool starts_with_ignoring_case(std::string_view s, std::string_view prefix) {
    if (s.size() < prefix.size()) return false;
    for (std::size_t i = 0; i < prefix.size(); ++i) {
        if (lower(s[i]) != lower(prefix[i])) return false;
    }
    return true;
}

std::vector<std::string_view> split(std::string_view s, char separator) {
    std::vector<std::string_view> parts;
    std::size_t from = 0;
    while (true) {
        const std::size_t to = s.find(separator, from);
        parts.push_back(trim(s.substr(from, to == std::string_view::npos ? to : to - from)));
        if (to == std::string_view::npos) return parts;
        from = to + 1;
    }
}

std::string join(std::span<const std::string> parts, std::string_view separator) {
    std::string out;
    for (std::size_t i = 0; i < parts.size(); ++i) {
        if (i > 0) out += separator;
        out += parts[i];
    }
    return out;
}

std::string join_or(std::span<const std::string> parts) {
    std::string out;
    for (std::size_t i = 0; i < parts.size(); ++i) {
        if (i > 0) out += i + 1 == parts.size() ? " or " : ", ";
        out += parts[i];
    }
    return out;
}

std::string quoted(std::string_view s) {
    constexpr std::size_t kLongest = 60;
    std::string out = "\"";
    const bool cut = s.size() > kLongest;
    std::size_t length = cut ? kLongest : s.size();
    // Never cut inside a code point.
    while (cut && length > 0 && (static_cast<unsigned char>(s[length]) & 0xC0U) == 0x80U) --length;
    for (const char c : s.substr(0, length)) out += static_cast<unsigned char>(c) < 0x20U || c == 0x7F ? ' ' : c;
    if (cut) out += "…";
    out += '"';
    return out;
}

}  // namespace frostread::text
