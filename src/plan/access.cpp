#include "plan/access.hpp"

#include <algorithm>

namespace frostread::plan {

AreaMask area_mask(const Library& library, const std::vector<std::string>& ids) {
    AreaMask mask = 0;
    for (std::size_t i = 0; i < library.areas.size() && i < 64; ++i)
        if (std::find(ids.begin(), ids.end(), library.areas[i].id) != ids.end()) mask |= AreaMask{1} << i;
    return mask;
}

std::vector<std::string> area_ids(const Library& library, AreaMask mask) {
    std::vector<std::string> ids;
    for (std::size_t i = 0; i < library.areas.size() && i < 64; ++i)
        if ((mask >> i) & 1U) ids.push_back(library.areas[i].id);
    return ids;
}

Hazard worst_hazard(const Library& library, const std::vector<std::string>& cautions) {
    Hazard worst = Hazard::low;
    for (const std::string& id : cautions)
        if (const Caution* caution = find_caution(library, id)) worst = std::max(worst, caution->hazard);
    return worst;
}

AccessCosts::AccessCosts(const Library& library, const Economy& economy)
    : medium_(economy.risk_minutes_medium),
      high_(economy.risk_minutes_high),
      power_switch_(economy.power_switch_minutes) {
    for (const Area& area : library.areas)
        areas_.push_back(
            {area.open_minutes + area.close_minutes, area.power, area.who, worst_hazard(library, area.cautions)});
}

double AccessCosts::opening(AreaMask wanted, AreaMask open) const {
    double minutes = 0.0;
    for (std::size_t i = 0; i < areas_.size() && i < 64; ++i)
        if (((wanted & ~open) >> i) & 1U) minutes += areas_[i].minutes;
    return minutes;
}

StepCost AccessCosts::cost(const StepNeeds& needs, const Access& now) const {
    StepCost step{needs.hands, now};
    Hazard hazard = needs.hazard;
    for (std::size_t i = 0; i < areas_.size() && i < 64; ++i) {
        if (!(((needs.areas & ~now.open) >> i) & 1U)) continue;
        step.minutes += areas_[i].minutes;
        hazard = std::max(hazard, areas_[i].hazard);
        if (areas_[i].power != Power::either && areas_[i].power != step.after.power) {
            step.minutes += power_switch_;
            step.after.power = areas_[i].power;
        }
    }
    step.after.open |= needs.areas;
    if (needs.power != Power::either && needs.power != step.after.power) {
        step.minutes += power_switch_;
        step.after.power = needs.power;
    }
    if (hazard == Hazard::medium) step.minutes += medium_;
    if (hazard == Hazard::high) step.minutes += high_;
    return step;
}

bool AccessCosts::needs_power_off(AreaMask areas) const {
    for (std::size_t i = 0; i < areas_.size() && i < 64; ++i)
        if (((areas >> i) & 1U) && areas_[i].power == Power::off) return true;
    return false;
}

Who AccessCosts::who(AreaMask areas) const {
    Who who = Who::anyone;
    for (std::size_t i = 0; i < areas_.size() && i < 64; ++i)
        if ((areas >> i) & 1U) who = std::max(who, areas_[i].who);
    return who;
}

}  // namespace frostread::plan
