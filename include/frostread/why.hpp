#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "frostread/engine.hpp"

/// Reasons: weights of evidence that add up, readings that do not fit, and what would change the leader.
namespace frostread {

struct ReadingWeight {
    std::size_t finding = 0;  ///< index into Findings::items
    double decibans = 0.0;    ///< > 0 speaks for the fault
};

/// A ledger between two hypotheses. prior_db + sum of weights = margin_db, to 1e-9; the margin is
/// 10 log10 of the posterior ratio of the two sets named. (Ratios between single sets add up over
/// readings; ratios between marginals do not: docs/method.md.)
struct Ledger {
    FaultSet favoured;  ///< the likeliest set that holds the fault
    FaultSet rival;     ///< the likeliest set that does not
    double prior_db = 0.0;
    double margin_db = 0.0;
    std::vector<ReadingWeight> weights;  ///< one per finding, by falling |decibans|, ties in finding order
};

/// Ledger of a fault against the likeliest hypothesis without it.
[[nodiscard]] Ledger explain(const UnitModel& model, const Findings& findings, const Posterior& posterior,
                             FaultIndex fault);
/// Ledger between any two sets.
[[nodiscard]] Ledger explain_between(const UnitModel& model, const Findings& findings, const FaultSet& favoured,
                                     const FaultSet& rival);

struct DoubtfulReading {
    std::size_t finding = 0;
    double probability_wrong = 0.0;
    double surprise = 1.0;  ///< tail probability of such a reading given all the others
    bool dropping_changes_leader = false;
};

/// Readings more likely wrong than right, or a 1 % surprise whose removal changes the leader.
[[nodiscard]] std::vector<DoubtfulReading> doubtful_readings(const UnitModel& model, const Findings& findings,
                                                             const Posterior& posterior);

/// P(reading is wrong | all readings), per finding.
[[nodiscard]] std::vector<double> probability_wrong(const UnitModel& model, const Findings& findings);

struct PivotalReading {
    std::size_t finding = 0;
    OutcomeIndex instead = 0;              ///< look, banded, several: the outcome that would change the leader
    std::optional<double> deviation;       ///< gauge: the deviation tried (0: normal)
    std::optional<FaultIndex> new_leader;  ///< none: nothing wrong or something else would lead
};

/// Readings which, were they otherwise, would change the leader.
[[nodiscard]] std::vector<PivotalReading> pivotal_readings(const UnitModel& model, const Findings& findings,
                                                           const Posterior& posterior);

}  // namespace frostread
