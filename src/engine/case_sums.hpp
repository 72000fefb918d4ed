#pragma once

#include <span>
#include <vector>

#include "frostread/engine.hpp"

/// The posterior of a case in which one finding is left out or is another. Out of the sums over the whole case,
/// which are kept for the latest case of each thread, the finding is divided out; the numbers are those of a fresh
/// sum, to rounding (tested).
namespace frostread {

struct FindingRow;

/// Requires: index < findings.items.size().
[[nodiscard]] Posterior infer_without(const UnitModel& model, const Findings& findings, std::size_t index,
                                      const InferOptions& options);

/// Makes this thread work out its next case from nothing: the sums of the latest case, and with `rows` also what
/// is kept of single readings. For honest timing; no answer depends on it.
void forget_latest_case(bool rows);

/// P(the finding is wrong | all findings), over sets of at most two faults. With L' = trust L + (1 - trust) B it is
///     (1 - trust) B * P(all others) / P(all).
[[nodiscard]] double probability_wrong(const UnitModel& model, const Findings& findings, std::size_t index);

/// The rows of a case (finding_row.hpp), as the latest sum over it left them.
class CaseRows {
public:
    CaseRows(const UnitModel& model, const Findings& findings);
    /// Valid until rows are asked for again.
    [[nodiscard]] const FindingRow& operator[](std::size_t finding) const;

private:
    const UnitModel& model_;
    const Findings& findings_;
};

/// Never below probability_wrong of each finding, to rounding, and far cheaper.
void probability_wrong_at_most(const UnitModel& model, const Findings& findings, std::vector<double>& most);

/// A closer bound for one finding, and whether the fault, which leads now, surely leads without it.
struct DoubtBound {
    double wrong_at_most = 1.0;
    bool leader_stays = false;
};
[[nodiscard]] DoubtBound bound_doubt(const UnitModel& model, const Findings& findings, std::size_t index,
                                     FaultIndex leading);

/// For each of the imagined readings of the finding's check, its probability given all other findings, up to a factor
/// that they share. Those of a gauge differ in the deviation only.
void predict_without(const UnitModel& model, const Findings& findings, std::size_t index,
                     std::span<const Finding> imagined, std::span<double> predicted);

/// With *instead in the finding's place; null leaves it out.
[[nodiscard]] Posterior infer_instead(const UnitModel& model, const Findings& findings, std::size_t index,
                                      const Finding* instead, const InferOptions& options);

}  // namespace frostread
