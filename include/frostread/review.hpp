#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "frostread/compiled_library.hpp"
#include "frostread/diagnostic.hpp"

/// The rule library under review: what every answer weighs for every fault, which faults no check
/// tells apart, and what an author forgot. For people who write rules, and for reference cards.
namespace frostread {

/// One thing that a check can answer. A gauge is cut into cells of deviation from normal.
struct Answer {
    OutcomeIndex outcome = 0;         ///< look, banded, several
    bool absent = false;              ///< several: the item was denied
    std::optional<double> deviation;  ///< gauge: middle of the cell, in the gauge's unit or percent
};

/// A check, or one item of a "several" check, with the probability of each answer.
struct Question {
    CheckIndex check = 0;
    std::vector<Answer> answers;
    /// probability[answer][0]: nothing wrong; [answer][1 + alternative]: that alternative alone.
    /// Over the answers of a question each column sums to 1.
    std::vector<std::vector<double>> probability;
};

/// Every question that the unit allows, with the trust of a usual reading. Gauges whose reference is
/// unknown and not assumed are left out.
[[nodiscard]] std::vector<Question> evidence_table(const UnitModel& model);

/// What an answer weighs for a fault (its grades by their share) against nothing being wrong.
struct Sign {
    std::size_t question = 0;
    std::size_t answer = 0;
    double probability = 0.0;  ///< of the answer when the fault is present alone
    double decibans = 0.0;     ///< > 0 speaks for the fault
};

/// For a fault: every answer that weighs at least `least` decibans either way, strongest first. Of a
/// gauge only the cell that the fault makes likeliest is named.
[[nodiscard]] std::vector<Sign> signs_of_fault(const UnitModel& model, const std::vector<Question>& table,
                                               FaultIndex fault, double least = 1.0);

/// How well two faults are told apart: the expected weight in decibans (the smaller of the two
/// directions), added over the checks. Checks that another one supersedes are left out.
struct PairSeparation {
    FaultIndex first = 0, second = 0;
    double anyone_db = 0.0;    ///< over checks that anyone may do
    double all_db = 0.0;       ///< over all checks
    bool same_remedy = false;  ///< need not be told apart
    double best_db = 0.0;      ///< of the single best check
    CheckIndex best_check = 0;
};

/// All pairs, hardest to tell apart first. `table` may come from a unit of which nothing is stated.
[[nodiscard]] std::vector<PairSeparation> separations(const UnitModel& model, const std::vector<Question>& table);

/// The most that the confirming checks can do for a fault: its posterior after each of them gave the
/// answer that tells most for it, on a unit that can have the fault and of which nothing else is known.
[[nodiscard]] double confirmed_probability(const std::shared_ptr<const CompiledLibrary>& library, FaultIndex fault);

/// What is wrong or weak in a library that loads. Place.pointer holds the entry: "fault:NAME",
/// "check:NAME", "caution:NAME", "area:NAME"; files and lines are the caller's to find.
[[nodiscard]] Diagnostics lint(const std::shared_ptr<const CompiledLibrary>& library);

}  // namespace frostread
