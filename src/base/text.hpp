#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

/// Small text tools of the lower layers: places in a text, spelling, plain ASCII case.
/// No locale is asked anywhere.
namespace frostread::text {

// ---------------------------------------------------------------- places

/// Line and column from 1; a column is one byte, as compilers count, and the writers of messages turn
/// it into a place on the screen.
struct Position {
    std::size_t line = 1;
    std::size_t column = 1;
};

/// Where a byte offset stands. Linear in the text: only called once a message is needed.
[[nodiscard]] Position position_at(std::string_view whole, std::size_t offset);

/// The line that holds a byte offset, without its end; tabs become one space each.
[[nodiscard]] std::string line_at(std::string_view whole, std::size_t offset);

/// Offset of the first byte that is not part of valid UTF-8, or none. Overlong forms, surrogates
/// and code points above U+10FFFF are invalid.
[[nodiscard]] std::optional<std::size_t> first_invalid_utf8(std::string_view whole);

// ---------------------------------------------------------------- spelling

/// Edits (insert, delete, replace, swap of neighbours) between two words; `limit + 1` when more.
[[nodiscard]] std::size_t edit_distance(std::string_view a, std::string_view b, std::size_t limit);

/// How many edits still count as a slip for a word of this length: 1 for three letters, 3 at most.
[[nodiscard]] std::size_t slip_limit(std::size_t length);

/// The candidate nearest to `word` within slip_limit, the first of equals, or "".
/// Case does not count. The view is one of the candidates.
[[nodiscard]] std::string_view nearest(std::string_view word, std::span<const std::string_view> candidates);
[[nodiscard]] std::string_view nearest(std::string_view word, std::span<const std::string> candidates);

// ---------------------------------------------------------------- plain text

[[nodiscard]] std::string_view trim(std::string_view s);
[[nodiscard]] std::string to_lower(std::string_view s);  ///< ASCII letters only
[[nodiscard]] bool equal_ignoring_case(std::string_view a, std::string_view b);
[[nodiscard]] bool starts_with_ignoring_case(std::string_view s, std::string_view prefix);

/// Splits at every separator; parts are trimmed, empty parts are kept.
[[nodiscard]] std::vector<std::string_view> split(std::string_view s, char separator);

[[nodiscard]] std::string join(std::span<const std::string> parts, std::string_view separator);
/// "a, b or c"
[[nodiscard]] std::string join_or(std::span<const std::string> parts);

/// In double quotes, for messages; control characters become spaces, long texts are cut.
[[nodiscard]] std::string quoted(std::string_view s);

}  // namespace frostread::text
