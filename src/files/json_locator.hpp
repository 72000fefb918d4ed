#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

/// Where the parts of a JSON text stand. The parser hands over values without places, so places are
/// found again by a scan of the text, and only once a message or a value's own spelling needs one.
namespace frostread::json {

/// One bracket, text, number or word.
struct Token {
    std::size_t begin = 0;  ///< offset of the first byte
    std::size_t end = 0;    ///< offset behind the last byte
};

/// The tokens of a text in order; commas and colons are passed over. Judges nothing: up to the first
/// fault the tokens are those of the parser, behind it they are cut somehow, and always come to an end.
class Tokens {
public:
    explicit Tokens(std::string_view text);
    std::optional<Token> next();

private:
    std::string_view text_;
    std::size_t at_ = 0;
};

/// Offset of the first byte from `at` on that is not white space.
[[nodiscard]] std::size_t after_space(std::string_view text, std::size_t at);

/// Offset behind the text whose opening quote stands at `quote`, or the end when none closes it.
[[nodiscard]] std::size_t after_text(std::string_view text, std::size_t quote);

/// Where a value stands.
struct Span {
    std::uint32_t begin = 0;
    std::uint32_t end = 0;
    std::uint32_t key_begin = 0;  ///< offset of the key's quote; 0 outside objects
};

/// The place of every value, in the order of the text: the values of a list or an object follow it.
[[nodiscard]] std::vector<Span> locate(std::string_view text);

}  // namespace frostread::json
