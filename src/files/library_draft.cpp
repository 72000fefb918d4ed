#include "files/library_draft.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/text.hpp"
#include "frostread/quantity.hpp"

namespace frostread {

std::string_view to_word(Thing thing) {
    switch (thing) {
        case Thing::system:
            return "system";
        case Thing::trait:
            return "trait";
        case Thing::area:
            return "area";
        case Thing::condition:
            return "condition";
        case Thing::caution:
            return "caution";
        case Thing::place:
            return "place";
        case Thing::check:
            return "check";
        case Thing::fault:
            return "fault";
        case Thing::remedy:
            return "remedy";
    }
    return "entry";
}

void LibraryDraft::define(Thing thing, const std::string& id, const Site& site) {
    if (id.empty()) return;
    const auto [first, is_new] = defined_[index(thing)].emplace(id, site);
    if (is_new) {
        order_[index(thing)].push_back(id);
        return;
    }
    const Site& before = first->second;
    const Place place = json::place_of(before.value.text(), before.problems->file_name(), before.value.offset());
    site.error("duplicate-id", fmt::format("another {} is named {} already", to_word(thing), text::quoted(id)),
               fmt::format("a name of its own; the first stands in {}:{}", place.file, place.line));
}

bool LibraryDraft::is_defined(Thing thing, const std::string& id) const {
    return defined_[index(thing)].find(id) != defined_[index(thing)].end();
}

const Site* LibraryDraft::site(Thing thing, const std::string& id) const {
    const auto found = defined_[index(thing)].find(id);
    return found == defined_[index(thing)].end() ? nullptr : &found->second;
}

std::string LibraryDraft::nearest(Thing thing, std::string_view id) const {
    return std::string(text::nearest(id, std::span<const std::string>(order_[index(thing)])));
}

void LibraryDraft::refer(Thing thing, std::string id, const Site& site) {
    if (is_defined(thing, id)) return;
    references_.push_back({thing, std::move(id), site});
}

std::vector<std::string> LibraryDraft::references(json::Fields& fields, std::string_view key, Thing thing) {
    std::vector<std::string> ids;
    const auto list = fields.array(key);
    if (!list) return ids;
    for (const json::Value element : *list) {
        if (!fields.demand_kind(element, json::Kind::string, key)) continue;
        std::string id(element.string());
        const Site site{element, &fields.problems()};
        if (std::find(ids.begin(), ids.end(), id) != ids.end()) {
            site.error("named-twice", fmt::format("{} is named twice", text::quoted(id)), "each once");
            continue;
        }
        refer(thing, id, site);
        ids.push_back(std::move(id));
    }
    return ids;
}

std::string LibraryDraft::optional_reference(json::Fields& fields, std::string_view key, Thing thing) {
    const auto member = fields.take(key);
    if (!member || !fields.demand_kind(*member, json::Kind::string, key)) return "";
    refer(thing, std::string(member->string()), {*member, &fields.problems()});
    return std::string(member->string());
}

std::string LibraryDraft::reference(json::Fields& fields, std::string_view key, Thing thing) {
    const auto member = fields.take(key);
    if (!member) fields.miss(key, "the id of " + json::with_article(to_word(thing)));
    if (!member || !fields.demand_kind(*member, json::Kind::string, key)) return "";
    refer(thing, std::string(member->string()), {*member, &fields.problems()});
    return std::string(member->string());
}

void LibraryDraft::run_later() {
    for (std::size_t i = 0; i < later_.size(); ++i) later_[i]();
    later_.clear();
}

void LibraryDraft::resolve_references() {
    for (const Reference& r : references_) {
        if (is_defined(r.thing, r.id) || !is_complete(r.thing)) continue;
        r.site.error(fmt::format("unknown-{}", to_word(r.thing)),
                     fmt::format("no {} is named {}", to_word(r.thing), text::quoted(r.id)), "",
                     nearest(r.thing, r.id));
    }
    references_.clear();
}

void LibraryDraft::add_overlay_entry(Thing thing, const Site& site) {
    const auto id = site.value.find("id");
    const bool named = id && id->is(json::Kind::string);
    if (named) {
        const auto [at, is_new] = overlay_ids_[index(thing)].emplace(id->string(), overlay_[index(thing)].size());
        if (!is_new && overlay_[index(thing)][at->second].site.problems == site.problems) {
            site.error("duplicate-id",
                       fmt::format("another {} is named {} already", to_word(thing), text::quoted(id->string())),
                       "a name of its own");
            return;
        }
        if (!is_new) {  // a later file has the last word
            overlay_[index(thing)][at->second].site = site;
            return;
        }
    }
    overlay_[index(thing)].push_back({site});
}

void LibraryDraft::each_entry(Thing thing, const json::Value& list, json::Problems& problems,
                              const std::function<void(const Site&)>& read) {
    for (const json::Value element : list) {
        Site site{element, &problems};
        if (!overlay_ids_[index(thing)].empty()) {
            const auto id = element.find("id");
            const auto found = id && id->is(json::Kind::string)
                                   ? overlay_ids_[index(thing)].find(std::string(id->string()))
                                   : overlay_ids_[index(thing)].end();
            if (found != overlay_ids_[index(thing)].end()) {
                OverlayEntry& entry = overlay_[index(thing)][found->second];
                entry.used = true;
                site = entry.site;
            }
        }
        read(site);
    }
}

void LibraryDraft::each_new_entry(Thing thing, const std::function<void(const Site&)>& read) {
    for (OverlayEntry& entry : overlay_[index(thing)]) {
        if (!std::exchange(entry.used, true)) read(entry.site);
    }
}

const Check* LibraryDraft::check(const std::string& id) const {
    const auto found = check_positions_.find(id);
    return found == check_positions_.end() ? nullptr : &library.checks[found->second];
}

std::optional<double> LibraryDraft::probability(const json::Value& value, json::Problems& problems) {
    if (value.is(json::Kind::number)) {
        if (value.number() >= 0.0 && value.number() <= 1.0) return value.number();
        problems.error(value, "out-of-range", fmt::format("the probability {} is not from 0 to 1", value.raw()),
                       "a number from 0 to 1, or a word of the scale");
        return std::nullopt;
    }
    if (!value.is(json::Kind::string)) {
        problems.error(value, "wrong-type", fmt::format("a probability is {}", json::kind_words(value.kind())),
                       "a number from 0 to 1, or a word of the scale");
        return std::nullopt;
    }
    // Without library.json no word is known, and that file's own trouble is said elsewhere.
    if (!is_complete(Thing::system)) return std::nullopt;
    std::vector<std::string> words;
    for (const auto& [word, number] : library.scale) {
        if (word == value.string()) return number;
        words.push_back(word);
    }
    problems.error(value, "unknown-word", fmt::format("no word of the scale is {}", text::quoted(value.string())),
                   words.empty() ? "a number from 0 to 1: this library has no scale"
                                 : fmt::format("a number from 0 to 1, or {}", text::join_or(words)),
                   std::string(text::nearest(value.string(), std::span<const std::string>(words))));
    return std::nullopt;
}

std::optional<NumberRange> LibraryDraft::range(json::Fields& fields, std::string_view key, bool required) {
    const auto member = required ? fields.need(key, "[least, most]") : fields.take(key);
    if (!member) return std::nullopt;
    const auto refuse = [&] {
        fields.problems().error(*member, "bad-range", fmt::format("\"{}\" is {}", key, member->raw().substr(0, 40)),
                                "two rising numbers, such as [0, 100]");
        return std::nullopt;
    };
    if (!member->is(json::Kind::array) || member->size() != 2) return refuse();
    std::vector<double> ends;
    for (const json::Value element : *member) {
        if (!element.is(json::Kind::number) || !std::isfinite(element.number())) return refuse();
        ends.push_back(element.number());
    }
    if (!(ends[0] < ends[1])) return refuse();
    return NumberRange{ends[0], ends[1]};
}

TraitCondition LibraryDraft::trait_condition(json::Fields& fields, std::string_view key) {
    TraitCondition condition;
    const auto where = fields.object(key);
    if (!where) return condition;
    for (const json::Value member : *where) {
        if (auto test = trait_test(member, fields.problems())) condition.all.push_back(std::move(*test));
    }
    return condition;
}

std::optional<TraitTest> LibraryDraft::trait_test(const json::Value& member, json::Problems& problems) {
    TraitTest test;
    test.trait = member.key();
    const Trait* trait = find_trait(library, test.trait);
    if (trait == nullptr) {
        if (is_complete(Thing::trait)) {
            problems.error_at_key(member, "unknown-trait",
                                  fmt::format("no trait is named {}", text::quoted(member.key())), "",
                                  nearest(Thing::trait, member.key()));
        }
        return std::nullopt;
    }
    const auto value_id = [&](const json::Value& value, std::vector<std::string>& into) {
        if (!value.is(json::Kind::string)) {
            problems.error(value, "wrong-type",
                           fmt::format("a value of {} is {}", trait->id, json::kind_words(value.kind())), "a text");
            return;
        }
        const auto is_it = [&](const TraitValue& v) { return v.id == value.string(); };
        if (std::none_of(trait->values.begin(), trait->values.end(), is_it)) {
            std::vector<std::string> known;
            for (const TraitValue& v : trait->values) known.push_back(v.id);
            problems.error(
                value, "unknown-value", fmt::format("{} has no value {}", trait->id, text::quoted(value.string())),
                text::join_or(known), std::string(text::nearest(value.string(), std::span<const std::string>(known))));
            return;
        }
        into.emplace_back(value.string());
    };
    const auto value_list = [&](const json::Value& value, std::vector<std::string>& into) {
        if (!value.is(json::Kind::array)) return value_id(value, into);
        if (value.size() == 0) {
            problems.error(value, "empty-list", fmt::format("the values of {} are empty", trait->id),
                           "at least one value");
        }
        for (const json::Value element : value) value_id(element, into);
    };
    if (!trait->is_number) {
        if (!member.is(json::Kind::object)) {
            value_list(member, test.any_of);
            return test;
        }
        json::Fields fields(member, problems, "trait condition");
        if (const auto none = fields.need("not", "[ … ]")) value_list(*none, test.none_of);
        fields.finish();
        return test;
    }
    if (!member.is(json::Kind::object)) {
        problems.error(member, "wrong-type",
                       fmt::format("{} is a number, its condition is {}", trait->id, json::kind_words(member.kind())),
                       "{ \"min\": …, \"max\": … }");
        return std::nullopt;
    }
    json::Fields fields(member, problems, "trait condition");
    NumberRange range;
    range.min = fields.maybe_number("min");
    range.max = fields.maybe_number("max");
    fields.finish();
    if ((!range.min && !range.max) || (range.min && range.max && *range.min > *range.max)) {
        problems.error(member, "bad-range", fmt::format("no {} can fulfil this", trait->id),
                       "\"min\", \"max\" or both, rising");
    }
    test.range = range;
    return test;
}

}  // namespace frostread
