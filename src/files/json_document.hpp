#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "files/json_locator.hpp"
#include "frostread/result.hpp"

/// JSON text to a tree whose every node knows its place in the text once it is asked.
///
/// nlohmann's parser reads the text and hands over its parts one by one; the tree of our own keeps what
/// its tree loses: the order of members, keys given twice (errors here), and by json_locator the
/// place and the spelling of every value, so that a rewritten file loses nothing.
namespace frostread::json {

enum class Kind : std::uint8_t { null, boolean, number, string, array, object };

struct Limits {
    std::size_t bytes = std::size_t{64} << 20U;
    std::size_t depth = 64;
};

/// Nodes in the order of the text: the children of a node follow it, `next` skips them.
struct Node {
    std::uint32_t next = 0;   ///< index of the node after this one and all inside it
    std::uint32_t count = 0;  ///< members or elements
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
    // The first of these on a document scans its text once; the tree itself holds no places.
    [[nodiscard]] std::size_t offset() const { return span().begin; }
    [[nodiscard]] std::size_t key_offset() const { return span().key_begin; }
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
    [[nodiscard]] const Span& span() const;
    const Document* document_ = nullptr;
    std::uint32_t index_ = 0;
};

/// Looks into the text it was parsed from again for places: the text must outlive it. Not copied, since
/// values point at it. One thread at a time, since places are worked out when first asked.
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
    [[nodiscard]] const std::vector<Span>& spans() const;  ///< one for each node

private:
    friend class TreeBuilder;
    std::string_view text_;
    std::vector<Node> nodes_;
    std::string strings_;  ///< all decoded texts and keys; never grows beyond what was reserved
    mutable std::vector<Span> spans_;
};

/// `s` as a JSON string with its quotes. Requires valid UTF-8.
void append_string(std::string& out, std::string_view s);

}  // namespace frostread::json
