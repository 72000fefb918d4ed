#pragma once

#include <vector>

/// A judge from outside: the exact join tree of dlib on a network of yes/no faults and yes/no findings.
namespace frostread::test {

/// Noisy-OR network of n independent faults and findings that have been seen.
struct TwoOutcomeNetwork {
    std::vector<double> odds;  ///< prior odds of each fault against "nothing wrong"
    struct Finding {
        double background = 0.0;   ///< probability to show with no fault
        std::vector<double> link;  ///< per fault: probability to show because of it
        bool shows = false;        ///< what was seen
        double trust = 1.0;        ///< mixture with a flat half
    };
    std::vector<Finding> findings;
    double second_factor = 1.0;  ///< weight of each fault after the first, at most 1
    int max_faults = 2;          ///< larger sets have weight 0
};

/// P(fault | findings) for every fault. Requires: at most about 10 faults. `solve_seconds`, if given, takes the
/// time of making the join tree and asking it, without setting up the network.
[[nodiscard]] std::vector<double> join_tree_posterior(const TwoOutcomeNetwork& network,
                                                      double* solve_seconds = nullptr);

}  // namespace frostread::test
