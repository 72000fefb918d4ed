#pragma once

#include <string>

#include "frostread/engine.hpp"
#include "support/join_tree.hpp"

/// The same model for the engine as the outside judges have it.
namespace frostread::test {

/// A two-outcome network as a rule library. Rules stand only where the link is above zero.
[[nodiscard]] inline Library as_library(const TwoOutcomeNetwork& network, double nothing_wrong) {
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
            if (network.findings[i].link[f] <= 0.0) continue;
            Rule rule;
            rule.check = "c" + std::to_string(i);
            rule.all_grades = Effect{{{"shows", network.findings[i].link[f]}}, 0.0, 0.0};
            fault.rules.push_back(rule);
        }
        library.faults.push_back(fault);
    }
    return library;
}

[[nodiscard]] inline Findings as_findings(const TwoOutcomeNetwork& network) {
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

}  // namespace frostread::test
