#pragma once

#include <algorithm>
#include <cstdint>

#include "frostread/compiled_library.hpp"

namespace frostread {

/// Which of a fault's rules on one check applies to a unit: the one whose condition holds likeliest; the rule without
/// a condition (or no rule at all) has the share on which none of the others hold. Ties go to the earlier one.
class VariantChoice {
public:
    void offer(std::int32_t variant, const Library& library, const TraitCondition& condition, const UnitTraits& unit) {
        if (condition.empty()) {
            fallback_ = variant;
            return;
        }
        const double share = share_holding(library, condition, unit);
        claimed_ += share;
        if (share > best_share_ && share > 0.0) {
            best_share_ = share;
            best_ = variant;
        }
    }

    /// -1: none.
    [[nodiscard]] std::int32_t chosen() const {
        return best_share_ >= 1.0 - std::min(1.0, claimed_) ? best_ : fallback_;
    }

private:
    double claimed_ = 0.0, best_share_ = -1.0;
    std::int32_t best_ = -1, fallback_ = -1;
};

}  // namespace frostread
