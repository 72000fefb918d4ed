#include "files/json_fields.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/text.hpp"

namespace frostread::json {

namespace {

bool is_id_character(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_' ||
           c == '.';
}

bool is_id(std::string_view s) {
    return !s.empty() && std::all_of(s.begin(), s.end(), is_id_character) && s.front() != '-' && s.back() != '-';
}

std::string range_words(const NumberDemand& demand) {
    if (demand.min && demand.max) {
        return fmt::format("a number {} {} {} {}", demand.above_min ? "above" : "from", *demand.min,
                           demand.above_min ? "and at most" : "to", *demand.max);
    }
    if (demand.min) return fmt::format("a number {} {}", demand.above_min ? "above" : "of at least", *demand.min);
    if (demand.max) return fmt::format("a number of at most {}", *demand.max);
    return "a number";
}

}  // namespace

std::string_view kind_words(Kind kind) {
    switch (kind) {
        case Kind::null:
            return "null";
        case Kind::boolean:
            return "true or false";
        case Kind::number:
            return "a number";
        case Kind::string:
            return "a text";
        case Kind::array:
            return "a list";
        case Kind::object:
            return "an object";
    }
    return "a value";
}

std::string with_article(std::string_view noun) {
    const bool vowel = !noun.empty() && std::string_view("aeio").find(noun.front()) != std::string_view::npos;
    return fmt::format("{} {}", vowel ? "an" : "a", noun);
}

Fields::Fields(const Value& value, Problems& problems, std::string_view subject)
    : value_(value), problems_(&problems), subject_(subject), valid_(value.is(Kind::object)) {
    if (!valid_) {
        problems.error(value, "wrong-type",
                       fmt::format("{} stands where {} belongs", kind_words(value.kind()), with_article(subject)),
                       "an object { … }");
    }
}

void Fields::remember(std::string_view key) {
    if (std::find(known_.begin(), known_.end(), key) == known_.end()) known_.push_back(key);
}

std::optional<Value> Fields::take(std::string_view key) {
    remember(key);
    if (!valid_) return std::nullopt;
    return value_.find(key);
}

std::optional<Value> Fields::need(std::string_view key, std::string_view wanted) {
    auto member = take(key);
    if (!member) miss(key, wanted);
    return member;
}

void Fields::miss(std::string_view key, std::string_view wanted) {
    if (!valid_) return;
    problems_->error(value_, "missing-key", fmt::format("this {} has no \"{}\"", subject_, key),
                     fmt::format("\"{}\": {}", key, wanted));
}

bool Fields::demand_kind(const Value& value, Kind kind, std::string_view key) {
    if (value.is(kind)) return true;
    problems_->error(value, "wrong-type", fmt::format("\"{}\" is {}", key, kind_words(value.kind())),
                     std::string(kind_words(kind)));
    return false;
}

std::string Fields::text(std::string_view key) {
    const auto member = need(key, "a text");
    if (!member || !demand_kind(*member, Kind::string, key)) return "";
    if (text::trim(member->string()).empty()) {
        problems_->error(*member, "empty-text", fmt::format("\"{}\" of this {} is empty", key, subject_), "a text");
    }
    return std::string(member->string());
}

std::string Fields::optional_text(std::string_view key) {
    const auto member = take(key);
    if (!member || !demand_kind(*member, Kind::string, key)) return "";
    return std::string(member->string());
}

std::string Fields::id(std::string_view key) {
    const auto member = need(key, "an id");
    if (!member || !demand_kind(*member, Kind::string, key)) return "";
    if (!is_id(member->string())) {
        problems_->error(*member, "bad-id", fmt::format("{} is no id", text::quoted(member->string())),
                         "letters, digits and hyphens");
    }
    return std::string(member->string());
}

std::optional<double> Fields::number_in(const Value& member, std::string_view key, const NumberDemand& demand) {
    if (!demand_kind(member, Kind::number, key)) return std::nullopt;
    const double number = member.number();
    const bool low = demand.min && (demand.above_min ? number <= *demand.min : number < *demand.min);
    const bool high = demand.max && number > *demand.max;
    if (low || high || !std::isfinite(number)) {
        problems_->error(member, "out-of-range", fmt::format("\"{}\" is {}", key, member.raw()), range_words(demand));
        return std::nullopt;
    }
    return number;
}

double Fields::number(std::string_view key, const NumberDemand& demand) {
    const auto member = take(key);
    if (!member) miss(key, range_words(demand));
    return member ? number_in(*member, key, demand).value_or(demand.min.value_or(0.0)) : demand.min.value_or(0.0);
}

double Fields::optional_number(std::string_view key, double otherwise, const NumberDemand& demand) {
    return maybe_number(key, demand).value_or(otherwise);
}

std::optional<double> Fields::maybe_number(std::string_view key, const NumberDemand& demand) {
    const auto member = take(key);
    return member ? number_in(*member, key, demand) : std::nullopt;
}

bool Fields::flag(std::string_view key, bool otherwise) {
    const auto member = take(key);
    return member && demand_kind(*member, Kind::boolean, key) ? member->boolean() : otherwise;
}

std::vector<std::string> Fields::texts(std::string_view key) {
    std::vector<std::string> all;
    const auto list = array(key);
    if (!list) return all;
    for (const Value element : *list) {
        if (!demand_kind(element, Kind::string, key)) continue;
        if (text::trim(element.string()).empty()) {
            problems_->error(element, "empty-text", fmt::format("\"{}\" holds an empty text", key), "a text");
        }
        all.emplace_back(element.string());
    }
    return all;
}

std::optional<Value> Fields::array(std::string_view key) {
    const auto member = take(key);
    return member && demand_kind(*member, Kind::array, key) ? member : std::nullopt;
}

std::optional<Value> Fields::object(std::string_view key) {
    const auto member = take(key);
    return member && demand_kind(*member, Kind::object, key) ? member : std::nullopt;
}

std::optional<Value> Fields::need_array(std::string_view key) {
    const auto member = need(key, "[ … ]");
    return member && demand_kind(*member, Kind::array, key) ? member : std::nullopt;
}

std::optional<Value> Fields::need_object(std::string_view key) {
    const auto member = need(key, "{ … }");
    return member && demand_kind(*member, Kind::object, key) ? member : std::nullopt;
}

void Fields::refuse_word(const Value& member, std::string_view key, const std::vector<std::string>& known) {
    const std::string found = member.is(Kind::string) ? text::quoted(member.string()) : std::string(member.raw());
    std::string suggestion;
    if (member.is(Kind::string)) suggestion = text::nearest(member.string(), std::span<const std::string>(known));
    problems_->error(member, "unknown-word", fmt::format("\"{}\" is {}", key, found), text::join_or(known),
                     std::move(suggestion));
}

std::vector<Value> Fields::unknown() const {
    std::vector<Value> all;
    if (!valid_) return all;
    for (const Value member : value_) {
        if (std::find(known_.begin(), known_.end(), member.key()) == known_.end()) all.push_back(member);
    }
    return all;
}

std::string Fields::nearest_key(std::string_view key) const {
    return std::string(text::nearest(key, std::span<const std::string_view>(known_)));
}

void Fields::finish() {
    for (const Value member : unknown()) {
        problems_->error_at_key(member, "unknown-key",
                                fmt::format("{} has no key {}", with_article(subject_), text::quoted(member.key())), "",
                                nearest_key(member.key()));
    }
}

}  // namespace frostread::json
