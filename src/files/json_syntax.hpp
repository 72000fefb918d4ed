#pragma once

#include <cstddef>
#include <string>
#include <string_view>

/// Says in our own words why a text is no JSON. The parser judges; here its halt is put into words: what
/// stands there, what belongs there, and the slip it usually is.
namespace frostread::json {

/// How far the parser came.
struct Halt {
    std::size_t tokens = 0;  ///< brackets, texts, numbers and words read whole
    bool after_key = false;  ///< the last of them was a key
    std::size_t at = 0;      ///< offset of the byte it stopped at
};

struct SyntaxFault {
    std::size_t offset = 0;
    std::string what;
    std::string expected;
    std::string suggestion;
};

/// Requires a text that the parser refused, or one with a NUL byte, which it takes for the end.
[[nodiscard]] SyntaxFault explain_halt(std::string_view text, const Halt& halt);

}  // namespace frostread::json
