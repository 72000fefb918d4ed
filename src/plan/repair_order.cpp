#include "plan/repair_order.hpp"

#include <algorithm>

namespace frostread::plan {

namespace {

double ratio(double gain, double cost) {
    return cost > 0.0 ? gain / cost : (gain > 0.0 ? 1e300 : 0.0);
}

double mass_of(const RepairProblem& problem, std::uint64_t states) {
    double sum = 0.0;
    for (std::size_t s = 0; s < problem.probability.size(); ++s)
        if ((states >> s) & 1U) sum += problem.probability[s];
    return sum;
}

std::uint64_t all_states(const RepairProblem& problem) {
    return problem.probability.size() >= 64 ? ~std::uint64_t{0} : (std::uint64_t{1} << problem.probability.size()) - 1;
}

}  // namespace

RepairProblem one_action_per_state(std::vector<double> probability, std::vector<double> cost) {
    RepairProblem problem{std::move(probability), std::move(cost), {}};
    for (std::size_t i = 0; i < problem.cost.size(); ++i) problem.cures.push_back(std::uint64_t{1} << i);
    return problem;
}

double expected_cost(const RepairProblem& problem, std::span<const std::size_t> order) {
    std::uint64_t left = all_states(problem);
    double sum = 0.0;
    for (const std::size_t action : order) {
        sum += problem.cost[action] * mass_of(problem, left);
        left &= ~problem.cures[action];
    }
    return sum;
}

std::vector<std::size_t> ratio_order(const RepairProblem& problem, bool recompute) {
    std::vector<std::size_t> order;
    std::vector<bool> used(problem.cost.size(), false);
    std::uint64_t left = all_states(problem);
    while (true) {
        double best = 0.0;
        std::size_t chosen = problem.cost.size();
        for (std::size_t a = 0; a < problem.cost.size(); ++a) {
            if (used[a] || mass_of(problem, problem.cures[a] & left) <= 0.0) continue;
            const double value =
                ratio(mass_of(problem, recompute ? problem.cures[a] & left : problem.cures[a]), problem.cost[a]);
            if (value > best) {
                best = value;
                chosen = a;
            }
        }
        if (chosen == problem.cost.size()) return order;
        used[chosen] = true;
        order.push_back(chosen);
        left &= ~problem.cures[chosen];
    }
}

BestPrefix best_prefix(std::span<const Gainful> items, double opening) {
    BestPrefix best;
    double gain = 0.0, cost = opening;
    for (std::size_t i = 0; i < items.size(); ++i) {
        gain += items[i].gain;
        cost += items[i].cost;
        if (const double value = ratio(gain, cost); value > best.ratio) best = {i + 1, value};
    }
    return best;
}

std::vector<std::size_t> panel_order(const PanelledActions& actions) {
    std::vector<std::size_t> order;
    std::vector<bool> used(actions.cost.size(), false), open(actions.opening.size(), false);
    const auto inside = [&](int panel) {
        std::vector<std::size_t> found;
        for (std::size_t a = 0; a < actions.cost.size(); ++a)
            if (!used[a] && actions.panel[a] == panel) found.push_back(a);
        std::stable_sort(found.begin(), found.end(), [&](std::size_t a, std::size_t b) {
            return ratio(actions.probability[a], actions.cost[a]) > ratio(actions.probability[b], actions.cost[b]);
        });
        return found;
    };
    while (order.size() < actions.cost.size()) {
        double best = -1.0;
        std::vector<std::size_t> chosen;
        int opens = -1;
        for (int panel = -1; panel < static_cast<int>(actions.opening.size()); ++panel) {
            const std::vector<std::size_t> found = inside(panel);
            if (found.empty()) continue;
            const bool closed = panel >= 0 && !open[static_cast<std::size_t>(panel)];
            std::vector<Gainful> items;
            for (const std::size_t a : found) items.push_back({actions.probability[a], actions.cost[a]});
            const BestPrefix prefix =
                best_prefix(items, closed ? actions.opening[static_cast<std::size_t>(panel)] : 0.0);
            if (prefix.ratio > best || chosen.empty()) {
                best = prefix.ratio;
                const std::size_t count = closed ? std::max<std::size_t>(1, prefix.count) : 1;
                chosen.assign(found.begin(), found.begin() + static_cast<std::ptrdiff_t>(count));
                opens = closed ? panel : -1;
            }
        }
        if (opens >= 0) open[static_cast<std::size_t>(opens)] = true;
        for (const std::size_t a : chosen) {
            used[a] = true;
            order.push_back(a);
        }
    }
    return order;
}

double expected_cost(const PanelledActions& actions, std::span<const std::size_t> order) {
    std::vector<bool> open(actions.opening.size(), false);
    double left = 1.0, sum = 0.0;
    for (const std::size_t a : order) {
        double cost = actions.cost[a];
        if (actions.panel[a] >= 0 && !open[static_cast<std::size_t>(actions.panel[a])]) {
            open[static_cast<std::size_t>(actions.panel[a])] = true;
            cost += actions.opening[static_cast<std::size_t>(actions.panel[a])];
        }
        sum += cost * left;
        left -= actions.probability[a];
    }
    return sum;
}

}  // namespace frostread::plan
