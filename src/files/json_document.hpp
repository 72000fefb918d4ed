#pragma once

#include <cstddef>
#include <cstdint>
#include <deque>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "frostread/result.hpp"

/// JSON text to a tree whose every node knows where it stands in the text.
///
/// A reader of our own, for three reasons that no parser at hand joins: every value and key keeps its
/// byte offset, so an error about meaning can name line and column; keys given twice are errors; and
/// a number or an unknown member keeps its own spelling, so a rewritten file loses nothing. Offsets
/// become lines only once a message is needed. Tests hold it against another parser.
namespace frostread::json {

enum class Kind : std::uint8_t { null, boolean, number, string, array, object };

struct Limits {
    std::size_t bytes = std::size_t{64} << 20U;
    std::size_t depth = 64;
};

/// Nodes in the order of the text: the children of a node follow it, `next` skips them.
struct Node {
    std::uint32_t begin = 0;      ///< offset of the first byte
    std::uint32_t end = 0;        ///< offset behind the last byte
    std::uint32_t next = 0;       ///< index of the node after this one and all inside it
    std::uint32_t count = 0;      ///< members or elements
    std::uint32_t key_begin = 0;  ///< offset of the key's quote; only in objects
    Kind kind = Kind::null;
    bool flag = false;
    double number = 0.0;      ///< infinite when the text does not fit a double
    std::string_view string;  ///< decoded
    std::string_view key;     ///< decoded
};

class Document;

/// One value of a document; as cheap as a pointer and valid as long as the document.
class Value {
public:
    Value() = default;
    Value(const Document* document, std::uint32_t index) : document_(document), index_(index) {}

    [[nodiscard]] Kind kind() const { return node().kind; }
    [[nodiscard]] bool is(Kind kind) const { return node().kind == kind; }
    [[nodiscard]] std::string_view string() const { return node().string; }
    [[nodiscard]] double number() const { return node().number; }
    [[nodiscard]] bool boolean() const { return node().flag; }
    [[nodiscard]] std::size_t size() const { return node().count; }
    [[nodiscard]] std::string_view key() const { return node().key; }
    [[nodiscard]] std::size_t offset() const { return node().begin; }
    [[nodiscard]] std::size_t key_offset() const { return node().key_begin; }
    [[nodiscard]] std::string_view raw() const;  ///< as it stands in the text
    [[nodiscard]] std::optional<Value> find(std::string_view key) const;
    [[nodiscard]] std::string_view text() const;  ///< of the whole document
    [[nodiscard]] std::string pointer() const;    ///< RFC 6901; made by a search, for messages only

    class Iterator {
    public:
        Iterator(const Document* document, std::uint32_t index) : document_(document), index_(index) {}
        Value operator*() const { return {document_, index_}; }
        Iterator& operator++();
        bool operator!=(const Iterator& other) const { return index_ != other.index_; }

    private:
        const Document* document_;
        std::uint32_t index_;
    };
    /// Elements of an array or members of an object; none for anything else.
    [[nodiscard]] Iterator begin() const { return {document_, index_ + 1}; }
    [[nodiscard]] Iterator end() const { return {document_, node().next}; }

private:
    [[nodiscard]] const Node& node() const;
    const Document* document_ = nullptr;
    std::uint32_t index_ = 0;
};

/// Holds views into the text it was parsed from: the text must outlive it. Not copied, since values
/// point at it.
class Document {
public:
    explicit Document(std::string_view text) : text_(text) {}
    Document(const Document&) = delete;
    Document& operator=(const Document&) = delete;
    Document(Document&&) = delete;
    Document& operator=(Document&&) = delete;

    /// Parses once. False: `diagnostics` says why (one syntax error, or every key given twice).
    bool parse(std::string_view file_name, Diagnostics& diagnostics, const Limits& limits = {});

    [[nodiscard]] Value root() const { return {this, 0}; }
    [[nodiscard]] std::string_view text() const { return text_; }
    [[nodiscard]] const std::vector<Node>& nodes() const { return nodes_; }

private:
    friend class Parser;
    std::string_view text_;
    std::vector<Node> nodes_;
    std::deque<std::string> decoded_;  ///< strings that held escapes
};

/// `s` as a JSON string with its quotes. Requires valid UTF-8.
void append_string(std::string& out, std::string_view s);

}  // namespace frostread::json
