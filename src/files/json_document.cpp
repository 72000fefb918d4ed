#include "files/json_document.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>
#include <optional>
#include <utility>

#include "base/text.hpp"
#include "files/json_place.hpp"
#include "files/json_syntax.hpp"

namespace frostread::json {

namespace {

/// The parser refuses numbers too large for a double, which here are values out of every range. In a
/// copy of the text each of them gives way to a zero of the same length and sign; `tokens` gets their
/// places among the tokens.
std::string without_overflows(std::string_view text, std::vector<std::size_t>& tokens) {
    constexpr std::size_t kShortest = 5;  // 1e309
    const auto is_digit = [](char c) { return c >= '0' && c <= '9'; };
    std::string tamed(text);
    Tokens scan(text);
    std::size_t count = 0;
    for (auto token = scan.next(); token; token = scan.next(), ++count) {
        const std::size_t begin = token->begin + (text[token->begin] == '-' ? 1U : 0U);
        const std::string_view word = text.substr(begin, token->end - begin);
        // A number cut short does not end in a digit and stays what it is: a fault.
        if (word.size() < kShortest || !is_digit(word.front()) || !is_digit(word.back())) continue;
        if (nlohmann::json::accept(word.begin(), word.end())) continue;
        tokens.push_back(count);
        tamed.replace(begin, word.size(), word.size(), '0');
        tamed[begin + 1] = 'e';
    }
    return tamed;
}

std::size_t offset_of_token(std::string_view text, std::size_t count) {
    Tokens tokens(text);
    for (; count > 0; --count) tokens.next();
    return tokens.next().value_or(Token{}).begin;
}

}  // namespace

/// Takes the parts of the text from the parser and makes the nodes of a document of them.
class TreeBuilder {
public:
    enum class End : std::uint8_t { whole, syntax, too_deep, overflow };

    TreeBuilder(Document& document, std::size_t depth, std::vector<std::size_t> overflows = {})
        : document_(document), depth_(depth), overflows_(std::move(overflows)) {
        document_.nodes_.clear();
        document_.nodes_.reserve(document_.text_.size() / 12 + 8);
        document_.kept_.clear();
        document_.spans_.clear();
    }

    End read(std::string_view text) {
        if (!nlohmann::json::sax_parse(text.begin(), text.end(), this)) return end_;
        // The parser takes a NUL byte for the end of the text.
        return text.find('\0') == std::string_view::npos ? End::whole : End::syntax;
    }

    [[nodiscard]] const Halt& halt() const { return halt_; }
    [[nodiscard]] const std::vector<std::uint32_t>& twice() const { return twice_; }

    // What the parser calls; false stops it.
    bool null() { return leaf(Kind::null); }
    bool boolean(bool flag) {
        leaf(Kind::boolean);
        document_.nodes_.back().flag = flag;
        return true;
    }
    bool number_integer(std::int64_t number) { return leaf_number(static_cast<double>(number)); }
    bool number_unsigned(std::uint64_t number) { return leaf_number(static_cast<double>(number)); }
    bool number_float(double number, const std::string& /*spelled*/) {
        if (next_overflow_ < overflows_.size() && overflows_[next_overflow_] == halt_.tokens) {
            number = std::copysign(std::numeric_limits<double>::infinity(), number);
            ++next_overflow_;
        }
        return leaf_number(number);
    }
    bool string(const std::string& decoded) {
        leaf(Kind::string);
        Node& node = document_.nodes_.back();
        node.wording = wording_of(decoded, node.is_kept);
        return true;
    }
    bool binary(const nlohmann::json::binary_t& /*never in a text*/) { return false; }
    bool key(const std::string& decoded) {
        key_ = wording_of(decoded, is_key_kept_);
        halt_.after_key = true;
        ++halt_.tokens;
        return true;
    }
    bool start_object(std::size_t /*unknown*/) { return open(Kind::object); }
    bool start_array(std::size_t /*unknown*/) { return open(Kind::array); }
    bool end_object() {
        find_twice(close());
        return true;
    }
    bool end_array() {
        close();
        return true;
    }
    bool parse_error(std::size_t position, const std::string& /*token*/, const nlohmann::json::exception& error) {
        halt_.at = position > 0 ? position - 1 : 0;  // bytes read, the one it stopped at among them
        end_ = dynamic_cast<const nlohmann::json::out_of_range*>(&error) != nullptr ? End::overflow : End::syntax;
        return false;
    }

private:
    /// The parser does not say where a text stands, but it is always the next one with quotes.
    Wording wording_of(const std::string& decoded, bool& is_kept) {
        const std::string_view text = document_.text_;
        const std::size_t begin = text.find('"', quotes_read_) + 1;
        const std::size_t end = begin + decoded.size();
        is_kept = end >= text.size() || text[end] != '"' || text.substr(begin, decoded.size()) != decoded;
        const auto size = static_cast<std::uint32_t>(decoded.size());
        if (!is_kept) {
            quotes_read_ = end + 1;
            return {static_cast<std::uint32_t>(begin), size};
        }
        quotes_read_ = after_text(text, begin - 1);
        const Wording kept{static_cast<std::uint32_t>(document_.kept_.size()), size};
        document_.kept_ += decoded;
        return kept;
    }

    bool leaf(Kind kind) {
        std::vector<Node>& nodes = document_.nodes_;
        if (!open_.empty()) ++nodes[open_.back()].count;
        Node& node = nodes.emplace_back();
        node.kind = kind;
        node.key = std::exchange(key_, {});
        node.is_key_kept = std::exchange(is_key_kept_, false);
        node.next = static_cast<std::uint32_t>(nodes.size());
        halt_.after_key = false;
        ++halt_.tokens;
        return true;
    }

    bool leaf_number(double number) {
        leaf(Kind::number);
        document_.nodes_.back().number = number;
        return true;
    }

    bool open(Kind kind) {
        if (open_.size() >= depth_) {
            end_ = End::too_deep;
            return false;
        }
        leaf(kind);
        document_.nodes_.back().count = 0;
        open_.push_back(static_cast<std::uint32_t>(document_.nodes_.size() - 1));
        return true;
    }

    std::uint32_t close() {
        const std::uint32_t index = open_.back();
        open_.pop_back();
        document_.nodes_[index].next = static_cast<std::uint32_t>(document_.nodes_.size());
        ++halt_.tokens;
        return index;
    }

    [[nodiscard]] std::string_view key_of(const Node& node) const {
        return document_.words(node.key, node.is_key_kept);
    }

    /// Small objects are compared pairwise, large ones by sorting: neither can be made slow.
    void find_twice(std::uint32_t index) {
        const std::vector<Node>& nodes = document_.nodes_;
        constexpr std::uint32_t kSmall = 24;
        if (nodes[index].count <= kSmall) {
            for (std::uint32_t a = index + 1; a < nodes[index].next; a = nodes[a].next) {
                for (std::uint32_t b = index + 1; b < a; b = nodes[b].next) {
                    if (key_of(nodes[a]) == key_of(nodes[b])) {
                        twice_.push_back(a);
                        break;
                    }
                }
            }
            return;
        }
        std::vector<std::pair<std::string_view, std::uint32_t>> keys;
        for (std::uint32_t a = index + 1; a < nodes[index].next; a = nodes[a].next)
            keys.emplace_back(key_of(nodes[a]), a);
        std::sort(keys.begin(), keys.end());
        const auto first_again = static_cast<std::ptrdiff_t>(twice_.size());
        for (std::size_t i = 1; i < keys.size(); ++i) {
            if (keys[i].first == keys[i - 1].first) twice_.push_back(keys[i].second);
        }
        std::sort(twice_.begin() + first_again, twice_.end());
    }

    Document& document_;
    std::size_t depth_;
    std::vector<std::size_t> overflows_;
    std::size_t next_overflow_ = 0;
    Halt halt_;
    End end_ = End::syntax;
    std::size_t quotes_read_ = 0;  ///< offset behind the last text or key
    Wording key_;                  ///< of the value to come
    bool is_key_kept_ = false;
    std::vector<std::uint32_t> open_;   ///< nodes not closed yet
    std::vector<std::uint32_t> twice_;  ///< nodes whose key their object had before
};

bool Document::parse(std::string_view file_name, Diagnostics& diagnostics, const Limits& limits) {
    const auto fail = [&](std::string id, SyntaxFault fault) {
        Diagnostic diagnostic;
        diagnostic.id = std::move(id);
        diagnostic.what = std::move(fault.what);
        diagnostic.expected = std::move(fault.expected);
        diagnostic.suggestion = std::move(fault.suggestion);
        diagnostic.place = place_of(text_, file_name, fault.offset);
        diagnostics.push_back(std::move(diagnostic));
        return false;
    };
    if (text_.size() > limits.bytes || text_.size() >= std::numeric_limits<std::uint32_t>::max()) {
        return fail("too-large", {0, fmt::format("the text is larger than {} bytes", limits.bytes), "", ""});
    }
    using End = TreeBuilder::End;
    std::optional<TreeBuilder> builder;
    End end = builder.emplace(*this, limits.depth).read(text_);
    if (end == End::overflow) {
        std::vector<std::size_t> overflows;
        const std::string tamed = without_overflows(text_, overflows);
        end = builder.emplace(*this, limits.depth, std::move(overflows)).read(tamed);
    }
    if (end != End::whole) {
        if (const auto bad = text::first_invalid_utf8(text_)) {
            const auto byte = static_cast<unsigned char>(text_[*bad]);
            return fail("bad-utf8",
                        {*bad, fmt::format("byte 0x{:02x} is not valid UTF-8", byte), "a text in UTF-8", ""});
        }
    }
    constexpr std::size_t kMostTwice = 100;
    for (std::size_t i = 0; i < std::min(builder->twice().size(), kMostTwice); ++i) {
        const std::uint32_t index = builder->twice()[i];
        fail("key-twice",
             {spans()[index].key_begin,
              fmt::format("the key {} is given twice", text::quoted(Value(this, index).key())), "each key once", ""});
    }
    switch (end) {
        case End::too_deep:
            return fail("too-deep", {offset_of_token(text_, builder->halt().tokens),
                                     fmt::format("brackets are nested more than {} deep", limits.depth), "", ""});
        case End::syntax:
        case End::overflow:
            return fail("bad-json", explain_halt(text_, builder->halt()));
        case End::whole:
            break;
    }
    return builder->twice().empty();
}

const std::vector<Span>& Document::spans() const {
    if (spans_.empty()) spans_ = locate(text_);
    return spans_;
}

const Node& Value::node() const {
    return document_->nodes()[index_];
}

std::string_view Value::string() const {
    return is(Kind::string) ? document_->words(node().wording, node().is_kept) : std::string_view();
}

std::string_view Value::key() const {
    return document_->words(node().key, node().is_key_kept);
}

const Span& Value::span() const {
    return document_->spans()[index_];
}

std::string_view Value::raw() const {
    return document_->text().substr(span().begin, span().end - span().begin);
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
            for (const char c : Value(document_, child).key()) {
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
