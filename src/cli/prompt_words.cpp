#include "cli/prompt_words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "base/text.hpp"
#include "frostread/files.hpp"

namespace frostread::cli {

namespace {

constexpr std::size_t kLongestName = 4;     ///< words of the name of a check
constexpr std::size_t kMostWords = 48;      ///< of one part; more is no shorthand
constexpr std::size_t kShortestPrefix = 2;  ///< one letter is too easily a slip

/// Parts between commas and semicolons; a comma between digits is a decimal comma.
std::vector<std::string> parts_of(std::string_view line) {
    std::vector<std::string> parts(1);
    const auto digit = [&](std::size_t i) { return i < line.size() && line[i] >= '0' && line[i] <= '9'; };
    for (std::size_t i = 0; i < line.size(); ++i) {
        const bool decimal = line[i] == ',' && i > 0 && digit(i - 1) && digit(i + 1);
        if ((line[i] == ',' || line[i] == ';') && !decimal) {
            parts.emplace_back();
        } else {
            parts.back() += line[i];
        }
    }
    return parts;
}

std::vector<std::string> words_of(std::string_view part) {
    std::vector<std::string> words;
    std::string word;
    for (const char c : part) {
        if (c == ' ' || c == '\t' || c == '=') {
            if (!word.empty()) words.push_back(std::move(word));
            word.clear();
        } else {
            word += c;
        }
    }
    if (!word.empty()) words.push_back(std::move(word));
    return words;
}

std::string joined(const std::vector<std::string>& words, std::size_t first, std::size_t last, char between = ' ') {
    std::string out;
    for (std::size_t i = first; i < last; ++i) {
        if (!out.empty()) out += between;
        out += words[i];
    }
    return out;
}

class PartReader {
public:
    PartReader(const Library& library, UnitPreference bare) : library_(library), bare_(bare) {}

    std::optional<std::vector<Reading>> read(const std::vector<std::string>& words) const {
        std::vector<Reading> readings;
        if (forward(words, 0, readings)) return readings;
        if (auto reading = value_first(words)) return std::vector<Reading>{std::move(*reading)};
        return std::nullopt;
    }

    [[nodiscard]] std::optional<std::string> check_named(const std::string& phrase) const {
        if (phrase.size() < kShortestPrefix) return std::nullopt;
        const NameMatch match = match_check(library_, phrase);
        return match.unique() ? std::optional<std::string>(match.matches.front()) : std::nullopt;
    }

    [[nodiscard]] std::optional<Reading> value_of(const std::string& check, const std::vector<std::string>& words,
                                                  std::size_t first, std::size_t last) const {
        while (first < last && is_filler(words[first])) ++first;
        if (first >= last) return std::nullopt;
        if (Result<Reading> reading = parse_reading(check, joined(words, first, last), library_, bare_))
            return *reading;
        const Check* found = find_check(library_, check);
        if (found != nullptr && found->kind == CheckKind::several && last - first > 1) {
            std::vector<std::string> kept;
            for (std::size_t i = first; i < last; ++i)
                if (!is_filler(words[i])) kept.push_back(words[i]);
            if (Result<Reading> reading = parse_reading(check, joined(kept, 0, kept.size(), ','), library_, bare_))
                return *reading;
        }
        return std::nullopt;
    }

private:
    /// The name of a check, then its value as long as it goes, then the rest in the same way.
    bool forward(const std::vector<std::string>& words, std::size_t at, std::vector<Reading>& readings) const {
        while (at < words.size() && is_filler(words[at])) ++at;
        if (at == words.size()) return !readings.empty();
        for (std::size_t name = std::min(kLongestName, words.size() - at); name > 0; --name) {
            const auto check = check_named(joined(words, at, at + name));
            if (!check) continue;
            for (std::size_t last = words.size(); last > at + name; --last)
                if (auto reading = value_of(*check, words, at + name, last)) {
                    readings.push_back(std::move(*reading));
                    if (forward(words, last, readings)) return true;
                    readings.pop_back();
                }
        }
        return unit_first(words, at, readings);
    }

    /// "ohm heater 22": the unit of measure, the check, the number.
    bool unit_first(const std::vector<std::string>& words, std::size_t at, std::vector<Reading>& readings) const {
        if (at + 2 >= words.size() || find_measure(words[at]) == nullptr) return false;
        for (std::size_t name = std::min(kLongestName, words.size() - at - 2); name > 0; --name) {
            const auto check = check_named(joined(words, at + 1, at + 1 + name));
            if (!check) continue;
            const std::vector<std::string> quantity = {words[at + 1 + name] + " " + words[at]};
            if (auto reading = value_of(*check, quantity, 0, 1)) {
                readings.push_back(std::move(*reading));
                if (forward(words, at + 2 + name, readings)) return true;
                readings.pop_back();
            }
        }
        return false;
    }

    /// "14F fz", "clean cond".
    [[nodiscard]] std::optional<Reading> value_first(const std::vector<std::string>& words) const {
        for (std::size_t split = 1; split < words.size(); ++split) {
            std::size_t name = split;
            while (name < words.size() && is_filler(words[name])) ++name;
            const auto check = check_named(joined(words, name, words.size()));
            if (!check) continue;
            if (auto reading = value_of(*check, words, 0, split)) return reading;
        }
        return std::nullopt;
    }

    const Library& library_;
    UnitPreference bare_;
};

/// "fz15F", "fr-2C": a name with its number behind it. Anything else stays as it is.
std::vector<std::string> unglued(const std::vector<std::string>& words, const PartReader& reader) {
    std::vector<std::string> out;
    for (const std::string& word : words) {
        const std::size_t digit = word.find_first_of("0123456789");
        std::size_t name = digit == std::string::npos ? 0 : digit;
        while (name > 0 && (word[name - 1] == '-' || word[name - 1] == '+')) --name;
        if (name >= kShortestPrefix && !reader.check_named(word) && reader.check_named(word.substr(0, name))) {
            out.push_back(word.substr(0, name));
            out.push_back(word.substr(name));
        } else {
            out.push_back(word);
        }
    }
    return out;
}

/// Ids whose id or name holds the words.
template <class T>
std::vector<std::string> holding(const std::vector<T>& all, std::string_view typed) {
    const std::string wanted = text::to_lower(text::trim(typed));
    std::vector<std::string> ids;
    if (wanted.size() < kShortestPrefix) return ids;
    for (const T& item : all) {
        std::string id_words = text::to_lower(item.id);
        std::replace(id_words.begin(), id_words.end(), '-', ' ');
        if (id_words.find(wanted) != std::string::npos || text::to_lower(item.name).find(wanted) != std::string::npos)
            ids.push_back(item.id);
    }
    return ids;
}

/// Why a name fits nothing or too much.
std::string name_problem(std::string_view thing, std::string_view typed, const NameMatch& match) {
    if (match.matches.size() > 1) {
        std::vector<std::string> some(
            match.matches.begin(),
            match.matches.begin() + static_cast<std::ptrdiff_t>(std::min<std::size_t>(5, match.matches.size())));
        return fmt::format("{}? that fits {}{}.", typed, text::join_or(some),
                           match.matches.size() > 5 ? " and more" : "");
    }
    if (!match.nearest.empty()) return fmt::format("{}? did you mean {}?", typed, match.nearest);
    return fmt::format("{}? no {} is named so.", typed, thing);
}

bool resembles_check(const std::string& word, const Library& library) {
    const NameMatch match = match_check(library, word);
    return !match.matches.empty() || !match.nearest.empty();
}

/// Why the words from `first` on name no check.
std::string unknown_check(const std::vector<std::string>& words, std::size_t first, const Library& library,
                          const std::function<bool(const Check&)>& on_unit) {
    // A word out of the middle of a name: "gasket" is of two checks.
    const auto elsewhere = [&](const std::string& id) { return !on_unit(*find_check(library, id)); };
    NameMatch inside;
    if (words[first].size() > kShortestPrefix) inside.matches = holding(library.checks, words[first]);
    const bool somewhere = !inside.matches.empty();
    std::erase_if(inside.matches, elsewhere);
    if (somewhere && inside.matches.empty()) return fmt::format("{}? this unit has no such thing.", words[first]);
    if (inside.matches.size() == 1) inside = {{}, inside.matches.front()};
    const std::string two = joined(words, first, std::min(first + 2, words.size()));
    const NameMatch pair = match_check(library, two);
    const NameMatch single = match_check(library, words[first]);
    if (single.matches.size() > 1) return name_problem("check", words[first], single);
    if (!pair.nearest.empty() || pair.matches.size() > 1) return name_problem("check", two, pair);
    const bool known = !single.matches.empty() || !single.nearest.empty();
    return name_problem("check", words[first], known ? single : inside);
}

std::string part_problem(const std::vector<std::string>& words, const Library& library, UnitPreference bare) {
    const PartReader reader(library, bare);
    std::size_t first = 0;
    while (first + 1 < words.size() && is_filler(words[first])) ++first;
    for (std::size_t name = std::min(kLongestName, words.size() - first); name > 0; --name) {
        const auto check = reader.check_named(joined(words, first, first + name));
        if (!check) continue;
        std::size_t value = first + name;
        while (value < words.size() && is_filler(words[value])) ++value;
        if (value == words.size()) {
            const Check& found = *find_check(library, *check);
            std::vector<std::string> known;
            for (const Outcome& outcome : found.outcomes) known.push_back(outcome.id);
            return fmt::format("{}? that is {}; say what you found: {}.", joined(words, first, value), *check,
                               known.empty() || !found.unit.empty() ? "a quantity" : text::join_or(known));
        }
        // How far the value can be read tells where the trouble begins.
        for (std::size_t last = words.size() - 1; last > value; --last)
            if (reader.value_of(*check, words, value, last) && resembles_check(words[last], library))
                return part_problem({words.begin() + static_cast<std::ptrdiff_t>(last), words.end()}, library, bare);
        Result<Reading> refused = parse_reading(*check, joined(words, value, words.size()), library, bare);
        return in_one_sentence(refused.diagnostics());
    }
    return unknown_check(words, first, library, [](const Check&) { return true; });
}

Meant settle(std::string_view thing, std::string_view typed, const NameMatch& match) {
    if (match.unique()) return {match.matches.front(), ""};
    return {"", name_problem(thing, typed, match)};
}

/// Checks whose name has these beginnings of words, one for each: "cond fan" is condenser-fan.
std::vector<std::string> word_for_word(const Library& library, const std::string& phrase) {
    const std::vector<std::string> typed = words_of(phrase);
    std::vector<std::string> ids;
    if (typed.size() < 2) return ids;
    for (const Check& check : library.checks) {
        std::vector<std::string_view> words = text::split(check.id, '-');
        if (words.size() != typed.size()) continue;
        const bool all =
            std::equal(words.begin(), words.end(), typed.begin(),
                       [](std::string_view word, const auto& t) { return text::starts_with_ignoring_case(word, t); });
        if (all) ids.push_back(check.id);
    }
    return ids;
}

}  // namespace

Understood read_words(std::string_view line, const Library& library, UnitPreference bare_numbers) {
    Understood out;
    const PartReader reader(library, bare_numbers);
    ListReader list(library);
    for (const std::string& part : parts_of(line)) {
        const std::vector<std::string> words = unglued(words_of(part), reader);
        if (words.empty()) continue;
        if (words.size() > kMostWords) {
            out.problems.push_back("that is too long for one line; put a comma between readings.");
            continue;
        }
        if (auto readings = reader.read(words)) {
            for (Reading& reading : *readings) out.readings.push_back(std::move(reading));
            list.begin(out.readings.back().check, joined(words, 0, words.size()), true);
            continue;
        }
        if (list.take(words, out)) continue;
        const std::string named = split_check(library, joined(words, 0, words.size())).check.id;
        std::string problem = part_problem(words, library, bare_numbers);
        if (named.empty() && !resembles_check(words.front(), library)) problem += list.refusal(words);
        out.problems.push_back(std::move(problem));
        if (!named.empty()) list.begin(named, joined(words, 0, words.size()), false);
    }
    return out;
}

NamedChecks checks_named(std::string_view line, const Library& library,
                         const std::function<bool(const Check&)>& on_unit) {
    NamedChecks out;
    const auto named = [&](const std::string& phrase) {
        NameMatch match = match_check(library, phrase);
        if (match.matches.empty()) match.matches = word_for_word(library, phrase);
        if (match.matches.size() > 1)
            std::erase_if(match.matches, [&](const std::string& id) { return !on_unit(*find_check(library, id)); });
        return match.unique() && phrase.size() >= kShortestPrefix ? match.matches.front() : std::string{};
    };
    for (const std::string& part : parts_of(line)) {
        const std::vector<std::string> words = words_of(part);
        if (words.size() > kMostWords) {
            out.problems.push_back("that is too long for one line.");
            continue;
        }
        std::vector<std::string> ids;
        std::string problem;
        for (std::size_t at = 0; at < words.size() && problem.empty();) {
            if (is_filler(words[at])) {
                ++at;
                continue;
            }
            std::string id;
            std::size_t taken = 0;
            for (std::size_t name = std::min(kLongestName, words.size() - at); name > 0 && taken == 0; --name)
                if (id = named(joined(words, at, at + name)); !id.empty()) taken = name;
            if (taken == 0) problem = unknown_check(words, at, library, on_unit);
            ids.push_back(std::move(id));
            at += taken;
        }
        if (problem.empty()) {
            out.ids.insert(out.ids.end(), ids.begin(), ids.end());
            continue;
        }
        const Understood readings = read_words(part, library, UnitPreference::si);
        if (readings.problems.empty() && !readings.readings.empty())
            problem = fmt::format("name the check alone, and you are told what is found: {}.",
                                  readings.readings.front().check);
        out.problems.push_back(std::move(problem));
    }
    return out;
}

Meant meant_check(const Library& library, std::string_view typed) {
    return settle("check", typed, match_check(library, typed));
}

Meant meant_fault(const Library& library, std::string_view typed, const Report& report) {
    const NameMatch match = match_fault(library, typed);
    if (match.unique()) return {match.matches.front(), ""};
    const std::vector<std::string> wide = match.matches.empty() ? holding(library.faults, typed) : match.matches;
    // Looking at the wrong one costs nothing, so the likeliest is shown.
    for (const ReportFault& fault : report.faults)
        if (std::find(wide.begin(), wide.end(), fault.id) != wide.end()) return {fault.id, ""};
    if (!wide.empty()) return {"", fmt::format("{}? this unit cannot have {}.", typed, wide.front())};
    return {"", name_problem("fault", typed, match)};
}

Meant meant_fault(const Library& library, std::string_view typed, const std::function<bool(const Fault&)>& on_unit) {
    NameMatch match = match_fault(library, typed);
    if (match.matches.empty()) match.matches = holding(library.faults, typed);
    const std::vector<std::string> all = match.matches;
    std::erase_if(match.matches, [&](const std::string& id) { return !on_unit(*find_fault(library, id)); });
    if (match.matches.empty() && !all.empty())
        return {"", fmt::format("{}? this unit cannot have {}.", typed, all.front())};
    return settle("fault", typed, match);
}

Meant meant_area(const Library& library, std::string_view typed) {
    NameMatch match = match_area(library, typed);
    if (match.matches.empty()) match.matches = holding(library.areas, typed);
    Meant meant = settle("area", typed, match);
    if (meant.id.empty() && match.matches.empty()) {
        std::vector<std::string> known;
        for (const Area& area : library.areas) known.push_back(area.id);
        meant.problem += fmt::format(" There are {}.", text::join_or(known));
    }
    return meant;
}

Meant meant_condition(const Library& library, std::string_view typed) {
    const std::string wanted = text::to_lower(text::trim(typed));
    NameMatch match;
    std::vector<std::string> known;
    for (const Condition& condition : library.conditions) {
        known.push_back(condition.id);
        if (condition.id == wanted) return {condition.id, ""};
        if (condition.id.starts_with(wanted) && !wanted.empty()) match.matches.push_back(condition.id);
    }
    if (match.matches.empty()) match.nearest = text::nearest(wanted, std::span<const std::string>(known));
    Meant meant = settle("condition", typed, match);
    if (meant.id.empty() && match.matches.empty() && match.nearest.empty())
        meant.problem += fmt::format(" There are {}.", text::join_or(known));
    return meant;
}

CheckAndRest split_check(const Library& library, std::string_view typed) {
    const std::vector<std::string> words = words_of(typed);
    const PartReader reader(library, UnitPreference::si);
    for (std::size_t name = std::min(kLongestName, words.size()); name > 0; --name)
        if (const auto check = reader.check_named(joined(words, 0, name)))
            return {{*check, ""}, joined(words, name, words.size())};
    return {meant_check(library, words.empty() ? "" : words.front()), ""};
}

std::vector<std::string> completions(std::string_view before_cursor, const Library& library,
                                     const std::vector<std::string>& commands) {
    const std::size_t part = before_cursor.find_last_of(",;");
    if (part != std::string_view::npos) before_cursor.remove_prefix(part + 1);
    std::vector<std::string> words = words_of(before_cursor);
    std::string typed;
    if (!words.empty() && !before_cursor.empty() && before_cursor.back() != ' ' && before_cursor.back() != '=') {
        typed = text::to_lower(words.back());
        words.pop_back();
    }
    std::vector<std::string> out;
    const auto offer = [&](const std::string& word) {
        if (text::starts_with_ignoring_case(word, typed) && std::find(out.begin(), out.end(), word) == out.end())
            out.push_back(word);
    };
    const PartReader reader(library, UnitPreference::si);
    for (std::size_t name = std::min(kLongestName, words.size()); name > 0; --name) {
        const auto check = reader.check_named(joined(words, words.size() - name, words.size()));
        if (!check) continue;
        for (const Outcome& outcome : find_check(library, *check)->outcomes) offer(outcome.id);
        if (!out.empty()) return out;
    }
    if (words.empty())
        for (const std::string& command : commands) offer(command);
    for (const Check& check : library.checks) offer(check.id);
    if (!typed.empty())
        for (const Check& check : library.checks)
            for (const std::string& alias : check.aliases) offer(alias);
    std::sort(out.begin(), out.end());
    return out;
}

}  // namespace frostread::cli
