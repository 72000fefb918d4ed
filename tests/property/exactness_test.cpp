#include <cmath>
#include <memory>

#include "support/brute_force.hpp"
#include "support/catch.hpp"
#include "support/random_library.hpp"

using namespace frostread;
using namespace frostread::test;

namespace {

/// Every listed set and every marginal of the engine against the judge.
void compare(const Library& library, const Findings& findings, int max_faults) {
    const auto compiled = compile(std::make_shared<const Library>(library));
    const UnitModel model = fit_to_unit(compiled, {});
    InferOptions options;
    options.max_faults = max_faults;
    options.keep_above = 0.0;
    options.max_sets = 100000;
    const Posterior posterior = infer(model, findings, options);
    const BruteForce judge = brute_force(library, findings, max_faults);
    REQUIRE(posterior.sets.size() == judge.sets.size());
    double worst = 0.0;
    for (const WeightedSet& weighted : posterior.sets)
        worst = std::max(worst, std::abs(weighted.probability - judge.sets.at(name_of(*compiled, weighted.set))));
    for (FaultIndex fault = 0; fault < library.faults.size(); ++fault)
        worst = std::max(worst, std::abs(posterior.fault[fault] - judge.faults.at(library.faults[fault].id)));
    worst = std::max(worst, std::abs(posterior.nothing_wrong - judge.sets.at("")));
    worst = std::max(worst, std::abs(posterior.something_else - judge.sets.at("?")));
    CHECK(worst < 1e-9);
    CHECK(posterior.log_evidence == Approx(judge.log_evidence).epsilon(1e-9).margin(1e-9));
}

}  // namespace

TEST_CASE("the posterior equals brute force on random libraries of all kinds of check") {
    std::mt19937_64 random(20310417);
    for (int round = 0; round < 150; ++round) {
        RandomLibraryShape shape;
        shape.faults = 2 + static_cast<std::size_t>(uniform(random) * 10);
        shape.checks = 1 + static_cast<std::size_t>(uniform(random) * 14);
        shape.outcomes = 2 + static_cast<std::size_t>(uniform(random) * 4);
        shape.touch = 0.1 + 0.9 * uniform(random);
        const Library library = random_library(random, shape);
        const Findings findings = random_findings(random, library, shape.checks);
        INFO("round " << round);
        compare(library, findings, 2);
    }
}

TEST_CASE("sets of one and of three faults equal brute force too") {
    std::mt19937_64 random(7);
    for (int round = 0; round < 40; ++round) {
        RandomLibraryShape shape;
        shape.faults = 3 + static_cast<std::size_t>(uniform(random) * 5);
        shape.checks = 6;
        const Library library = random_library(random, shape);
        const Findings findings = random_findings(random, library, 6);
        INFO("round " << round);
        compare(library, findings, 1);
        compare(library, findings, 3);
    }
}

TEST_CASE("a case long enough to leave the range of a double equals brute force in parts") {
    // 60 findings span far more than the 100 decades after which products are folded into logarithms;
    // the judge multiplies in linear space, so trusts are kept where its products still fit.
    std::mt19937_64 random(99);
    RandomLibraryShape shape;
    shape.faults = 6;
    shape.checks = 60;
    const Library library = random_library(random, shape);
    const Findings findings = random_findings(random, library, 60);
    compare(library, findings, 2);
}
