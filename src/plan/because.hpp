#pragma once

#include <string>
#include <vector>

#include "plan/second_fault.hpp"

/// Reasons for people: what the answers to a test would lead to, and the sentence that says so.
namespace frostread::plan {

/// How each answer would fall and who would lead after it. Neighbouring gauge answers with the same
/// leader are joined. `rows`: as LookAhead::rows_as_found has them.
[[nodiscard]] std::vector<ExpectedOutcome> expected_outcomes(const UnitModel& model, const Belief& belief,
                                                             const Candidate& candidate, const AnswerRows& rows);

/// "Tells a from b: short frost → a 0.90; even frost → b leads with 0.35."
[[nodiscard]] std::string why_test(const UnitModel& model, const CheckValue& test);

/// Why one more look comes before a repair that is settled: what it would find beside it. `rows`: as
/// LookAhead::rows_as_found has them.
[[nodiscard]] std::string why_second_look(const UnitModel& model, const Belief& belief, const SecondFaults& others,
                                          const Candidate& candidate, const AnswerRows& rows,
                                          const RepairOption& repair);

/// Why the testing stops here, for each of the other actions.
[[nodiscard]] std::string why_stop(const UnitModel& model, const Decision& decision, const Economy& economy,
                                   double nothing_wrong, double hopeless, bool confident);

/// "0.96" and the like.
[[nodiscard]] std::string two_places(double x);

}  // namespace frostread::plan
