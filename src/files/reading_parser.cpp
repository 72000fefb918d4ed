#include <fmt/format.h>

#include <utility>

#include "base/text.hpp"
#include "files/value_parser.hpp"
#include "frostread/files.hpp"

namespace frostread {

namespace {

/// What a bare number means: the unit that the person set where the two systems differ, else the
/// check's own.
const Measure* bare_measure(const Check& check, UnitPreference preference) {
    const Measure* own = own_measure(check);
    if (own == nullptr) return nullptr;
    const Measure& si = preferred_measure(own->dimension, UnitPreference::si);
    const Measure& us = preferred_measure(own->dimension, UnitPreference::us);
    if (&si == &us) return own;
    return preference == UnitPreference::us ? &us : &si;
}

}  // namespace

Result<Reading> parse_reading(std::string_view check_typed, std::string_view value, const Library& library,
                              UnitPreference bare_numbers, const Place& place) {
    const auto refuse = [&](Diagnostic diagnostic) {
        diagnostic.place = place;
        return Result<Reading>(std::move(diagnostic));
    };
    const NameMatch match = match_check(library, check_typed);
    if (!match.unique()) return refuse(refuse_name("check", text::trim(check_typed), match));
    const Check& check = *find_check(library, match.matches.front());
    Reading reading;
    reading.check = check.id;
    value = text::trim(value);
    if (value.ends_with('?')) {
        reading.sure = false;
        value = text::trim(value.substr(0, value.size() - 1));
    }
    if (text::first_invalid_utf8(value)) {
        Diagnostic diagnostic;
        diagnostic.id = "bad-utf8";
        diagnostic.what = fmt::format("the value of {} is not valid UTF-8", check.id);
        diagnostic.expected = "a text in UTF-8";
        return refuse(std::move(diagnostic));
    }
    if (auto refusal = set_value(reading, check, value, bare_measure(check, bare_numbers))) {
        return refuse(std::move(*refusal));
    }
    return reading;
}

Diagnostics parse_trait(std::string_view trait_typed, std::string_view value, const Library& library, UnitTraits& unit,
                        const Place& place) {
    const NameMatch match = match_trait(library, trait_typed);
    std::optional<Diagnostic> refusal;
    if (!match.unique()) {
        refusal = refuse_name("trait", text::trim(trait_typed), match);
    } else {
        refusal = set_trait(unit, *find_trait(library, match.matches.front()), value);
    }
    if (!refusal) return {};
    refusal->place = place;
    return {std::move(*refusal)};
}

}  // namespace frostread
