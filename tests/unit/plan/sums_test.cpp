#include <algorithm>
#include <cmath>
#include <numeric>
#include <random>

#include "plan/candidates.hpp"
#include "plan/stop_cost.hpp"
#include "session/simulate.hpp"
#include "support/catch.hpp"
#include "support/plan_library.hpp"

using namespace frostread;
using namespace frostread::plan;

namespace {

struct Scene {
    UnitModel model;
    Case the_case;
    Findings findings;
    Posterior posterior;
    Belief belief;
};

Scene scene(std::uint64_t seed, std::size_t read) {
    std::mt19937_64 random(seed);
    test::PlanLibraryShape shape;
    shape.base.faults = 10;
    shape.base.checks = 10;
    UnitModel model = fit_to_unit(compile(std::make_shared<const Library>(test::plan_library(random, shape))), {});
    std::vector<CheckIndex> checks(read);
    std::iota(checks.begin(), checks.end(), CheckIndex{0});
    Case the_case = draw_case(model, seed, checks).the_case;
    Findings findings = gather(model, the_case);
    Posterior posterior = infer(model, findings);
    Belief belief = make_belief(model, posterior);
    return {std::move(model), std::move(the_case), std::move(findings), std::move(posterior), std::move(belief)};
}

RepairCosts costs_of(const Scene& scene) {
    const Library& library = scene.model.compiled().library();
    return repair_costs(scene.belief, AccessCosts(library, library.economy), library, library.economy, Who::technician,
                        0);
}

}  // namespace

TEST_CASE("stopping: the bound that saves the sum never lies above what is wasted") {
    for (std::uint64_t seed = 1; seed <= 40; ++seed) {
        const Scene one = scene(seed, seed % 7);
        const RepairCosts costs = costs_of(one);
        std::vector<double> masses;
        const double total = group_masses(one.belief, one.belief.weight, masses);
        std::vector<std::uint32_t> groups(masses.size());
        std::iota(groups.begin(), groups.end(), 0U);
        StopTable table;
        table.assign(one.belief, groups);
        StopCosts stop(one.belief);
        for (const double caution : {1.0, 1.5}) {
            const StopCost whole = stop(masses, costs, caution);
            CHECK(whole.wasted >= 0.0);
            CHECK(whole.needed == Approx(stop(table, masses, costs, caution).needed));
            for (const double enough : {0.0, 0.3 * whole.wasted, whole.wasted, 2.0 * whole.wasted + total}) {
                const StopCost quick = stop(table, masses, costs, caution, 1e-4, enough);
                CHECK(quick.wasted <= whole.wasted + 1e-9);
                CHECK(quick.wasted >= std::min(enough, whole.wasted) - 1e-9);
            }
            CHECK(whole.wasted <= total * costs.last_resort - whole.needed + 1e-9);
        }
    }
}

TEST_CASE("stopping: groups without mass make no difference") {
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        const Scene one = scene(seed, 4);
        const RepairCosts costs = costs_of(one);
        std::vector<double> masses;
        group_masses(one.belief, one.belief.weight, masses);
        std::vector<std::uint32_t> groups;
        std::vector<double> some;
        for (std::uint32_t g = 0; g < masses.size(); ++g) {
            if (g % 3 == 0)
                masses[g] = 0.0;
            else {
                groups.push_back(g);
                some.push_back(masses[g]);
            }
        }
        StopTable table;
        table.assign(one.belief, groups);
        StopCosts stop(one.belief);
        const StopCost whole = stop(masses, costs, 1.5), part = stop(table, some, costs, 1.5);
        CHECK(part.wasted == Approx(whole.wasted).margin(1e-9));
        CHECK(part.needed == Approx(whole.needed));
    }
}

TEST_CASE("rows: the bins of a gauge hold what its distribution puts there") {
    std::size_t compared = 0;
    for (std::uint64_t seed = 1; seed <= 12; ++seed) {
        const Scene one = scene(seed, 3);
        const auto& sets = one.belief.sets;
        const auto flat = std::find_if(sets.begin(), sets.end(),
                                       [](const FaultSet& set) { return set.kind == HypothesisKind::something_else; });
        const auto list =
            list_candidates(one.model, one.the_case, one.findings, one.belief, job_state(one.model, one.the_case));
        for (const Candidate& candidate : list) {
            for (std::size_t i = 0; i < sets.size(); ++i) {
                double sum = 0.0;
                for (std::size_t a = 0; a < candidate.rows.answers; ++a) sum += candidate.rows.row(a)[i];
                CHECK(sum == Approx(1.0).margin(1e-9));
            }
            const Check& check = one.model.compiled().library().checks[candidate.check];
            if (check.kind != CheckKind::gauge || flat == sets.end() || !candidate.drops.empty()) continue;
            Case with = one.the_case;
            with.readings.push_back({});
            with.readings.back().check = check.id;
            with.readings.back().value = *check.range.min;
            const Findings findings = gather(one.model, with);
            auto found = std::find_if(findings.items.begin(), findings.items.end(),
                                      [&](const Finding& f) { return f.check == candidate.check; });
            REQUIRE(found != findings.items.end());
            Finding finding = *found;
            const double low = finding.deviation, width = 1.0 / flat_likelihood(one.model, finding);
            // The bins of the flat hypothesis are as wide as their mass says, which gives the edges away.
            double from = low;
            for (std::size_t a = 0; a + 1 < candidate.rows.answers; ++a) {
                const double upto = from + width * candidate.rows.row(a)[static_cast<std::size_t>(flat - sets.begin())];
                // The first bin reaches down to minus infinity.
                for (std::size_t i = 0; a > 0 && i < std::min<std::size_t>(sets.size(), 6); ++i) {
                    constexpr int kParts = 64;
                    double sum = 0.0;
                    for (int k = 0; k <= kParts; ++k) {
                        finding.deviation = from + (upto - from) * k / kParts;
                        sum +=
                            likelihood(one.model, finding, sets[i]) * (k == 0 || k == kParts ? 1.0 : 2.0 + k % 2 * 2);
                    }
                    sum *= (upto - from) / kParts / 3.0;  // Simpson
                    CHECK(candidate.rows.row(a)[i] == Approx(sum).margin(1e-4).epsilon(1e-3));
                    ++compared;
                }
                from = upto;
            }
        }
    }
    CHECK(compared > 500);
}

TEST_CASE("stopping: a belief that is judged twice gives up the same") {
    for (std::uint64_t seed = 1; seed <= 40; ++seed) {
        Scene one = scene(seed, 4);
        RepairCosts costs = costs_of(one);
        // Worth so little that pairs of repairs, and some of the single ones, are beyond it.
        std::vector<double> own = costs.own;
        std::sort(own.begin(), own.end());
        costs.last_resort = own.empty() ? 0.0 : own[own.size() / 2];
        for (double& needed : costs.needed) needed = std::min(needed, costs.last_resort);
        const double once = mark_hopeless(one.belief, costs);
        std::vector<std::uint32_t> classes;
        for (const Group& group : one.belief.groups) classes.push_back(group.remedy_class);
        CHECK(mark_hopeless(one.belief, costs) == Approx(once));
        for (std::size_t g = 0; g < classes.size(); ++g) CHECK(one.belief.groups[g].remedy_class == classes[g]);
    }
}
