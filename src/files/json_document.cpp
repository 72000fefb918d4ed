#include "files/json_document.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <limits>
#include <utility>

#include "base/text.hpp"
#include "files/json_place.hpp"

namespace frostread::json {

namespace {

bool is_digit(char c) {
    return c >= '0' && c <= '9';
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

}  // namespace

class Parser {
public:
    Parser(Document& document, std::string_view file_name, Diagnostics& diagnostics, const Limits& limits)
        : document_(document),
          text_(document.text_),
          file_name_(file_name),
          diagnostics_(diagnostics),
          limits_(limits) {}

    bool run() {
        if (text_.size() > limits_.bytes || text_.size() >= std::numeric_limits<std::uint32_t>::max()) {
            return fail(0, "too-large", fmt::format("the text is larger than {} bytes", limits_.bytes), "");
        }
        if (const auto bad = text::first_invalid_utf8(text_)) {
            return fail(*bad, "bad-utf8",
                        fmt::format("byte 0x{:02x} is not valid UTF-8", static_cast<unsigned char>(text_[*bad])),
                        "a text in UTF-8");
        }
        if (text_.starts_with("\xEF\xBB\xBF")) at_ = 3;  // some editors mark UTF-8 so
        document_.nodes_.reserve(text_.size() / 12 + 8);
        if (!value(0)) return false;
        skip_space();
        if (at_ < text_.size()) return syntax(at_, "nothing after the document");
        return !twice_;
    }

private:
    bool fail(std::size_t at, std::string id, std::string what, std::string expected, std::string suggestion = "") {
        Diagnostic diagnostic;
        diagnostic.id = std::move(id);
        diagnostic.what = std::move(what);
        diagnostic.expected = std::move(expected);
        diagnostic.suggestion = std::move(suggestion);
        diagnostic.place = place_of(text_, file_name_, at);
        diagnostics_.push_back(std::move(diagnostic));
        return false;
    }

    bool syntax(std::size_t at, std::string expected, std::string suggestion = "") {
        return fail(at, "bad-json", fmt::format("{} stands where it cannot", name_token(text_, at)),
                    std::move(expected), std::move(suggestion));
    }

    void skip_space() {
        while (at_ < text_.size()) {
            const char c = text_[at_];
            if (c != ' ' && c != '\n' && c != '\r' && c != '\t') return;
            ++at_;
        }
    }

    [[nodiscard]] char peek() const { return at_ < text_.size() ? text_[at_] : '\0'; }

    /// Adds a node for what begins here; the caller fills it.
    std::uint32_t open(Kind kind) {
        Node node;
        node.kind = kind;
        node.begin = static_cast<std::uint32_t>(at_);
        document_.nodes_.push_back(node);
        return static_cast<std::uint32_t>(document_.nodes_.size() - 1);
    }

    void close(std::uint32_t index) {
        Node& node = document_.nodes_[index];
        node.end = static_cast<std::uint32_t>(at_);
        node.next = static_cast<std::uint32_t>(document_.nodes_.size());
    }

    bool value(std::size_t depth) {
        skip_space();
        switch (peek()) {
            case '{':
                return object(depth);
            case '[':
                return array(depth);
            case '"': {
                const std::uint32_t index = open(Kind::string);
                std::string_view decoded;
                if (!string(decoded)) return false;
                document_.nodes_[index].string = decoded;
                close(index);
                return true;
            }
            case 't':
                return word("true", Kind::boolean, true);
            case 'f':
                return word("false", Kind::boolean, false);
            case 'n':
                return word("null", Kind::null, false);
            case '\'':
                return syntax(at_, "a value", "texts stand in double quotes");
            case '/':
                return syntax(at_, "a value", "JSON has no comments");
            case ']':
            case '}':
                return syntax(at_, "a value", "a comma before the closing bracket has to go");
            case '+':
            case '.':
                return syntax(at_, "a value", "a number begins with a digit or a minus sign");
            default:
                if (peek() == '-' || is_digit(peek())) return number();
                return syntax(at_, "a value");
        }
    }

    bool word(std::string_view spelled, Kind kind, bool flag) {
        if (!text_.substr(at_).starts_with(spelled)) return syntax(at_, "a value");
        const std::uint32_t index = open(kind);
        document_.nodes_[index].flag = flag;
        at_ += spelled.size();
        close(index);
        return true;
    }

    bool number() {
        const std::uint32_t index = open(Kind::number);
        const std::size_t from = at_;
        if (peek() == '-') ++at_;
        if (!is_digit(peek())) return syntax(at_, "a digit");
        if (peek() == '0' && at_ + 1 < text_.size() && is_digit(text_[at_ + 1])) {
            return syntax(at_, "a number", "a number has no leading zeros");
        }
        while (is_digit(peek())) ++at_;
        if (peek() == '.') {
            ++at_;
            if (!is_digit(peek())) return syntax(at_, "a digit after the point");
            while (is_digit(peek())) ++at_;
        }
        if (peek() == 'e' || peek() == 'E') {
            ++at_;
            if (peek() == '+' || peek() == '-') ++at_;
            if (!is_digit(peek())) return syntax(at_, "a digit of the exponent");
            while (is_digit(peek())) ++at_;
        }
        double parsed = 0.0;
        const auto [end, error] = std::from_chars(text_.data() + from, text_.data() + at_, parsed);
        static_cast<void>(end);
        // Too small becomes 0, too large stays out of reach of every range.
        if (error == std::errc::result_out_of_range) {
            const std::string_view raw = text_.substr(from, at_ - from);
            const bool tiny = raw.find("e-") != std::string_view::npos || raw.find("E-") != std::string_view::npos;
            parsed = tiny ? 0.0 : std::numeric_limits<double>::infinity();
            if (raw.front() == '-') parsed = -parsed;
        }
        document_.nodes_[index].number = parsed;
        close(index);
        return true;
    }

    bool hex4(char32_t& code) {
        code = 0;
        for (int i = 0; i < 4; ++i, ++at_) {
            const char c = peek();
            char32_t digit = 0;
            if (is_digit(c)) {
                digit = static_cast<char32_t>(c - '0');
            } else if (c >= 'a' && c <= 'f') {
                digit = static_cast<char32_t>(c - 'a' + 10);
            } else if (c >= 'A' && c <= 'F') {
                digit = static_cast<char32_t>(c - 'A' + 10);
            } else {
                return syntax(at_, "four hexadecimal digits after \\u");
            }
            code = code * 16U + digit;
        }
        return true;
    }

    bool escape(std::string& out) {
        const std::size_t from = at_++;
        const char c = peek();
        constexpr std::string_view kNames = "\"\\/bfnrt";
        constexpr std::string_view kMeans = "\"\\/\b\f\n\r\t";
        if (const std::size_t which = kNames.find(c); at_ < text_.size() && which != std::string_view::npos) {
            out += kMeans[which];
            ++at_;
            return true;
        }
        if (c != 'u') return syntax(from, "an escape such as \\n, \\\" or \\\\", "a plain backslash is written \\\\");
        ++at_;
        char32_t code = 0;
        if (!hex4(code)) return false;
        if (code >= 0xD800U && code < 0xDC00U && text_.substr(at_).starts_with("\\u")) {
            at_ += 2;
            char32_t low = 0;
            if (!hex4(low)) return false;
            if (low < 0xDC00U || low > 0xDFFFU) return syntax(from, "the second half of a surrogate pair");
            code = 0x10000U + ((code - 0xD800U) << 10U) + (low - 0xDC00U);
        } else if (code >= 0xD800U && code <= 0xDFFFU) {
            return syntax(from, "a whole surrogate pair");
        }
        text::append_utf8(out, code);
        return true;
    }

    bool string(std::string_view& decoded) {
        const std::size_t quote = at_++;
        const std::size_t from = at_;
        while (at_ < text_.size() && text_[at_] != '"' && text_[at_] != '\\' &&
               static_cast<unsigned char>(text_[at_]) >= 0x20U) {
            ++at_;
        }
        if (peek() == '"' && at_ < text_.size()) {
            decoded = text_.substr(from, at_ - from);
            ++at_;
            return true;
        }
        std::string out(text_.substr(from, at_ - from));
        while (at_ < text_.size()) {
            const char c = text_[at_];
            if (c == '"') {
                ++at_;
                document_.decoded_.push_back(std::move(out));
                decoded = document_.decoded_.back();
                return true;
            }
            if (c == '\\') {
                if (!escape(out)) return false;
            } else if (static_cast<unsigned char>(c) < 0x20U) {
                if (c == '\n' || c == '\r') return unclosed(quote);
                return syntax(at_, "no control characters inside a text", "a tab is written \\t");
            } else {
                out += c;
                ++at_;
            }
        }
        return unclosed(quote);
    }

    bool unclosed(std::size_t quote) {
        return fail(quote, "bad-json", "this text has no closing quote", "\" before the end of the line",
                    "a line break inside a text is written \\n");
    }

    bool too_deep(std::size_t depth) {
        if (depth < limits_.depth) return false;
        fail(at_, "too-deep", fmt::format("brackets are nested more than {} deep", limits_.depth), "");
        return true;
    }

    bool array(std::size_t depth) {
        if (too_deep(depth)) return false;
        const std::uint32_t index = open(Kind::array);
        const std::size_t bracket = at_++;
        std::uint32_t elements = 0;
        skip_space();
        while (peek() != ']' || elements > 0) {
            if (!value(depth + 1)) return false;
            ++elements;
            skip_space();
            if (peek() == ',') {
                ++at_;
                continue;
            }
            if (peek() == ']') break;
            if (at_ >= text_.size()) return fail(bracket, "bad-json", "this [ is never closed", "]");
            return syntax(at_, "a comma or ]");
        }
        ++at_;
        document_.nodes_[index].count = elements;
        close(index);
        return true;
    }

    bool object(std::size_t depth) {
        if (too_deep(depth)) return false;
        const std::uint32_t index = open(Kind::object);
        const std::size_t brace = at_++;
        std::uint32_t members = 0;
        skip_space();
        while (peek() != '}' || members > 0) {
            skip_space();
            if (at_ >= text_.size()) return fail(brace, "bad-json", "this { is never closed", "}");
            if (peek() == '}') {
                return syntax(at_, "a key in double quotes", "a comma before the closing bracket has to go");
            }
            if (peek() != '"') return syntax(at_, "a key in double quotes");
            const auto key_begin = static_cast<std::uint32_t>(at_);
            std::string_view key;
            if (!string(key)) return false;
            skip_space();
            if (peek() != ':') return syntax(at_, "a colon after the key");
            ++at_;
            const std::size_t child = document_.nodes_.size();
            if (!value(depth + 1)) return false;
            document_.nodes_[child].key = key;
            document_.nodes_[child].key_begin = key_begin;
            ++members;
            skip_space();
            if (peek() == ',') {
                ++at_;
                continue;
            }
            if (peek() == '}') break;
            if (at_ >= text_.size()) return fail(brace, "bad-json", "this { is never closed", "}");
            return syntax(at_, "a comma or }");
        }
        ++at_;
        document_.nodes_[index].count = members;
        close(index);
        find_twice(index);
        return true;
    }

    void report_twice(std::uint32_t child) {
        twice_ = true;
        if (++twice_count_ > kMostTwice) return;
        const Node& node = document_.nodes_[child];
        fail(node.key_begin, "key-twice", fmt::format("the key {} is given twice", text::quoted(node.key)),
             "each key once");
    }

    /// Small objects are compared pairwise, large ones by sorting: neither can be made slow.
    void find_twice(std::uint32_t index) {
        const std::vector<Node>& nodes = document_.nodes_;
        constexpr std::uint32_t kSmall = 24;
        if (nodes[index].count <= kSmall) {
            for (std::uint32_t a = index + 1; a < nodes[index].next; a = nodes[a].next) {
                for (std::uint32_t b = index + 1; b < a; b = nodes[b].next) {
                    if (nodes[a].key == nodes[b].key) {
                        report_twice(a);
                        break;
                    }
                }
            }
            return;
        }
        std::vector<std::pair<std::string_view, std::uint32_t>> keys;
        for (std::uint32_t a = index + 1; a < nodes[index].next; a = nodes[a].next) keys.emplace_back(nodes[a].key, a);
        std::sort(keys.begin(), keys.end());
        std::vector<std::uint32_t> again;
        for (std::size_t i = 1; i < keys.size(); ++i) {
            if (keys[i].first == keys[i - 1].first) again.push_back(keys[i].second);
        }
        std::sort(again.begin(), again.end());
        for (const std::uint32_t child : again) report_twice(child);
    }

    Document& document_;
    std::string_view text_;
    std::string_view file_name_;
    Diagnostics& diagnostics_;
    Limits limits_;
    std::size_t at_ = 0;
    bool twice_ = false;
    std::size_t twice_count_ = 0;
    static constexpr std::size_t kMostTwice = 100;
};

bool Document::parse(std::string_view file_name, Diagnostics& diagnostics, const Limits& limits) {
    nodes_.clear();
    decoded_.clear();
    return Parser(*this, file_name, diagnostics, limits).run();
}

const Node& Value::node() const {
    return document_->nodes()[index_];
}

std::string_view Value::raw() const {
    return document_->text().substr(node().begin, node().end - node().begin);
}

std::string_view Value::text() const {
    return document_->text();
}

Value::Iterator& Value::Iterator::operator++() {
    index_ = document_->nodes()[index_].next;
    return *this;
}

std::optional<Value> Value::find(std::string_view key) const {
    if (!is(Kind::object)) return std::nullopt;
    for (const Value member : *this) {
        if (member.key() == key) return member;
    }
    return std::nullopt;
}

std::string Value::pointer() const {
    std::string pointer;
    const std::vector<Node>& nodes = document_->nodes();
    std::uint32_t at = 0;
    while (at != index_) {
        std::size_t position = 0;
        std::uint32_t child = at + 1;
        while (nodes[child].next <= index_) {
            child = nodes[child].next;
            ++position;
        }
        pointer += '/';
        if (nodes[at].kind == Kind::object) {
            for (const char c : nodes[child].key) {
                if (c == '~') {
                    pointer += "~0";
                } else if (c == '/') {
                    pointer += "~1";
                } else {
                    pointer += c;
                }
            }
        } else {
            pointer += std::to_string(position);
        }
        at = child;
    }
    return pointer;
}

void append_string(std::string& out, std::string_view s) {
    out += '"';
    for (const char c : s) {
        switch (c) {
            case '"':
                out += "\\\"";
                break;
            case '\\':
                out += "\\\\";
                break;
            case '\n':
                out += "\\n";
                break;
            case '\r':
                out += "\\r";
                break;
            case '\t':
                out += "\\t";
                break;
            default:
                if (static_cast<unsigned char>(c) < 0x20U) {
                    out += fmt::format("\\u{:04x}", static_cast<unsigned char>(c));
                } else {
                    out += c;
                }
        }
    }
    out += '"';
}

}  // namespace frostread::json
