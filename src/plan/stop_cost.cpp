#include "plan/stop_cost.hpp"

#include <algorithm>
#include <numeric>

namespace frostread::plan {

double money_per_minute(const Economy& economy) {
    return std::max(economy.labour_per_hour, 0.6) / 60.0;
}

double left_behind_money(const Economy& economy) {
    return money_per_minute(economy) * (kSecondVisitMinutes + economy.patience * kProofWaitMinutes);
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
        const bool marked = group.remedy_class == belief.hopeless_class();  // in a belief that was judged before
        if (!all && group.count > 1 && !marked && costs.own[group.remedy_class] < costs.last_resort) continue;
        group.remedy_class = static_cast<std::uint32_t>(belief.hopeless_class());
        for (std::size_t i = group.first; i < group.last; ++i) probability += belief.weight[i];
    }
    return probability;
}

void StopTable::assign(const Belief& belief, std::span<const std::uint32_t> groups) {
    rows.clear();
    actions.clear();
    std::vector<std::uint32_t> number(belief.remedies.size(), kNothingWrong);
    std::uint32_t nothing = kNothingWrong;
    for (const std::uint32_t g : groups) {
        const Group& group = belief.groups[g];
        Row row;
        row.group = g;
        if (group.kind == HypothesisKind::nothing_wrong) {
            if (nothing == kNothingWrong) {
                nothing = static_cast<std::uint32_t>(actions.size());
                actions.push_back(kNothingWrong);
            }
            row.actions[row.count++] = nothing;
        }
        for (std::size_t m = 0; m < group.count; ++m) {
            const auto remedy = static_cast<std::uint32_t>(group.remedies[m]);
            if (number[remedy] == kNothingWrong) {
                number[remedy] = static_cast<std::uint32_t>(actions.size());
                actions.push_back(remedy);
            }
            row.actions[row.count++] = number[remedy];
        }
        rows.push_back(row);
    }
}

StopCosts::StopCosts(const Belief& belief) {
    std::vector<std::uint32_t> groups(belief.groups.size());
    std::iota(groups.begin(), groups.end(), 0U);
    all_.assign(belief, groups);
}

StopCost StopCosts::operator()(std::span<const double> masses, const RepairCosts& costs, double caution) {
    return (*this)(all_, masses, costs, caution);
}

StopCost StopCosts::operator()(const StopTable& table, std::span<const double> masses, const RepairCosts& costs,
                               double caution, double negligible, double enough) {
    marginal_.assign(table.actions.size(), 0.0);
    double total = 0.0, needed = 0.0;
    for (std::size_t k = 0; k < table.rows.size(); ++k) {
        const StopTable::Row& row = table.rows[k];
        total += masses[k];
        needed += masses[k] * costs.needed[row.group];
        for (std::size_t m = 0; m < row.count; ++m) marginal_[row.actions[m]] += masses[k];
    }
    if (!(total > 0.0)) return {};

    // A repair that costs what the unit is worth is never better than giving the unit up, which always ends it.
    const double least = negligible * total;
    order_.clear();
    // Whatever is tried first is paid for by every unit that it does not cure; so much is wasted at least.
    double bound = total * costs.last_resort - needed;
    for (std::uint32_t a = 0; a < table.actions.size(); ++a) {
        if (marginal_[a] <= least) continue;
        const bool sound = table.actions[a] == StopTable::kNothingWrong;
        const double own = sound ? costs.explain : costs.own[table.actions[a]];
        if (own >= costs.last_resort) continue;
        const double tried = sound ? costs.explain_failed : own + costs.failed;
        order_.push_back({marginal_[a] / tried, a});
        bound = std::min(bound, (total - marginal_[a]) * caution * tried);
    }
    if (bound >= enough) return {bound, needed};
    std::sort(order_.begin(), order_.end(), [&](const Step& a, const Step& b) {
        return a.ratio != b.ratio ? a.ratio > b.ratio : table.actions[a.action] < table.actions[b.action];
    });

    constexpr std::uint32_t kNever = ~std::uint32_t{0};
    position_.assign(table.actions.size(), kNever);
    for (std::uint32_t k = 0; k < order_.size(); ++k) position_[order_[k].action] = k;
    // solved_[k]: what it is worth that the call ends with step k.
    solved_.assign(order_.size(), 0.0);
    for (std::size_t k = 0; k < table.rows.size(); ++k) {
        const StopTable::Row& row = table.rows[k];
        if (row.count == 0) continue;
        std::uint32_t last = 0;
        for (std::size_t m = 0; m < row.count; ++m) last = std::max(last, position_[row.actions[m]]);
        if (last != kNever) solved_[last] += masses[k];
    }
    double spent = 0.0, paid = 0.0, unsolved = total;
    double best = unsolved * costs.last_resort;
    for (std::size_t k = 0; k < order_.size(); ++k) {
        const std::uint32_t action = table.actions[order_[k].action];
        const bool sound = action == StopTable::kNothingWrong;
        paid += solved_[k] * (spent + (sound ? costs.explain : costs.own[action]));
        unsolved -= solved_[k];
        spent += caution * (sound ? costs.explain_failed : costs.own[action] + costs.failed);
        best = std::min(best, paid + unsolved * (spent + costs.last_resort));
    }
    return {std::max(0.0, best - needed), needed};
}

}  // namespace frostread::plan
