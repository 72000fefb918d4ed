#include <cmath>
#include <memory>

#include "frostread/why.hpp"
#include "support/catch.hpp"
#include "support/random_library.hpp"

using namespace frostread;
using namespace frostread::test;

namespace {

void require_sound(const Posterior& posterior) {
    double sum = posterior.nothing_wrong + posterior.something_else;
    REQUIRE(std::isfinite(sum));
    for (const double probability : posterior.fault) {
        REQUIRE(std::isfinite(probability));
        REQUIRE(probability >= 0.0);
        REQUIRE(probability <= 1.0);
    }
    double sets = posterior.unlisted;
    for (const WeightedSet& weighted : posterior.sets) {
        REQUIRE(std::isfinite(weighted.probability));
        sets += weighted.probability;
    }
    CHECK(sets == Approx(1.0).margin(1e-9));
    CHECK(std::isfinite(posterior.log_evidence));
}

}  // namespace

TEST_CASE("500 contradictory readings neither overflow nor turn into not-a-number") {
    for (const std::uint64_t seed : {1U, 2U, 3U, 4U, 5U}) {
        std::mt19937_64 random(seed);
        RandomLibraryShape shape;
        shape.faults = 20;
        shape.checks = 25;
        const Library library = random_library(random, shape);
        const UnitModel model = fit_to_unit(compile(std::make_shared<const Library>(library)), {});
        const Findings findings = random_findings(random, library, 500);
        for (const int max_faults : {1, 2, 3}) {
            InferOptions options;
            options.max_faults = max_faults;
            const Posterior posterior = infer(model, findings, options);
            require_sound(posterior);
        }
        const Posterior posterior = infer(model, findings);
        for (const double wrong : probability_wrong(model, findings)) CHECK(std::isfinite(wrong));
    }
}

TEST_CASE("readings that are wholly trusted and impossible leave probabilities, not zero by zero") {
    std::mt19937_64 random(11);
    RandomLibraryShape shape;
    const Library library = random_library(random, shape);
    const UnitModel model = fit_to_unit(compile(std::make_shared<const Library>(library)), {});
    Findings findings = random_findings(random, library, shape.checks);
    for (Finding& finding : findings.items) {
        finding.trust = 1.0;
        finding.deviation = 49.0;
    }
    Findings many;
    for (int i = 0; i < 60; ++i) many.items.insert(many.items.end(), findings.items.begin(), findings.items.end());
    require_sound(infer(model, many));
}
