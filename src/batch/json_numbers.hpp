#pragma once

#include <cstddef>
#include <string>
#include <string_view>

/// Numbers and texts of a result line, written the way the general writer writes them but without its document.
namespace frostread::batch {

/// Room that write_rounded may need.
constexpr std::size_t kLongestNumber = 64;

/// Writes `value`, which is finite, rounded half away from zero to `places` decimals (3 or 9): "0.5", "1.0",
/// "1.2e-05", never "-0.0". Returns the end.
char* write_rounded(char* to, double value, int places);

/// The same, appended.
void append_rounded(std::string& out, double value, int places);

/// Whether `text` stands between the quotes of a JSON string as it is: valid UTF-8 and nothing to escape.
[[nodiscard]] bool is_plain_text(std::string_view text);

/// Appends `text` as a JSON string with its quotes. Bytes that are no UTF-8 become U+FFFD.
void append_quoted(std::string& out, std::string_view text);

}  // namespace frostread::batch
