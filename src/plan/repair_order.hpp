#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

/// Textbook part of the expected cost of repair: in which order to try repairs, and what an order costs.
/// Methods: probability over cost is optimal for exactly one fault and independent, perfect repairs
/// (Kadane & Simon 1977; Kalagnanam & Henrion 1990; Heckerman, Breese & Rommelse 1995); a closed panel is
/// valued by its best prefix (Ottosen & Jensen, UAI 2010). It is a heuristic where one repair cures
/// several faults.
namespace frostread::plan {

/// States exclude each other (exactly one is true); an action cures the states in its mask.
struct RepairProblem {
    std::vector<double> probability;   ///< per state
    std::vector<double> cost;          ///< per action
    std::vector<std::uint64_t> cures;  ///< per action, bit per state; at most 64 states
};

/// Every action on its own state: the plain case.
[[nodiscard]] RepairProblem one_action_per_state(std::vector<double> probability, std::vector<double> cost);

/// Sum over the actions of cost times the probability that the unit is still faulty when it is tried.
[[nodiscard]] double expected_cost(const RepairProblem& problem, std::span<const std::size_t> order);

/// Falling probability over cost; with `recompute`, probabilities are those left after each failure.
/// Actions that can cure nothing more are left out; ties go to the earlier action.
[[nodiscard]] std::vector<std::size_t> ratio_order(const RepairProblem& problem, bool recompute = true);

/// A thing worth `gain` for `cost`.
struct Gainful {
    double gain = 0.0;
    double cost = 0.0;
};

/// Best prefix of what lies behind a panel: with items by falling gain over cost, the number that
/// maximises (sum of gains) / (opening + sum of costs). Precondition: items sorted so.
struct BestPrefix {
    std::size_t count = 0;
    double ratio = 0.0;
};
[[nodiscard]] BestPrefix best_prefix(std::span<const Gainful> items, double opening);

/// Actions behind panels (`panel` -1: outside). Once opened, a panel stays open.
struct PanelledActions {
    std::vector<double> probability, cost;
    std::vector<int> panel;
    std::vector<double> opening;  ///< per panel
};
[[nodiscard]] std::vector<std::size_t> panel_order(const PanelledActions& actions);
[[nodiscard]] double expected_cost(const PanelledActions& actions, std::span<const std::size_t> order);

}  // namespace frostread::plan
