#include "support/join_tree.hpp"

#include <cmath>
#include <memory>
#include <string>

#include "support/catch.hpp"
#include "support/random_library.hpp"
#include "support/two_outcome_library.hpp"

using namespace frostread;
using namespace frostread::test;

TEST_CASE("two-outcome libraries agree with the join tree of dlib") {
    std::mt19937_64 random(1988);
    for (int round = 0; round < 6; ++round) {
        TwoOutcomeNetwork network;
        network.max_faults = round % 2 == 0 ? 2 : 3;
        network.second_factor = 0.2 + 0.5 * uniform(random);
        for (int f = 0; f < 6; ++f) network.odds.push_back(0.02 + 0.3 * uniform(random));
        for (int i = 0; i < 7; ++i) {
            TwoOutcomeNetwork::Finding finding;
            finding.background = 0.01 + 0.1 * uniform(random);
            for (int f = 0; f < 6; ++f) finding.link.push_back(uniform(random) < 0.5 ? 0.0 : 0.95 * uniform(random));
            finding.shows = uniform(random) < 0.5;
            finding.trust = 0.98;
            network.findings.push_back(finding);
        }
        const std::vector<double> judge = join_tree_posterior(network);
        InferOptions options;
        options.max_faults = network.max_faults;
        const Library library = as_library(network, 0.5);
        const Posterior posterior =
            infer(fit_to_unit(compile(std::make_shared<const Library>(library)), {}), as_findings(network), options);
        for (std::size_t f = 0; f < judge.size(); ++f) {
            INFO("round " << round << ", fault " << f);
            CHECK(std::abs(posterior.fault[f] - judge[f]) < 1e-6);
        }
    }
}
