#include <algorithm>
#include <cmath>
#include <memory>

#include "support/catch.hpp"
#include "support/random_library.hpp"

using namespace frostread;
using namespace frostread::test;

namespace {

struct Drawn {
    Library library;
    Findings findings;
};

Drawn draw(std::uint64_t seed) {
    std::mt19937_64 random(seed);
    RandomLibraryShape shape;
    shape.faults = 8;
    shape.checks = 10;
    Drawn drawn;
    drawn.library = random_library(random, shape);
    drawn.findings = random_findings(random, drawn.library, shape.checks);
    return drawn;
}

Posterior solve(const Library& library, const Findings& findings) {
    return infer(fit_to_unit(compile(std::make_shared<const Library>(library)), {}), findings);
}

void same(const std::vector<double>& a, const std::vector<double>& b) {
    REQUIRE(a.size() == b.size());
    for (std::size_t i = 0; i < a.size(); ++i) CHECK(a[i] == Approx(b[i]).margin(1e-12).epsilon(1e-12));
}

}  // namespace

TEST_CASE("the order of findings does not matter") {
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        const Drawn drawn = draw(seed);
        Findings reversed = drawn.findings;
        std::reverse(reversed.items.begin(), reversed.items.end());
        same(solve(drawn.library, drawn.findings).fault, solve(drawn.library, reversed).fault);
    }
}

TEST_CASE("a finding that no fault touches moves no fault against another") {
    // It moves "something else", whose readings are flat, and nothing else.
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        Drawn drawn = draw(seed);
        drawn.library.something_else = 0.0;
        const Posterior before = solve(drawn.library, drawn.findings);
        Check untouched;
        untouched.id = "untouched";
        untouched.outcomes = {{}, {}};
        untouched.outcomes[0].id = "fine";
        untouched.outcomes[0].normal = true;
        untouched.outcomes[1].id = "odd";
        untouched.outcomes[1].background = 0.1;
        drawn.library.checks.push_back(untouched);
        Finding finding;
        finding.check = static_cast<CheckIndex>(drawn.library.checks.size() - 1);
        finding.outcome = 1;
        finding.trust = 0.98;
        drawn.findings.items.push_back(finding);
        same(before.fault, solve(drawn.library, drawn.findings).fault);
    }
}

TEST_CASE("a reading of trust 0 moves nothing") {
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        const Drawn drawn = draw(seed);
        Findings more = drawn.findings;
        Finding extra = more.items.front();
        extra.trust = 0.0;
        extra.outcome = 0;
        if (drawn.library.checks[extra.check].kind == CheckKind::several) extra.outcome = 1;
        more.items.push_back(extra);
        const Posterior a = solve(drawn.library, drawn.findings), b = solve(drawn.library, more);
        same(a.fault, b.fault);
        CHECK(a.something_else == Approx(b.something_else).margin(1e-12));
    }
}

TEST_CASE("probabilities of all hypotheses sum to 1") {
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        const Drawn drawn = draw(seed);
        InferOptions options;
        options.keep_above = 0.0;
        options.max_sets = 100000;
        const Posterior posterior =
            infer(fit_to_unit(compile(std::make_shared<const Library>(drawn.library)), {}), drawn.findings, options);
        double sum = 0.0;
        for (const WeightedSet& weighted : posterior.sets) sum += weighted.probability;
        CHECK(sum == Approx(1.0).margin(1e-12));
    }
}

TEST_CASE("renaming ids and reordering the library change no number") {
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        const Drawn drawn = draw(seed);
        const Posterior before = solve(drawn.library, drawn.findings);
        Drawn changed = drawn;
        std::reverse(changed.library.faults.begin(), changed.library.faults.end());
        std::reverse(changed.library.checks.begin(), changed.library.checks.end());
        for (Fault& fault : changed.library.faults) {
            fault.id = "renamed-" + fault.id;
            for (Rule& rule : fault.rules) rule.check = "z" + rule.check;
            std::reverse(fault.rules.begin(), fault.rules.end());
        }
        for (Check& check : changed.library.checks) check.id = "z" + check.id;
        for (Finding& finding : changed.findings.items)
            finding.check = static_cast<CheckIndex>(changed.library.checks.size() - 1 - finding.check);
        Posterior after = solve(changed.library, changed.findings);
        std::reverse(after.fault.begin(), after.fault.end());
        same(before.fault, after.fault);
        CHECK(before.nothing_wrong == Approx(after.nothing_wrong).margin(1e-12));
    }
}

TEST_CASE("evidence that favours a fault over every other never lowers its rank") {
    // A new check that one fault alone makes likely is read as that fault says.
    for (std::uint64_t seed = 1; seed <= 40; ++seed) {
        Drawn drawn = draw(seed);
        const std::size_t favoured = seed % drawn.library.faults.size();
        const auto place = [&](const Posterior& posterior) {
            return std::count_if(posterior.fault.begin(), posterior.fault.end(),
                                 [&](double p) { return p > posterior.fault[favoured]; });
        };
        const auto before = place(solve(drawn.library, drawn.findings));
        Check telling;
        telling.id = "telling";
        telling.outcomes = {{}, {}};
        telling.outcomes[0].id = "fine";
        telling.outcomes[0].normal = true;
        telling.outcomes[1].id = "seen";
        telling.outcomes[1].background = 0.05;
        drawn.library.checks.push_back(telling);
        Rule rule;
        rule.check = "telling";
        rule.all_grades = Effect{{{"seen", 0.7}}, 0.0, 0.0};
        drawn.library.faults[favoured].rules.push_back(rule);
        Finding finding;
        finding.check = static_cast<CheckIndex>(drawn.library.checks.size() - 1);
        finding.outcome = 1;
        finding.trust = 0.98;
        drawn.findings.items.push_back(finding);
        CHECK(place(solve(drawn.library, drawn.findings)) <= before);
    }
}
