#pragma once

#include <string>
#include <vector>

#include "frostread/diagnostic.hpp"
#include "frostread/report.hpp"

/// Words for the values of the engine and the planner: names, quantities, sentences.
namespace frostread::present {

/// "freezer on top, automatic defrost, R-600a 52 g, 11 years old, worth 180"; "" when nothing is stated.
[[nodiscard]] std::string unit_words(const Library& library, const UnitTraits& unit);

/// A canonical number of a check in the preferred measure: "15 °F".
[[nodiscard]] std::string check_quantity(const Check& check, double canonical, UnitPreference units);

/// What was read, as an id or as typed, and in words.
struct ValueWords {
    std::string value;
    std::string words;
};
[[nodiscard]] ValueWords reading_words(const Check& check, const Reading& reading, UnitPreference units);

/// The same for one finding; an item of a "several" check is named alone.
[[nodiscard]] ValueWords finding_words(const Check& check, const Finding& finding, const Reading& reading,
                                       UnitPreference units);

/// "refrigerant charge low (slight)", two faults joined by "and", or "nothing wrong".
[[nodiscard]] std::string set_words(const CompiledLibrary& library, const FaultSet& set);

/// Ids of a set: "refrigerant-low:slight"; "something-else"; none for nothing wrong.
[[nodiscard]] std::vector<std::string> set_ids(const CompiledLibrary& library, const FaultSet& set);

/// Whether the next reading of the same check has the same result.
[[nodiscard]] bool read_alike_again(const Case& the_case, std::size_t reading);

/// One sentence per reading that is not (fully) evidence, and why; none twice.
[[nodiscard]] std::vector<std::string> note_sentences(const Library& library, const Case& the_case,
                                                      const Findings& findings);

/// A warning of the reader about a key or a value of a case, as a sentence that does not depend on the file.
[[nodiscard]] std::string input_warning(const Diagnostic& warning);

/// What to ask first and what the answers would lead to: "How is the unit laid out? (under 1 min) …".
[[nodiscard]] std::string question_words(const ReportQuestion& question);

/// A plain sentence of what the ranking says.
[[nodiscard]] std::string conclusion_sentence(const Report& report, double confidence);

}  // namespace frostread::present
