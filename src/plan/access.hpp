#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "frostread/planner.hpp"

/// What stands open, what power is on, and what it takes to get from there to a step. Minutes are of
/// work; money enters in stop_cost.hpp.
namespace frostread::plan {

/// Areas as bits, in library order. Precondition: at most 64 areas.
using AreaMask = std::uint64_t;

[[nodiscard]] AreaMask area_mask(const Library& library, const std::vector<std::string>& ids);
[[nodiscard]] std::vector<std::string> area_ids(const Library& library, AreaMask mask);

struct Access {
    AreaMask open = 0;
    Power power = Power::on;
};

/// What a step asks of the unit.
struct StepNeeds {
    AreaMask areas = 0;
    Power power = Power::either;
    double hands = 0.0;           ///< minutes
    Hazard hazard = Hazard::low;  ///< worst caution of the step itself
};

struct StepCost {
    double minutes = 0.0;  ///< hands, opening, closing, power switching, risk
    Access after;
};

class AccessCosts {
public:
    AccessCosts(const Library& library, const Economy& economy);
    /// Opening and closing of the areas of `wanted` that are not open.
    [[nodiscard]] double opening(AreaMask wanted, AreaMask open) const;
    [[nodiscard]] StepCost cost(const StepNeeds& needs, const Access& now) const;
    /// Whether getting into these areas means to switch the power off.
    [[nodiscard]] bool needs_power_off(AreaMask areas) const;
    [[nodiscard]] Who who(AreaMask areas) const;

private:
    struct AreaCost {
        double minutes = 0.0;
        Power power = Power::either;
        Who who = Who::anyone;
        Hazard hazard = Hazard::low;
    };
    std::vector<AreaCost> areas_;
    double medium_ = 0.0, high_ = 0.0, power_switch_ = 0.0;
};

/// The worst hazard among cautions named by id.
[[nodiscard]] Hazard worst_hazard(const Library& library, const std::vector<std::string>& cautions);

}  // namespace frostread::plan
