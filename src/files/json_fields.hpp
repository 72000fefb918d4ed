#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "files/json_document.hpp"
#include "files/json_place.hpp"

/// Typed access to the members of one object. Every demand that is not met becomes a diagnostic at
/// its place and a harmless default comes back, so that one pass finds every problem.
namespace frostread::json {

/// "an object", "a text", "a number" … as it stands in a message.
[[nodiscard]] std::string_view kind_words(Kind kind);

/// "a check", "an area".
[[nodiscard]] std::string with_article(std::string_view noun);

/// The words of an enumeration.
template <class T>
struct Word {
    std::string_view word;
    T value;
};

struct NumberDemand {
    std::optional<double> min;
    std::optional<double> max;
    bool above_min = false;  ///< min itself is refused
};

class Fields {
public:
    /// A value that is not an object is reported; then every member is absent and only that one
    /// problem is said. `subject` names the entry in messages: "check", "outcome".
    Fields(const Value& value, Problems& problems, std::string_view subject);

    [[nodiscard]] bool valid() const { return valid_; }
    [[nodiscard]] const Value& value() const { return value_; }
    [[nodiscard]] Problems& problems() const { return *problems_; }

    /// The member, marked as known; absent is no problem.
    std::optional<Value> take(std::string_view key);
    /// The member; absent is a problem. `wanted` says what belongs there.
    std::optional<Value> need(std::string_view key, std::string_view wanted);
    /// Reports that it is absent; for a `wanted` that takes work to word.
    void miss(std::string_view key, std::string_view wanted);

    std::string text(std::string_view key);           ///< required, not empty
    std::string optional_text(std::string_view key);  ///< "" when absent
    std::string id(std::string_view key = "id");      ///< required; letters, digits, - _ .
    double number(std::string_view key, const NumberDemand& demand = {});
    double optional_number(std::string_view key, double otherwise, const NumberDemand& demand = {});
    std::optional<double> maybe_number(std::string_view key, const NumberDemand& demand = {});
    bool flag(std::string_view key, bool otherwise = false);
    std::vector<std::string> texts(std::string_view key);  ///< [] when absent
    std::optional<Value> array(std::string_view key);
    std::optional<Value> object(std::string_view key);
    std::optional<Value> need_array(std::string_view key);
    std::optional<Value> need_object(std::string_view key);

    template <class T>
    T word(std::string_view key, std::span<const Word<T>> words, std::optional<T> otherwise = std::nullopt) {
        const auto member = otherwise ? take(key) : need(key, "a word");
        if (!member) return otherwise.value_or(words.front().value);
        if (member->is(Kind::string)) {
            for (const Word<T>& w : words) {
                if (w.word == member->string()) return w.value;
            }
        }
        std::vector<std::string> known;
        for (const Word<T>& w : words) known.emplace_back(w.word);
        refuse_word(*member, key, known);
        return otherwise.value_or(words.front().value);
    }

    /// Members nobody asked for are errors, with the nearest known key.
    void finish();
    /// Members nobody asked for, for formats that keep them.
    [[nodiscard]] std::vector<Value> unknown() const;
    /// The known key nearest to a slip, or "".
    [[nodiscard]] std::string nearest_key(std::string_view key) const;

    /// Reports a member of the wrong kind: false and a problem, or true.
    bool demand_kind(const Value& value, Kind kind, std::string_view key);

private:
    std::optional<double> number_in(const Value& member, std::string_view key, const NumberDemand& demand);
    void refuse_word(const Value& member, std::string_view key, const std::vector<std::string>& known);
    void remember(std::string_view key);

    Value value_;
    Problems* problems_;
    std::string_view subject_;
    bool valid_ = false;
    std::vector<std::string_view> known_;  ///< keys are literals: the views live on
};

}  // namespace frostread::json
