#pragma once

#include <span>
#include <vector>

#include "engine/stages.hpp"
#include "frostread/engine.hpp"

namespace frostread::plan {

/// likelihood() of one finding over many sets at once: what each alternative does to the check is looked
/// up once. Ensures: out[i] == likelihood(model, finding, sets[i]) to rounding.
class LikelihoodRows {
public:
    explicit LikelihoodRows(const UnitModel& model);
    void operator()(const Finding& finding, std::span<const FaultSet> sets, std::span<double> out);

private:
    const UnitModel& model_;
    std::vector<Influence> influence_;    ///< per alternative; only meaningful where present_
    std::vector<char> present_;           ///< per alternative: touches the check
    std::vector<AlternativeIndex> used_;  ///< to clear present_ again
};

}  // namespace frostread::plan
