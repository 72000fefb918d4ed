#include <algorithm>

#include "base/text.hpp"
#include "cli/prompt_words.hpp"
#include "frostread/files.hpp"

/// Lines that name no check: the answer to the question that was just asked, and words of danger.
namespace frostread::cli {

std::optional<Reading> bare_answer(const std::string& line, const Check& check, const Library& library,
                                   UnitPreference bare_numbers) {
    const std::string word(text::trim(line.ends_with('?') ? line.substr(0, line.size() - 1) : line));
    if (text::equal_ignoring_case(word, "ok")) return std::nullopt;
    const auto is_word = [&](const std::string& known) { return text::equal_ignoring_case(known, word); };
    const bool exact = std::any_of(check.outcomes.begin(), check.outcomes.end(), [&](const Outcome& outcome) {
        return is_word(outcome.id) || std::any_of(outcome.aliases.begin(), outcome.aliases.end(), is_word);
    });
    if (!exact && !match_check(library, word.substr(0, word.find_first_of(" \t"))).matches.empty()) {
        // "freezer-warm fridge-warm" begins like the name of a check, and is a list all the same.
        if (check.kind != CheckKind::several) return std::nullopt;
        for (const std::string_view part : text::split(word, ' '))
            if (find_outcome(check, text::trim(part)) == nullptr) return std::nullopt;
    }
    // "freezer-warm fridge-warm": blanks part a list as well.
    std::string list = line;
    if (check.kind == CheckKind::several && list.find(',') == std::string::npos)
        std::replace(list.begin(), list.end(), ' ', ',');
    if (Result<Reading> reading = parse_reading(check.id, list, library, bare_numbers)) return *reading;
    if (Result<Reading> reading = parse_reading(check.id, line, library, bare_numbers)) return *reading;
    return std::nullopt;
}

namespace {

/// "unit gas R-134a" states a trait; "unit smells of gas" does not.
bool states_unit(const Library& library, std::string_view line) {
    const std::vector<std::string_view> parts = text::split(text::trim(line), ' ');
    UnitTraits unit;
    return parts.size() == 3 && text::equal_ignoring_case(parts[0], "unit") &&
           !has_errors(parse_trait(parts[1], parts[2], library, unit));
}

}  // namespace

std::vector<std::string> cautions_of_alarm(const Library& library, std::string_view line) {
    std::vector<std::string> words(1);
    for (const char c : text::to_lower(line)) {
        if (c >= 'a' && c <= 'z')
            words.back() += c;
        else if (c == '=')
            words.back().clear();  // "gas=R-134a" names a trait
        else
            words.emplace_back();
    }
    if (states_unit(library, line)) return {};
    const auto said = [&](const std::string& alarm) {
        const std::vector<std::string_view> parts =
            text::split(alarm, ' ');  // several words: all of them, in any order
        return std::all_of(parts.begin(), parts.end(), [&](std::string_view part) {
            return std::find(words.begin(), words.end(), part) != words.end();
        });
    };
    std::vector<std::string> ids;
    std::vector<std::string> denied{"",     "no",    "not",  "any",  "smell", "of",
                                    "sign", "signs", "seen", "here", "at",    "all"};
    for (const Caution& caution : library.cautions) {
        if (std::any_of(caution.alarm.begin(), caution.alarm.end(), said)) ids.push_back(caution.id);
        denied.insert(denied.end(), caution.alarm.begin(), caution.alarm.end());
    }
    // "no smoke" and "no smell of gas" say nothing else; with any other word, or a comma, a danger may be meant.
    const bool denies = words.front() == "no" && line.find(',') == std::string_view::npos &&
                        std::all_of(words.begin(), words.end(), [&](const std::string& word) {
                            return std::find(denied.begin(), denied.end(), word) != denied.end();
                        });
    return denies ? std::vector<std::string>{} : ids;
}

}  // namespace frostread::cli
