#include "support/join_tree.hpp"

#include <cmath>
#include <memory>
#include <string>

#include "support/catch.hpp"
#include "support/random_library.hpp"

using namespace frostread;
using namespace frostread::test;

namespace {

/// The same two-outcome model as a rule library.
Library as_library(const TwoOutcomeNetwork& network, double nothing_wrong) {
    Library library;
    library.nothing_wrong = nothing_wrong * 1000.0;
    library.second_fault = network.second_factor / nothing_wrong;
    for (std::size_t i = 0; i < network.findings.size(); ++i) {
        Check check;
        check.id = "c" + std::to_string(i);
        check.outcomes = {{}, {}};
        check.outcomes[0].id = "away";
        check.outcomes[0].normal = true;
        check.outcomes[1].id = "shows";
        check.outcomes[1].background = network.findings[i].background;
        library.checks.push_back(check);
    }
    for (std::size_t f = 0; f < network.odds.size(); ++f) {
        Fault fault;
        fault.id = "f" + std::to_string(f);
        fault.frequency = network.odds[f] * nothing_wrong * 1000.0;
        for (std::size_t i = 0; i < network.findings.size(); ++i) {
            Rule rule;
            rule.check = "c" + std::to_string(i);
            rule.all_grades = Effect{{{"shows", network.findings[i].link[f]}}, 0.0, 0.0};
            fault.rules.push_back(rule);
        }
        library.faults.push_back(fault);
    }
    return library;
}

Findings as_findings(const TwoOutcomeNetwork& network) {
    Findings findings;
    for (std::size_t i = 0; i < network.findings.size(); ++i) {
        Finding finding;
        finding.check = static_cast<CheckIndex>(i);
        finding.outcome = network.findings[i].shows ? 1 : 0;
        finding.trust = network.findings[i].trust;
        findings.items.push_back(finding);
    }
    return findings;
}

}  // namespace

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
