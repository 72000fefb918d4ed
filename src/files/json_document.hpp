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

/// A decoded text or key: as it stands in the text of the document, or, where escapes had to be
/// resolved, in what the document keeps beside it.
struct Wording {
    std::uint32_t at = 0;
    std::uint32_t size = 0;
};

/// Nodes in the order of the text: the children of a node follow it, `next` skips them. Small, since a
/// rule library has some 25,000 and a cold start pays for every page that it touches.
struct Node {
    std::uint32_t next = 0;  ///< index of the node after this one and all inside it
    Kind kind = Kind::null;
    bool flag = false;
    bool is_kept = false;  ///< `wording` lies in the document's own store
    bool is_key_kept = false;
    Wording key;
    union {
        double number;         ///< infinite when the text does not fit a double
        Wording wording = {};  ///< of a text
        std::uint32_t count;   ///< members of an object, elements of a list
    };
};

class Document;

/// One value of a document; as cheap as a pointer and valid as long as the document.
class Value {
public:
    Value() = default;
    Value(const Document* document, std::uint32_t index) : document_(document), index_(index) {}

    [[nodiscard]] Kind kind() const { return node().kind; }
    [[nodiscard]] bool is(Kind kind) const { return node().kind == kind; }
    [[nodiscard]] std::string_view string() const;  ///< "" for anything but a text
    [[nodiscard]] double number() const { return is(Kind::number) ? node().number : 0.0; }
    [[nodiscard]] bool boolean() const { return node().flag; }
    [[nodiscard]] std::size_t size() const { return is(Kind::array) || is(Kind::object) ? node().count : 0; }
    [[nodiscard]] std::string_view key() const;  ///< "" outside objects
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
    [[nodiscard]] std::string_view words(const Wording& wording, bool is_kept) const {
        return (is_kept ? std::string_view(kept_) : text_).substr(wording.at, wording.size);
    }

private:
    friend class TreeBuilder;
    std::string_view text_;
    std::vector<Node> nodes_;
    std::string kept_;  ///< decoded texts and keys that are written with escapes
    mutable std::vector<Span> spans_;
};

/// `s` as a JSON string with its quotes. Requires valid UTF-8.
void append_string(std::string& out, std::string_view s);

}  // namespace frostread::json
