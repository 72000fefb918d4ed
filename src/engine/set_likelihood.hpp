#pragma once

#include <algorithm>
#include <cstddef>
#include <span>
#include <vector>

#include "engine/finding_row.hpp"

/// L' of one finding under many sets, out of the laid-out row: a set costs a few array reads instead of a walk
/// through the check's rules.
namespace frostread {

class SetLikelihood {
public:
    /// Keeps references to the check, the finding and the row store of this thread: good until another
    /// finding is laid out.
    SetLikelihood(const UnitModel& model, const Finding& finding) { aim(model, finding); }
    SetLikelihood() = default;
    void aim(const UnitModel& model, const Finding& finding) {
        aim(model, finding, RowStore::of_this_thread().touching(model, finding));
    }
    /// With the finding's own row at hand.
    void aim(const UnitModel& model, const Finding& finding, const FindingRow& row);

    /// The same number as likelihood(model, finding, set).
    [[nodiscard]] double operator()(const FaultSet& set) const;
    /// (1 - trust) * flat, the part of L' that is a wrong reading.
    [[nodiscard]] double wrong_part() const { return doubt_; }

private:
    [[nodiscard]] Influence influence_of_set(const FaultSet& set) const;
    [[nodiscard]] double mixed(const Influence& influence) const;
    const CompiledCheck* check_ = nullptr;
    const Finding* finding_ = nullptr;
    const FindingRow* row_ = nullptr;
    double trust_ = 0.0, flat_ = 0.0, doubt_ = 0.0, none_ = 0.0;
};

}  // namespace frostread
