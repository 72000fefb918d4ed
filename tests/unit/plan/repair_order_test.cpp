#include "plan/repair_order.hpp"

#include <algorithm>
#include <numeric>

#include "support/catch.hpp"

using namespace frostread::plan;

namespace {

using Order = std::vector<std::size_t>;

/// Cheapest of all orders, by trying them all.
template <class Problem>
double exhaustive(const Problem& problem) {
    Order order(problem.cost.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    double best = expected_cost(problem, order);
    while (std::next_permutation(order.begin(), order.end())) best = std::min(best, expected_cost(problem, order));
    return best;
}

}  // namespace

// Constructed; rule: Kadane & Simon 1977, Kalagnanam & Henrion 1990, Heckerman, Breese & Rommelse 1995.
TEST_CASE("repair order: probability over cost is the optimum for one fault and independent repairs") {
    const RepairProblem problem = one_action_per_state({0.5, 0.3, 0.2}, {4.0, 1.0, 2.0});
    CHECK(expected_cost(problem, Order{0, 1, 2}) == Approx(4.9));
    CHECK(expected_cost(problem, Order{0, 2, 1}) == Approx(5.3));
    CHECK(expected_cost(problem, Order{1, 0, 2}) == Approx(4.2));
    CHECK(expected_cost(problem, Order{1, 2, 0}) == Approx(4.4));
    CHECK(expected_cost(problem, Order{2, 0, 1}) == Approx(5.5));
    CHECK(expected_cost(problem, Order{2, 1, 0}) == Approx(4.8));
    CHECK(ratio_order(problem) == Order{1, 0, 2});
    CHECK(exhaustive(problem) == Approx(4.2));
}

// Recalled: the example of the Aalborg troubleshooting papers (Jensen et al. 2001; Ottosen 2012).
TEST_CASE("repair order: with repairs that cure several faults the ratio is no longer the optimum") {
    RepairProblem problem;
    problem.probability = {0.20, 0.25, 0.40, 0.15};
    problem.cost = {1.0, 1.0, 1.0};
    problem.cures = {0b0011, 0b0110, 0b1100};
    CHECK(ratio_order(problem, false) == Order{1, 2, 0});
    CHECK(expected_cost(problem, ratio_order(problem, false)) == Approx(1.55));
    CHECK(ratio_order(problem, true) == Order{1, 0, 2});
    CHECK(expected_cost(problem, ratio_order(problem, true)) == Approx(1.50));
    CHECK(exhaustive(problem) == Approx(1.45));
    CHECK(expected_cost(problem, Order{2, 0, 1}) == Approx(1.45));
}

// Constructed; setting: Langseth & Jensen 2001/2003, Ottosen & Jensen 2010.
TEST_CASE("repair order: a closed panel is valued by its best prefix") {
    PanelledActions actions;
    actions.probability = {0.14, 0.11, 0.20, 0.25, 0.10, 0.20};  // a1 a2 b1 b2 g1 g2
    actions.cost = {1, 1, 1, 1, 1, 1};
    actions.panel = {-1, -1, 0, 0, 1, 1};
    actions.opening = {2.0, 1.0};
    CHECK(panel_order(actions) == Order{0, 3, 2, 1, 5, 4});
    CHECK(expected_cost(actions, panel_order(actions)) == Approx(5.30));
    CHECK(expected_cost(actions, Order{3, 2, 5, 0, 1, 4}) == Approx(5.51));
    CHECK(expected_cost(actions, Order{0, 1, 5, 3, 2, 4}) == Approx(5.41));
    CHECK(exhaustive(actions) == Approx(5.30));
}

TEST_CASE("repair order: a repair that cures nothing more is left out") {
    RepairProblem problem = one_action_per_state({0.7, 0.3}, {1.0, 1.0});
    problem.cures[1] = 0b01;
    CHECK(ratio_order(problem) == Order{0});
}
