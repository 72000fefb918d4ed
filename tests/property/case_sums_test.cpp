// One finding left out of a case, or another in its place, out of the sums that are kept: the same numbers as a
// fresh sum over the changed case.
#include "engine/case_sums.hpp"

#include <algorithm>
#include <cmath>
#include <memory>
#include <numeric>

#include "engine/stages.hpp"
#include "support/catch.hpp"
#include "support/random_library.hpp"

using namespace frostread;
using namespace frostread::test;

namespace {

double difference(const Posterior& a, const Posterior& b) {
    REQUIRE(a.fault.size() == b.fault.size());
    REQUIRE(a.sets.size() == b.sets.size());
    double worst = std::abs(a.nothing_wrong - b.nothing_wrong);
    worst = std::max(worst, std::abs(a.something_else - b.something_else));
    worst = std::max(worst, std::abs(a.log_evidence - b.log_evidence) / (1.0 + std::abs(b.log_evidence)));
    for (std::size_t i = 0; i < a.fault.size(); ++i) worst = std::max(worst, std::abs(a.fault[i] - b.fault[i]));
    for (std::size_t i = 0; i < a.sets.size(); ++i)
        worst = std::max(worst, std::abs(a.sets[i].probability - b.sets[i].probability));
    return worst;
}

Findings changed(Findings findings, std::size_t index, const Finding* instead) {
    if (instead != nullptr)
        findings.items[index] = *instead;
    else
        findings.items.erase(findings.items.begin() + static_cast<std::ptrdiff_t>(index));
    return findings;
}

struct AnyCase {
    UnitModel model;
    Findings findings;
};

/// A made-up library with readings; every tenth case is so long that products are folded into logarithms.
AnyCase any_case(std::mt19937_64& random, int round) {
    RandomLibraryShape shape;
    shape.faults = 2 + static_cast<std::size_t>(uniform(random) * 14);
    shape.checks = 1 + static_cast<std::size_t>(uniform(random) * 12);
    shape.outcomes = 2 + static_cast<std::size_t>(uniform(random) * 4);
    shape.touch = 0.05 + 0.95 * uniform(random);
    const Library library = random_library(random, shape);
    return {fit_to_unit(compile(std::make_shared<const Library>(library)), {}),
            random_findings(random, library, round % 10 == 9 ? 300 : shape.checks)};
}

}  // namespace

TEST_CASE("leaving a finding out or exchanging it gives what a fresh sum gives") {
    std::mt19937_64 random(5150);
    double worst = 0.0;
    for (int round = 0; round < 120; ++round) {
        RandomLibraryShape shape;
        shape.faults = 2 + static_cast<std::size_t>(uniform(random) * 10);
        shape.checks = 2 + static_cast<std::size_t>(uniform(random) * 10);
        shape.outcomes = 2 + static_cast<std::size_t>(uniform(random) * 4);
        shape.touch = 0.1 + 0.9 * uniform(random);
        const Library library = random_library(random, shape);
        const UnitModel model = fit_to_unit(compile(std::make_shared<const Library>(library)), {});
        // Every tenth case is so long that products are folded into logarithms.
        const Findings findings = random_findings(random, library, round % 10 == 9 ? 300 : shape.checks);
        InferOptions options;
        options.max_faults = 1 + round % 3;
        options.max_sets = 100000;
        options.keep_above = 0.0;
        for (std::size_t index = 0; index < findings.items.size(); index += 1 + findings.items.size() / 6) {
            INFO("round " << round << ", finding " << index);
            worst = std::max(worst, difference(infer_without(model, findings, index, options),
                                               infer(model, changed(findings, index, nullptr), options)));
            Finding other = findings.items[index];
            other.deviation = -other.deviation + 0.25;
            other.absent = !other.absent;
            if (library.checks[other.check].kind == CheckKind::look && other.outcome > 0) --other.outcome;
            worst = std::max(worst, difference(infer_instead(model, findings, index, &other, options),
                                               infer(model, changed(findings, index, &other), options)));
        }
    }
    CHECK(worst < 1e-10);
}

TEST_CASE("what is kept of one case never leaks into the next") {
    std::mt19937_64 random(33);
    RandomLibraryShape shape;
    shape.faults = 8;
    shape.checks = 10;
    const Library library = random_library(random, shape);
    const auto compiled = compile(std::make_shared<const Library>(library));
    const UnitModel one = fit_to_unit(compiled, {}), two = fit_to_unit(compiled, {});
    const Findings first = random_findings(random, library, 6), second = random_findings(random, library, 6);
    const Posterior before = infer(one, first), other = infer(two, second);
    CHECK(difference(infer(one, first), before) == 0.0);
    CHECK(difference(infer(two, first), before) == 0.0);
    CHECK(difference(infer(one, second), other) == 0.0);
    InferOptions alone;
    alone.max_faults = 1;
    CHECK(infer(one, first, alone).sets.size() < before.sets.size());
    CHECK(difference(infer(one, first), before) == 0.0);
}

TEST_CASE("the bound of a wrong reading is never below its probability, and mostly settles it") {
    std::mt19937_64 random(808);
    std::size_t asked = 0, settled = 0;
    for (int round = 0; round < 300; ++round) {
        const auto [model, findings] = any_case(random, round);
        std::vector<double> most;
        probability_wrong_at_most(model, findings, most);
        REQUIRE(most.size() == findings.items.size());
        for (std::size_t i = 0; i < most.size(); ++i) {
            const double wrong = probability_wrong(model, findings, i);
            INFO("round " << round << ", finding " << i);
            CHECK(most[i] >= wrong * (1.0 - 1e-9));
            ++asked;
            settled += most[i] < 2.0 * wrong + 0.02 ? 1U : 0U;
        }
    }
    CHECK(2 * settled > asked);
}

TEST_CASE("the closer bound of a doubt is none too low, and a leader that it promises stays") {
    std::mt19937_64 random(909);
    std::size_t asked = 0, promised = 0, closer = 0;
    for (int round = 0; round < 300; ++round) {
        const auto [model, findings] = any_case(random, round);
        std::vector<double> most;
        probability_wrong_at_most(model, findings, most);
        const auto now = leader(infer(model, findings));
        const FaultIndex leading = now.value_or(0);
        for (std::size_t i = 0; i < findings.items.size(); ++i) {
            const DoubtBound bound = bound_doubt(model, findings, i, leading);
            INFO("round " << round << ", finding " << i);
            CHECK(bound.wrong_at_most >= probability_wrong(model, findings, i) * (1.0 - 1e-9));
            const auto then = leader(infer_without(model, findings, i, {}));
            if (bound.leader_stays) CHECK(then == leading);
            ++asked;
            promised += bound.leader_stays ? 1U : 0U;
            closer += bound.wrong_at_most < most[i] ? 1U : 0U;
        }
    }
    // Made-up readings contradict each other more than real ones; still both are of use.
    CHECK(50 * promised > asked);
    CHECK(10 * closer > asked);
}

TEST_CASE("a short list of sets begins the long one") {
    std::mt19937_64 random(4711);
    for (int round = 0; round < 60; ++round) {
        RandomLibraryShape shape;
        shape.faults = 3 + static_cast<std::size_t>(uniform(random) * 30);
        shape.checks = 1 + static_cast<std::size_t>(uniform(random) * 8);
        const Library library = random_library(random, shape);
        const UnitModel model = fit_to_unit(compile(std::make_shared<const Library>(library)), {});
        const Findings findings = random_findings(random, library, shape.checks);
        InferOptions options;
        options.keep_above = 0.0;
        options.max_sets = 1000000;
        const auto all = infer(model, findings, options).sets;
        for (const std::size_t wanted : {1U, 16U, 32U, 33U, 64U, 400U}) {
            options.max_sets = wanted;
            const auto some = infer(model, findings, options).sets;
            REQUIRE(some.size() == std::min(wanted, all.size()));
            for (std::size_t i = 0; i < some.size(); ++i) {
                CHECK(some[i].set == all[i].set);
                CHECK(some[i].probability == all[i].probability);
            }
        }
    }
}

TEST_CASE("what all other findings predict for a reading is the sum over every set") {
    std::mt19937_64 random(6174);
    for (int round = 0; round < 60; ++round) {
        const auto [model, findings] = any_case(random, round);
        if (findings.items.size() > 20) continue;  // such sums over single sets leave the range of a double
        InferOptions every;
        every.keep_above = 0.0;
        every.max_sets = 1000000;
        for (std::size_t index = 0; index < findings.items.size(); ++index) {
            const Finding& finding = findings.items[index];
            const CompiledCheck& check = model.compiled().check(finding.check);
            const bool gauge = check.kind == CheckKind::gauge;
            std::vector<Finding> imagined;
            for (OutcomeIndex i = 0; i < 6; ++i) {
                imagined.push_back(finding);
                imagined.back().deviation = -10.0 + 4.0 * i;
                imagined.back().absent = i % 2 == 1;
                if (!gauge && check.kind != CheckKind::several) imagined.back().outcome = i % check.outcome_count;
            }
            std::vector<double> predicted(imagined.size()), expected(imagined.size(), 0.0);
            predict_without(model, findings, index, imagined, predicted);
            for (const WeightedSet& weighted : infer(model, changed(findings, index, nullptr), every).sets)
                for (std::size_t i = 0; i < imagined.size(); ++i)
                    expected[i] += weighted.probability * likelihood(model, imagined[i], weighted.set);
            // A gauge leaves out a ten-thousandth of the weight, the rest is exact.
            const double allowed = gauge ? 1.2e-4 * likelihood_ceiling(check) : 1e-10;
            const double all = std::accumulate(predicted.begin(), predicted.end(), 0.0);
            const double of_all = std::accumulate(expected.begin(), expected.end(), 0.0);
            INFO("round " << round << ", finding " << index << (gauge ? ", a gauge" : ""));
            for (std::size_t i = 0; i < imagined.size(); ++i)
                CHECK(std::abs(predicted[i] * of_all / all - expected[i]) <= allowed * 3.0);
        }
    }
}
