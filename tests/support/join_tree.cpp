#include "support/join_tree.hpp"

#include <dlib/bayes_utils.h>
#include <dlib/directed_graph.h>
#include <dlib/graph.h>
#include <dlib/graph_utils.h>

#include <bit>
#include <chrono>
#include <cmath>
#include <cstdint>

namespace frostread::test {

namespace {

using Network = dlib::directed_graph<dlib::bayes_node>::kernel_1a_c;

/// Gives node `child` the probability table `shows(parents as bits)` over all faults.
template <class Shows>
void connect(Network& net, unsigned long child, unsigned long faults, const Shows& shows) {
    using namespace dlib::bayes_node_utils;
    for (unsigned long fault = 0; fault < faults; ++fault) net.add_edge(fault, child);
    set_node_num_values(net, child, 2);
    dlib::assignment parents;
    for (std::uint32_t bits = 0; bits < (1U << faults); ++bits) {
        parents.clear();
        for (unsigned long fault = 0; fault < faults; ++fault) parents.add(fault, (bits >> fault) & 1U);
        const double probability = shows(bits);
        set_node_probability(net, child, 1, parents, probability);
        set_node_probability(net, child, 0, parents, 1.0 - probability);
    }
}

}  // namespace

std::vector<double> join_tree_posterior(const TwoOutcomeNetwork& network, double* solve_seconds) {
    using namespace dlib::bayes_node_utils;
    const auto faults = static_cast<unsigned long>(network.odds.size());
    const auto limit = faults;  // the node that says "at most max_faults" and weighs second faults
    Network net;
    net.set_number_of_nodes(faults + 1 + network.findings.size());
    const dlib::assignment nobody;
    for (unsigned long fault = 0; fault < faults; ++fault) {
        const double p = network.odds[fault] / (1.0 + network.odds[fault]);
        set_node_num_values(net, fault, 2);
        set_node_probability(net, fault, 1, nobody, p);
        set_node_probability(net, fault, 0, nobody, 1.0 - p);
    }
    connect(net, limit, faults, [&](std::uint32_t bits) {
        const int count = std::popcount(bits);
        if (count > network.max_faults) return 0.0;
        return count <= 1 ? 1.0 : std::pow(network.second_factor, count - 1);
    });
    set_node_value(net, limit, 1);
    set_node_as_evidence(net, limit);
    for (std::size_t i = 0; i < network.findings.size(); ++i) {
        const auto& finding = network.findings[i];
        const auto node = limit + 1 + static_cast<unsigned long>(i);
        connect(net, node, faults, [&](std::uint32_t bits) {
            double stays_away = 1.0 - finding.background;
            for (unsigned long fault = 0; fault < faults; ++fault)
                if ((bits >> fault) & 1U) stays_away *= 1.0 - finding.link[fault];
            return finding.trust * (1.0 - stays_away) + (1.0 - finding.trust) * 0.5;
        });
        set_node_value(net, node, finding.shows ? 1 : 0);
        set_node_as_evidence(net, node);
    }
    const auto start = std::chrono::steady_clock::now();
    using Set = dlib::set<unsigned long>::compare_1b_c;
    using Tree = dlib::graph<Set, Set>::kernel_1a_c;
    Tree tree;
    dlib::create_moral_graph(net, tree);
    dlib::create_join_tree(tree, tree);
    const dlib::bayesian_network_join_tree solution(net, tree);
    std::vector<double> out;
    for (unsigned long fault = 0; fault < faults; ++fault) out.push_back(solution.probability(fault)(1));
    if (solve_seconds != nullptr)
        *solve_seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
    return out;
}

}  // namespace frostread::test
