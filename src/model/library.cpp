#include "frostread/library.hpp"

#include <algorithm>

#include "base/text.hpp"

namespace frostread {

namespace {

template <class T>
const T* find_by_id(const std::vector<T>& all, std::string_view id) {
    const auto it = std::find_if(all.begin(), all.end(), [&](const T& item) { return item.id == id; });
    return it == all.end() ? nullptr : &*it;
}

const std::vector<std::string>& aliases_of(const Area& /*area*/) {
    static const std::vector<std::string> none;
    return none;
}
template <class T>
const std::vector<std::string>& aliases_of(const T& item) {
    return item.aliases;
}

/// Ids are written with hyphens or underscores; a person may type spaces or the other of the two.
std::string as_id(std::string_view typed) {
    std::string id = text::to_lower(text::trim(typed));
    for (char& c : id) {
        if (c == ' ' || c == '_') c = '-';
    }
    return id;
}

bool same_id(std::string_view id, std::string_view wanted) {
    if (id.size() != wanted.size()) return false;
    return as_id(id) == wanted;
}

/// "no" and "not" deny; they are never taken for the beginning of "noise" or "normal".
bool is_denial(std::string_view wanted) {
    return wanted == "no" || wanted == "not";
}

constexpr std::size_t kShortWord = 4;  ///< of so few letters too many words are a slip

template <class T>
NameMatch match(const std::vector<T>& all, std::string_view typed) {
    NameMatch result;
    for (const T& item : all) {
        if (item.id == typed) {
            result.matches.push_back(item.id);
            return result;
        }
    }
    const std::string wanted = as_id(typed);
    if (wanted.empty()) return result;
    const auto add = [&](const std::string& id) {
        if (std::find(result.matches.begin(), result.matches.end(), id) == result.matches.end()) {
            result.matches.push_back(id);
        }
    };
    for (const T& item : all) {
        if (same_id(item.id, wanted)) add(item.id);
    }
    if (!result.matches.empty()) return result;
    for (const T& item : all) {
        for (const std::string& alias : aliases_of(item)) {
            if (same_id(alias, wanted)) add(item.id);
        }
    }
    if (!result.matches.empty()) return result;
    for (const T& item : all) {
        if (same_id(item.name, wanted)) add(item.id);
    }
    if (!result.matches.empty()) return result;
    if (is_denial(wanted)) return result;
    for (const T& item : all) {
        bool fits = as_id(item.id).starts_with(wanted);
        for (const std::string& alias : aliases_of(item)) fits = fits || as_id(alias).starts_with(wanted);
        if (fits) add(item.id);
    }
    if (!result.matches.empty()) return result;
    if (wanted.size() <= 2) return result;  // "ol" is one letter from "ok", and says the opposite

    std::vector<std::string> spellings;
    std::vector<const T*> owners;
    for (const T& item : all) {
        spellings.push_back(as_id(item.id));
        owners.push_back(&item);
    }
    for (const T& item : all) {
        for (const std::string& alias : aliases_of(item)) {
            spellings.push_back(as_id(alias));
            owners.push_back(&item);
        }
    }
    const std::string_view nearest = text::nearest(wanted, std::span<const std::string>(spellings));
    if (!nearest.empty()) {
        for (std::size_t i = 0; i < spellings.size(); ++i) {
            if (spellings[i].data() == nearest.data()) result.nearest = owners[i]->id;
        }
        return result;
    }
    // "freezr", "condensor": a slip of a name, or of the word that ids begin with.
    spellings.clear();
    owners.clear();
    const auto add_spelling = [&](const T& item, std::string spelling) {
        if (spelling.size() <= kShortWord) return;
        spellings.push_back(std::move(spelling));
        owners.push_back(&item);
    };
    for (const T& item : all) add_spelling(item, as_id(item.name));
    for (const T& item : all) add_spelling(item, as_id(item.id).substr(0, as_id(item.id).find('-')));
    const std::string_view begun = text::nearest(wanted, std::span<const std::string>(spellings));
    for (std::size_t i = 0; i < spellings.size() && !begun.empty() && result.nearest.empty(); ++i)
        if (spellings[i] == begun) result.nearest = owners[i]->id;
    return result;
}

}  // namespace

const Trait* find_trait(const Library& library, std::string_view id) {
    return find_by_id(library.traits, id);
}
const Area* find_area(const Library& library, std::string_view id) {
    return find_by_id(library.areas, id);
}
const Condition* find_condition(const Library& library, std::string_view id) {
    return find_by_id(library.conditions, id);
}
const Caution* find_caution(const Library& library, std::string_view id) {
    return find_by_id(library.cautions, id);
}
const Check* find_check(const Library& library, std::string_view id) {
    return find_by_id(library.checks, id);
}
const Fault* find_fault(const Library& library, std::string_view id) {
    return find_by_id(library.faults, id);
}
const Outcome* find_outcome(const Check& check, std::string_view id) {
    return find_by_id(check.outcomes, id);
}

const Outcome* normal_outcome(const Check& check) {
    const auto it =
        std::find_if(check.outcomes.begin(), check.outcomes.end(), [](const Outcome& o) { return o.normal; });
    return it == check.outcomes.end() ? nullptr : &*it;
}

NameMatch match_check(const Library& library, std::string_view typed) {
    return match(library.checks, typed);
}
NameMatch match_outcome(const Check& check, std::string_view typed) {
    return match(check.outcomes, typed);
}
NameMatch match_fault(const Library& library, std::string_view typed) {
    return match(library.faults, typed);
}
NameMatch match_trait(const Library& library, std::string_view typed) {
    return match(library.traits, typed);
}
NameMatch match_trait_value(const Trait& trait, std::string_view typed) {
    return match(trait.values, typed);
}
NameMatch match_area(const Library& library, std::string_view typed) {
    return match(library.areas, typed);
}

std::vector<std::string> missing_words(const Library& library) {
    std::vector<std::string> words = {"meter", "helper", "licence"};
    const auto add = [&](const std::vector<std::string>& tools) {
        for (const std::string& tool : tools)
            if (std::find(words.begin(), words.end(), tool) == words.end()) words.push_back(tool);
    };
    for (const Check& check : library.checks) add(check.tools);
    for (const Area& area : library.areas) add(area.tools);
    return words;
}

NameMatch match_missing(const Library& library, std::string_view typed) {
    const std::string wanted = as_id(typed);
    const std::vector<std::string> words = missing_words(library);
    NameMatch out;
    if (wanted.empty()) return out;
    for (const std::string& word : words)
        if (same_id(word, wanted) || (word == "licence" && wanted == "license")) return {{word}, ""};
    NameMatch check = match_check(library, typed);
    // An exact name of a check is that check, however many tools begin so.
    if (check.unique() && same_id(check.matches.front(), wanted)) return check;
    for (const std::string& word : words)
        if (as_id(word).starts_with(wanted)) out.matches.push_back(word);
    if (!out.matches.empty()) return out;
    if (!check.matches.empty()) return check;
    out.nearest = text::nearest(wanted, std::span<const std::string>(words));
    if (out.nearest.empty()) out.nearest = check.nearest;
    return out;
}

bool lacks_tool(const std::vector<std::string>& cannot, std::string_view tool) {
    const auto said = [&](std::string_view word) {
        return std::find(cannot.begin(), cannot.end(), word) != cannot.end();
    };
    return said(tool) || (said("meter") && (tool == "multimeter" || tool == "clamp meter"));
}

std::string_view to_word(CheckKind kind) {
    switch (kind) {
        case CheckKind::look:
            return "look";
        case CheckKind::banded:
            return "banded";
        case CheckKind::gauge:
            return "gauge";
        case CheckKind::several:
            return "several";
    }
    return "look";
}

std::string_view to_word(Who who) {
    switch (who) {
        case Who::anyone:
            return "anyone";
        case Who::technician:
            return "technician";
        case Who::licensed:
            return "licensed";
    }
    return "anyone";
}

std::string_view to_word(Power power) {
    switch (power) {
        case Power::either:
            return "either";
        case Power::on:
            return "on";
        case Power::off:
            return "off";
    }
    return "either";
}

}  // namespace frostread
