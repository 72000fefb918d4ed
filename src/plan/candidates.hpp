#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "frostread/planner.hpp"
#include "plan/access.hpp"
#include "plan/belief.hpp"

/// The checks that could still be done, each with its needs and with the likelihood of every answer
/// under every set of the belief.
namespace frostread::plan {

/// Answers x sets. A gauge has bins of its predictive distribution for answers: the probability of a bin
/// is the exact difference of the distribution function, so rows sum to 1 over the answers.
struct AnswerRows {
    std::size_t answers = 0, sets = 0;
    std::vector<double> values;  ///< row-major: values[answer * sets + set]
    [[nodiscard]] std::span<const double> row(std::size_t answer) const {
        return std::span<const double>(values).subspan(answer * sets, sets);
    }
    [[nodiscard]] std::span<double> row(std::size_t answer) {
        return std::span<double>(values).subspan(answer * sets, sets);
    }
};

/// Expected information about the remedy, in bits: entropy of the remedy classes before, less the mean
/// entropy after each answer. `weights` and rows need not be normalised.
[[nodiscard]] double expected_bits(const Belief& belief, std::span<const double> weights, const AnswerRows& rows);

struct Answer {
    OutcomeIndex outcome = 0;
    std::optional<double> value;  ///< gauge: a representative reading, in the check's unit
};

struct Candidate {
    CheckIndex check = 0;
    bool repeat = false;
    Who who = Who::anyone;  ///< of the check and the areas it needs
    StepNeeds needs;
    double wait_minutes = 0.0;
    std::vector<std::string> holds;       ///< conditions that hold when it is read: known, made or waited for
    std::vector<std::string> waits;       ///< conditions that must be waited for
    std::optional<CheckIndex> ask_first;  ///< a check that settles a condition which is not known
    std::vector<std::size_t> drops;       ///< findings (indices) that this reading silences or replaces
    std::vector<Answer> answers;          ///< parallel to rows
    AnswerRows rows;
    AnswerRows coarse;  ///< fewer bins for the second step; empty: the same as rows
    [[nodiscard]] const AnswerRows& look_ahead_rows() const { return coarse.answers == 0 ? rows : coarse; }
};

/// Everything the planner may propose; checks for a higher `who` than the person are in it too (see
/// Candidate::who). In library order. `only`: no other check than this one.
[[nodiscard]] std::vector<Candidate> list_candidates(const UnitModel& model, const Case& the_case,
                                                     const Findings& findings, const Belief& belief,
                                                     const JobState& job,
                                                     std::optional<CheckIndex> only = std::nullopt);

}  // namespace frostread::plan
