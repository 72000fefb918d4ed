#pragma once

#include "session/practice_world.hpp"

/// The end of a practice case: the planner's own way, and both ways judged.
namespace frostread::session {

/// The planner's own way over the unit, judged.
[[nodiscard]] PracticeRun planners_way(const PracticeWorld& world, const PracticeOptions& options);

[[nodiscard]] PracticeResult judge_practice(const PracticeWorld& world, const PracticeOptions& options,
                                            const PracticeVisit& visit, std::size_t hints,
                                            const PracticeVerdict& verdict, PracticeRun planner);

/// What the engine and the planner say of a case in practice.
[[nodiscard]] Diagnosis think(const PracticeWorld& world, const PracticeOptions& options, const Case& the_case);

}  // namespace frostread::session
