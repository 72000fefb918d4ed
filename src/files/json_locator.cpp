#include "files/json_locator.hpp"

#include <utility>

namespace frostread::json {

namespace {

std::size_t after_digits(std::string_view s, std::size_t at) {
    while (at < s.size() && s[at] >= '0' && s[at] <= '9') ++at;
    return at;
}

/// A zero stands alone: what follows "0" in "01" is no part of the number.
std::size_t after_number(std::string_view s, std::size_t at) {
    const auto is_at = [&](std::string_view any) { return at < s.size() && any.find(s[at]) != std::string_view::npos; };
    if (is_at("-")) ++at;
    at = is_at("0") ? at + 1 : after_digits(s, at);
    if (is_at(".")) {
        const std::size_t digits = at + 1;
        at = after_digits(s, digits);
        if (at == digits) return at;
    }
    if (is_at("eE")) {
        ++at;
        if (is_at("+-")) ++at;
        at = after_digits(s, at);
    }
    return at;
}

std::size_t after_token(std::string_view s, std::size_t at) {
    const char first = s[at];
    if (first == '"') return after_text(s, at);
    if (first == '-' || (first >= '0' && first <= '9')) return after_number(s, at);
    for (const std::string_view word : {"true", "false", "null"}) {
        if (s.substr(at).starts_with(word)) return at + word.size();
    }
    return at + 1;
}

}  // namespace

std::size_t after_text(std::string_view s, std::size_t quote) {
    std::size_t at = quote + 1;
    while (at < s.size() && s[at] != '"') at += s[at] == '\\' ? 2U : 1U;
    return at < s.size() ? at + 1 : s.size();
}

std::size_t after_space(std::string_view text, std::size_t at) {
    const std::size_t found = text.find_first_not_of(" \n\r\t", at);
    return found == std::string_view::npos ? text.size() : found;
}

Tokens::Tokens(std::string_view text) : text_(text) {
    if (text.starts_with("\xEF\xBB\xBF")) at_ = 3;  // some editors mark UTF-8 so
}

std::optional<Token> Tokens::next() {
    std::size_t begin = after_space(text_, at_);
    while (begin < text_.size() && (text_[begin] == ',' || text_[begin] == ':')) begin = after_space(text_, begin + 1);
    if (begin >= text_.size()) return std::nullopt;
    at_ = after_token(text_, begin);
    return Token{begin, at_};
}

std::vector<Span> locate(std::string_view text) {
    std::vector<Span> spans;
    std::vector<std::size_t> open;
    std::uint32_t key_begin = 0;
    Tokens tokens(text);
    while (const auto token = tokens.next()) {
        const char first = text[token->begin];
        if (first == '}' || first == ']') {
            if (open.empty()) break;
            spans[open.back()].end = static_cast<std::uint32_t>(token->end);
            open.pop_back();
            continue;
        }
        const auto begin = static_cast<std::uint32_t>(token->begin);
        if (first == '"') {
            const std::size_t behind = after_space(text, token->end);
            if (behind < text.size() && text[behind] == ':') {
                key_begin = begin;
                continue;
            }
        }
        if (first == '{' || first == '[') open.push_back(spans.size());
        spans.push_back({begin, static_cast<std::uint32_t>(token->end), std::exchange(key_begin, 0U)});
    }
    return spans;
}

}  // namespace frostread::json
