#include "plan/stop_cost.hpp"

#include <algorithm>

namespace frostread::plan {

double money_per_minute(const Economy& economy) {
    return std::max(economy.labour_per_hour, 0.6) / 60.0;
}

double repair_money(const Remedy& remedy, const AccessCosts& access, const Library& library, const Economy& economy,
                    Who may, AreaMask open) {
    const double minutes = remedy.minutes + access.opening(area_mask(library, remedy.areas), open);
    const double parts = 0.5 * (remedy.parts_low + remedy.parts_high) * economy.part_factor;
    return minutes * money_per_minute(economy) + parts + (remedy.who > may ? economy.refer_cost : 0.0);
}

RepairCosts repair_costs(const Belief& belief, const AccessCosts& access, const Library& library,
                         const Economy& economy, Who may, AreaMask open) {
    RepairCosts costs;
    const double minute = money_per_minute(economy);
    costs.failed = economy.failed_repair_minutes * minute;
    costs.explain = kExplainMinutes * minute;
    costs.explain_failed = costs.explain + kSecondVisitMinutes * minute;
    costs.last_resort = economy.worth;
    for (const RemedyEntry& entry : belief.remedies)
        costs.own.push_back(repair_money(*entry.remedy, access, library, economy, may, open));
    for (const Group& group : belief.groups) {
        double sum = group.count == 0 ? costs.explain : 0.0;
        if (group.kind == HypothesisKind::something_else) sum = costs.last_resort;
        for (std::size_t m = 0; m < group.count; ++m) sum += costs.own[static_cast<std::size_t>(group.remedies[m])];
        costs.needed.push_back(std::min(sum, costs.last_resort));
    }
    return costs;
}

double mark_hopeless(Belief& belief, const RepairCosts& costs) {
    double probability = 0.0;
    for (std::size_t g = 0; g < belief.groups.size(); ++g) {
        Group& group = belief.groups[g];
        if (group.count == 0 || costs.needed[g] < costs.last_resort) continue;
        // Of two faults, one that is worth repairing is repaired first all the same.
        bool all = true;
        for (std::size_t m = 0; m < group.count; ++m)
            all = all && costs.own[static_cast<std::size_t>(group.remedies[m])] >= costs.last_resort;
        if (!all && group.count > 1 && costs.own[group.remedy_class] < costs.last_resort) continue;
        group.remedy_class = static_cast<std::uint32_t>(belief.hopeless_class());
        for (std::size_t i = group.first; i < group.last; ++i) probability += belief.weight[i];
    }
    return probability;
}

StopCost StopCosts::operator()(std::span<const double> masses, const RepairCosts& costs, double caution) {
    const std::size_t remedies = belief_.remedies.size();
    marginal_.assign(remedies + 1, 0.0);
    double total = 0.0, needed = 0.0;
    for (std::size_t g = 0; g < masses.size(); ++g) {
        const Group& group = belief_.groups[g];
        total += masses[g];
        needed += masses[g] * costs.needed[g];
        for (std::size_t m = 0; m < group.count; ++m)
            marginal_[static_cast<std::size_t>(group.remedies[m])] += masses[g];
        if (group.kind == HypothesisKind::nothing_wrong) marginal_[remedies] += masses[g];
    }
    if (!(total > 0.0)) return {};

    // A repair that costs what the unit is worth is never better than giving the unit up, which always ends it.
    const double negligible = 1e-4 * total;
    order_.clear();
    for (std::size_t r = 0; r < remedies; ++r)
        if (marginal_[r] > negligible && costs.own[r] < costs.last_resort)
            order_.push_back({marginal_[r] / (costs.own[r] + costs.failed), r});
    if (marginal_[remedies] > negligible && costs.explain < costs.last_resort)
        order_.push_back({marginal_[remedies] / costs.explain_failed, remedies});
    std::sort(order_.begin(), order_.end(), [](const Step& a, const Step& b) {
        return a.ratio != b.ratio ? a.ratio > b.ratio : a.action < b.action;
    });

    position_.assign(remedies + 1, -1);
    for (std::size_t k = 0; k < order_.size(); ++k) position_[order_[k].action] = static_cast<std::int32_t>(k);
    // solved_[k]: what it is worth that the call ends with step k.
    solved_.assign(order_.size(), 0.0);
    double open = 0.0;
    for (std::size_t g = 0; g < masses.size(); ++g) {
        const Group& group = belief_.groups[g];
        std::int32_t last = group.kind == HypothesisKind::nothing_wrong ? position_[remedies] : -1;
        for (std::size_t m = 0; m < group.count; ++m) {
            const std::int32_t place = position_[static_cast<std::size_t>(group.remedies[m])];
            if (place < 0) {
                last = -1;
                break;
            }
            last = std::max(last, place);
        }
        if (last >= 0)
            solved_[static_cast<std::size_t>(last)] += masses[g];
        else
            open += masses[g];
    }
    double unsolved = open;
    for (const double mass : solved_) unsolved += mass;
    double spent = 0.0, paid = 0.0;
    double best = unsolved * costs.last_resort;
    for (std::size_t k = 0; k < order_.size(); ++k) {
        const std::size_t action = order_[k].action;
        const bool sound = action == remedies;
        const double right = sound ? costs.explain : costs.own[action];
        paid += solved_[k] * (spent + right);
        unsolved -= solved_[k];
        spent += caution * (sound ? costs.explain_failed : costs.own[action] + costs.failed);
        best = std::min(best, paid + unsolved * (spent + costs.last_resort));
    }
    return {std::max(0.0, best - needed), needed};
}

}  // namespace frostread::plan
