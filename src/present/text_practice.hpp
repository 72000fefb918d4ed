#pragma once

#include <string>
#include <string_view>

#include "frostread/practice.hpp"
#include "frostread/present.hpp"

/// A practice case as text for people. Cautions stand before the step they belong to.
namespace frostread::present {

/// Minutes of one step: "0.5 min", "25 min"; "" for none.
[[nodiscard]] std::string step_minutes(double minutes);

/// The unit and what the owner says.
[[nodiscard]] std::string practice_scene(const Practice& practice, const TextStyle& style);

/// All checks that this unit has, by place, as short names with their minutes; those done are marked.
[[nodiscard]] std::string practice_checks(const Practice& practice, const TextStyle& style);
/// The checks of one place (its id), one on each line.
[[nodiscard]] std::string practice_place(const Practice& practice, std::string_view place, const TextStyle& style);

/// Names of the faults that this unit can have, by system; of one system when it is not "".
[[nodiscard]] std::string practice_faults(const Practice& practice, std::string_view system, const TextStyle& style);

/// Before a check is done: its cautions, what it opens and what it waits for.
[[nodiscard]] std::string practice_before(const PracticeStep& step, const TextStyle& style);

/// The answer, the minutes and what the notes say.
[[nodiscard]] std::string practice_answer(const Practice& practice, const TextStyle& style);

/// What was read so far.
[[nodiscard]] std::string practice_readings(const Practice& practice, const TextStyle& style);

/// The whole ranking of a hint, short.
[[nodiscard]] std::string practice_ranking(const Report& report, const TextStyle& style);

/// How far a case came that was not ended.
[[nodiscard]] std::string practice_so_far(const Practice& practice, const TextStyle& style);

/// The end: judged, scored, both ways, lessons, cure and proof.
[[nodiscard]] std::string practice_result(const PracticeResult& result, const TextStyle& style);

/// The same as one JSON document (docs/practice.md). Of a case that was not ended nothing hidden is told.
[[nodiscard]] std::string practice_json(const PracticeResult& result, const Library& library);

}  // namespace frostread::present
