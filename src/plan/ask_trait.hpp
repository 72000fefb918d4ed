#pragma once

#include <optional>

#include "plan/look_ahead.hpp"

/// Asking for a trait of the unit that nobody stated, judged like a check: what each answer would make of
/// the belief, and what that is worth.
namespace frostread::plan {

/// What questions are measured against.
struct AskTerms {
    const Economy& economy;
    const AccessCosts& access;
    AreaMask open = 0;
    Tuning tuning;
    const TestingPrice& price;  ///< of later tests
};

/// The question that tells most for its minutes, if one saves more than it costs. None once every trait
/// with a mix is stated. Answers that contradict a reading (of a part such a unit does not have) are out.
[[nodiscard]] std::optional<TraitQuestion> best_question(const UnitModel& model, const Case& the_case,
                                                         const Findings& findings, const JobState& job,
                                                         const Belief& belief, const AskTerms& terms);

}  // namespace frostread::plan
