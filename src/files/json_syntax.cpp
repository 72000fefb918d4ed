#include "files/json_syntax.hpp"

#include <fmt/format.h>

#include <utility>
#include <vector>

#include "files/json_locator.hpp"

namespace frostread::json {

namespace {

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

bool is_hex_digit(char c) {
    return is_digit(c) || (c >= 'a' && c <= 'f') || (c >= 'A' && c <= 'F');
}

std::string name_character(std::string_view s, std::size_t at) {
    if (at >= s.size()) return "the end of the text";
    const auto byte = static_cast<unsigned char>(s[at]);
    if (byte < 0x20U || byte == 0x7FU) return fmt::format("the control character 0x{:02x}", byte);
    std::size_t length = 1;
    while (byte >= 0x80U && at + length < s.size() && (static_cast<unsigned char>(s[at + length]) & 0xC0U) == 0x80U) {
        ++length;
    }
    return fmt::format("'{}'", s.substr(at, length));
}

/// What stands here, as far as it is one word.
std::string name_token(std::string_view s, std::size_t at) {
    std::size_t length = 0;
    const auto is_letter = [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_'; };
    while (at + length < s.size() && length < 40 && (is_letter(s[at + length]) || is_digit(s[at + length]))) ++length;
    return length > 1 ? fmt::format("'{}'", s.substr(at, length)) : name_character(s, at);
}

class Explainer {
public:
    Explainer(std::string_view text, const Halt& halt) : text_(text), halt_(halt) {
        Tokens tokens(text);
        if (text.starts_with("\xEF\xBB\xBF")) last_.begin = last_.end = 3;
        for (std::size_t i = 0; i < halt.tokens; ++i) {
            last_ = tokens.next().value_or(last_);
            const char first = text[last_.begin];
            if (first == '{' || first == '[') open_.push_back(last_.begin);
            if (first == '}' || first == ']') open_.pop_back();
        }
        at_ = after_space(text, last_.end);
    }

    SyntaxFault run() {
        if (halt_.tokens == 0) return value();
        if (halt_.after_key) {
            if (peek() != ':') return misplaced(at_, "a colon after the key");
            return value_behind_mark();
        }
        const char last = text_[last_.begin];
        if (last == '[') return value();
        if (last == '{') return key(false);
        if (is_digit(peek()) && at_ == last_.end && text_[at_ - 1] == '0' && last_.end - last_.begin <= 2) {
            return misplaced(at_ - 1, "a number", "a number has no leading zeros");
        }
        if (open_.empty()) return misplaced(at_, "nothing after the document");
        const bool in_object = text_[open_.back()] == '{';
        if (peek() == ',') {
            if (!in_object) return value_behind_mark();
            at_ = after_space(text_, at_ + 1);
            return key(true);
        }
        if (at_ >= text_.size()) return never_closed();
        return misplaced(at_, in_object ? "a comma or }" : "a comma or ]");
    }

private:
    [[nodiscard]] char peek() const { return at_ < text_.size() ? text_[at_] : '\0'; }

    [[nodiscard]] SyntaxFault misplaced(std::size_t at, std::string expected, std::string suggestion = "") const {
        return {at, fmt::format("{} stands where it cannot", name_token(text_, at)), std::move(expected),
                std::move(suggestion)};
    }

    [[nodiscard]] SyntaxFault never_closed() const {
        const bool in_object = text_[open_.back()] == '{';
        return {open_.back(), fmt::format("this {} is never closed", text_[open_.back()]), in_object ? "}" : "]", ""};
    }

    SyntaxFault value_behind_mark() {
        at_ = after_space(text_, at_ + 1);
        return value();
    }

    SyntaxFault key(bool after_comma) {
        if (at_ >= text_.size()) return never_closed();
        if (peek() == '"') return string();
        const bool stray_comma = after_comma && peek() == '}';
        return misplaced(at_, "a key in double quotes",
                         stray_comma ? "a comma before the closing bracket has to go" : "");
    }

    SyntaxFault value() {
        switch (peek()) {
            case '"':
                return string();
            case '\'':
                return misplaced(at_, "a value", "texts stand in double quotes");
            case '/':
                return misplaced(at_, "a value", "JSON has no comments");
            case ']':
            case '}':
                return misplaced(at_, "a value", "a comma before the closing bracket has to go");
            case '+':
            case '.':
                return misplaced(at_, "a value", "a number begins with a digit or a minus sign");
            default:
                return peek() == '-' || is_digit(peek()) ? number() : misplaced(at_, "a value");
        }
    }

    /// The parser stopped at the byte where a digit had to stand.
    [[nodiscard]] SyntaxFault number() const {
        const std::size_t before = halt_.at - 1;
        if (before == at_) return misplaced(halt_.at, "a digit");
        return misplaced(halt_.at, text_[before] == '.' ? "a digit after the point" : "a digit of the exponent");
    }

    [[nodiscard]] bool continues(std::size_t at, std::string_view with) const {
        return at < text_.size() && text_.substr(at).starts_with(with);
    }

    [[nodiscard]] bool is_surrogate(std::size_t escape, std::string_view third_digits) const {
        return text_.size() > escape + 3 && text_[escape + 1] == 'u' &&
               (text_[escape + 2] == 'd' || text_[escape + 2] == 'D') &&
               third_digits.find(text_[escape + 3]) != std::string_view::npos;
    }

    /// The parser stopped inside an escape, at a control character or at the end of the text.
    [[nodiscard]] SyntaxFault string() const {
        for (std::size_t at = at_ + 1; at < halt_.at;) {
            if (text_[at] != '\\') {
                ++at;
                continue;
            }
            const bool has_code = continues(at + 1, "u");
            const bool first_half = is_surrogate(at, "89abAB");
            const bool pair = first_half && continues(at + 6, "\\u");
            const std::size_t end = at + (pair ? 12U : has_code ? 6U : 2U);
            if (halt_.at < end || (first_half && !pair)) return escape(at, has_code, pair);
            at = end;
        }
        const char c = halt_.at < text_.size() ? text_[halt_.at] : '\n';
        if (c != '\n' && c != '\r') {
            return misplaced(halt_.at, "no control characters inside a text", "a tab is written \\t");
        }
        return {at_, "this text has no closing quote", "\" before the end of the line",
                "a line break inside a text is written \\n"};
    }

    [[nodiscard]] SyntaxFault escape(std::size_t from, bool has_code, bool pair) const {
        if (!has_code) {
            return misplaced(from, "an escape such as \\n, \\\" or \\\\", "a plain backslash is written \\\\");
        }
        const std::size_t behind = halt_.at - from;
        const bool in_code = behind < 6 || (pair && behind >= 8);
        if (in_code && (halt_.at >= text_.size() || !is_hex_digit(text_[halt_.at]))) {
            return misplaced(halt_.at, "four hexadecimal digits after \\u");
        }
        return misplaced(from, pair ? "the second half of a surrogate pair" : "a whole surrogate pair");
    }

    std::string_view text_;
    Halt halt_;
    Token last_;                     ///< the last token read whole
    std::vector<std::size_t> open_;  ///< offsets of the brackets that are open there
    std::size_t at_ = 0;             ///< where the fault begins
};

}  // namespace

SyntaxFault explain_halt(std::string_view text, const Halt& halt) {
    return Explainer(text, halt).run();
}

}  // namespace frostread::json
