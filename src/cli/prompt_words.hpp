#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "frostread/case.hpp"
#include "frostread/library.hpp"
#include "frostread/quantity.hpp"
#include "frostread/report.hpp"

/// What a person types, as readings and ids. Nothing is guessed: a slip comes back as a sentence with
/// the nearest name, and the person decides.
namespace frostread::cli {

struct Understood {
    std::vector<Reading> readings;
    std::vector<std::string> problems;  ///< one sentence for each part that was not understood
};

/// Readings in any order, several on a line: "fz 14F fr 36F", "frost inlet", "ohm heater 22",
/// "fan blows, cond clean". Parts between commas stand alone: one that is not understood keeps none of
/// the others back; inside a part it is all or nothing.
[[nodiscard]] Understood read_words(std::string_view line, const Library& library, UnitPreference bare_numbers);

/// What may stand between a name and its value: "is", "reads", "and".
[[nodiscard]] bool is_filler(std::string_view word);

/// One list over several parts: "complaint freezer-warm, runs-always". A part that names no check goes on with the
/// list of the check before it, when that takes one.
class ListReader {
public:
    explicit ListReader(const Library& library) : library_(library) {}
    /// A part that names a check, as it was typed; `read`: its reading is the last one there is.
    void begin(const std::string& check, std::string typed, bool read);
    /// Further items: into the last reading, or a new one when that part was not understood; or why they cannot stand
    /// beside it. False: not items of the list.
    bool take(const std::vector<std::string>& words, Understood& out);
    /// What the list would have taken, as a further sentence; "" when there is none.
    [[nodiscard]] std::string refusal(const std::vector<std::string>& words) const;

private:
    const Library& library_;
    const Check* check_ = nullptr;
    std::string typed_;
    bool read_ = false;
};

/// Checks that are named without a value, several on a line: "fan, frost", "fz fr". `on_unit` narrows down
/// a word that fits several. A part that is not understood keeps none of the others back.
struct NamedChecks {
    std::vector<std::string> ids;
    std::vector<std::string> problems;
};
[[nodiscard]] NamedChecks checks_named(std::string_view line, const Library& library,
                                       const std::function<bool(const Check&)>& on_unit);

/// A name that was meant: the id, or a sentence on why there is none.
struct Meant {
    std::string id;
    std::string problem;
};
[[nodiscard]] Meant meant_check(const Library& library, std::string_view typed);
/// Also by a word out of the name; of several, the likeliest in `report`.
[[nodiscard]] Meant meant_fault(const Library& library, std::string_view typed, const Report& report);
/// Also by a word out of the name, when only one fault of the unit has it.
[[nodiscard]] Meant meant_fault(const Library& library, std::string_view typed,
                                const std::function<bool(const Fault&)>& on_unit);
/// Also by a word out of the name: "panel", "rear".
[[nodiscard]] Meant meant_area(const Library& library, std::string_view typed);
[[nodiscard]] Meant meant_condition(const Library& library, std::string_view typed);

/// The check that `typed` begins with and what follows it: "heater no meter here".
struct CheckAndRest {
    Meant check;
    std::string rest;
};
[[nodiscard]] CheckAndRest split_check(const Library& library, std::string_view typed);

/// "layout=freezer-top age_years=11" in its parts: at commas and semicolons, and before a word that holds "=".
[[nodiscard]] std::vector<std::string> split_traits(std::string_view typed);

/// A line that is nothing but an answer to this check. A word that names another check is one only when it is exactly
/// one of the answers; "ok" alone may as well say "I will".
[[nodiscard]] std::optional<Reading> bare_answer(const std::string& line, const Check& check, const Library& library,
                                                 UnitPreference bare_numbers);

/// Cautions with an alarm word that stands in the line.
[[nodiscard]] std::vector<std::string> cautions_of_alarm(const Library& library, std::string_view line);

/// A diagnostic in one sentence, without its place.
[[nodiscard]] std::string in_one_sentence(const Diagnostic& diagnostic);
[[nodiscard]] std::string in_one_sentence(const Diagnostics& diagnostics);

/// Words that may stand where the cursor is: names of checks and `commands` first, outcomes behind a check.
[[nodiscard]] std::vector<std::string> completions(std::string_view before_cursor, const Library& library,
                                                   const std::vector<std::string>& commands);

}  // namespace frostread::cli
