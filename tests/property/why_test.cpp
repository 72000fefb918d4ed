#include "frostread/why.hpp"

#include <cmath>
#include <memory>

#include "support/catch.hpp"
#include "support/random_library.hpp"

using namespace frostread;
using namespace frostread::test;

TEST_CASE("prior and weights of every ledger add up to its margin, and the margin is the posterior ratio") {
    std::mt19937_64 random(5);
    for (int round = 0; round < 60; ++round) {
        RandomLibraryShape shape;
        shape.faults = 7;
        shape.checks = 9;
        const Library library = random_library(random, shape);
        const UnitModel model = fit_to_unit(compile(std::make_shared<const Library>(library)), {});
        const Findings findings = random_findings(random, library, shape.checks);
        InferOptions options;
        options.keep_above = 0.0;
        options.max_sets = 100000;
        const Posterior posterior = infer(model, findings, options);
        for (FaultIndex fault = 0; fault < library.faults.size(); ++fault) {
            const Ledger ledger = explain(model, findings, posterior, fault);
            double sum = ledger.prior_db;
            for (const ReadingWeight& weight : ledger.weights) sum += weight.decibans;
            CHECK(std::abs(sum - ledger.margin_db) < 1e-9);
            double favoured = 0.0, rival = 0.0;
            for (const WeightedSet& weighted : posterior.sets) {
                if (weighted.set == ledger.favoured) favoured = weighted.probability;
                if (weighted.set == ledger.rival) rival = weighted.probability;
            }
            CHECK(ledger.margin_db == Approx(10.0 * std::log10(favoured / rival)).margin(1e-7));
        }
    }
}

TEST_CASE("a reading that contradicts ten others is called doubtful, the ten are not") {
    Library library;
    library.nothing_wrong = 100.0;
    library.something_else = 1.0;
    library.second_fault = 0.3;
    for (int i = 0; i < 11; ++i) {
        Check check;
        check.id = "c" + std::to_string(i);
        check.outcomes = {{}, {}};
        check.outcomes[0].id = "fine";
        check.outcomes[0].normal = true;
        check.outcomes[1].id = "odd";
        check.outcomes[1].background = 0.01;
        library.checks.push_back(check);
    }
    Fault fault;
    fault.id = "f";
    fault.frequency = 50.0;
    for (const Check& check : library.checks) {
        Rule rule;
        rule.check = check.id;
        rule.all_grades = Effect{{{"odd", 0.999}}, 0.0, 0.0};
        fault.rules.push_back(rule);
    }
    library.faults.push_back(fault);
    const UnitModel model = fit_to_unit(compile(std::make_shared<const Library>(library)), {});
    Findings findings;
    for (CheckIndex i = 0; i < 11; ++i) {
        Finding finding;
        finding.check = i;
        finding.outcome = i == 10 ? 0 : 1;
        finding.trust = 0.98;
        finding.reading = i;
        findings.items.push_back(finding);
    }
    const Posterior posterior = infer(model, findings);
    const auto doubtful = doubtful_readings(model, findings, posterior);
    REQUIRE(doubtful.size() == 1);
    CHECK(doubtful.front().finding == 10);
    CHECK(doubtful.front().probability_wrong > 0.5);
    CHECK(doubtful.front().surprise < 0.02);
}

TEST_CASE("the probability that a reading is wrong equals one found by summing both cases") {
    // Independent route: P(wrong_j | all) = sum over sets of prior * (1 - rho) B_j * product of the
    // other mixtures, over the same sum with the whole mixture.
    std::mt19937_64 random(23);
    const Library library = random_library(random, {});
    const UnitModel model = fit_to_unit(compile(std::make_shared<const Library>(library)), {});
    const Findings findings = random_findings(random, library, library.checks.size());
    InferOptions options;
    options.keep_above = 0.0;
    options.max_sets = 100000;
    const Posterior posterior = infer(model, findings, options);
    const std::vector<double> wrong = probability_wrong(model, findings);
    for (std::size_t j = 0; j < findings.items.size(); ++j) {
        double bad = 0.0, all = 0.0;
        for (const WeightedSet& weighted : posterior.sets) {
            double rest = prior_weight(model, weighted.set);
            for (std::size_t i = 0; i < findings.items.size(); ++i)
                if (i != j) rest *= likelihood(model, findings.items[i], weighted.set);
            bad += rest * (1.0 - findings.items[j].trust) * flat_likelihood(model, findings.items[j]);
            all += rest * likelihood(model, findings.items[j], weighted.set);
        }
        CHECK(wrong[j] == Approx(bad / all).margin(1e-9));
    }
}
