#pragma once

#include <string>

/// Numbers of a result line, written the way the general writer writes them but without its document.
namespace frostread::batch {

/// Appends `value`, which is finite, rounded half away from zero to `places` decimals (3 or 9): "0.5",
/// "1.0", "1.2e-05", never "-0.0".
void append_rounded(std::string& out, double value, int places);

/// Appends `text` as a JSON string with its quotes. Bytes that are no UTF-8 become U+FFFD.
void append_quoted(std::string& out, const std::string& text);

}  // namespace frostread::batch
