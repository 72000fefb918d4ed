#include "frostread/planner.hpp"

#include <algorithm>
#include <cmath>

#include "session/simulate.hpp"
#include "support/catch.hpp"
#include "support/plan_library.hpp"

using namespace frostread;
using namespace frostread::test;

namespace {

struct Job {
    std::shared_ptr<const CompiledLibrary> compiled;
    UnitModel model;
    Case the_case;
};

Job random_job(std::uint64_t seed, std::size_t read) {
    std::mt19937_64 random(seed);
    PlanLibraryShape shape;
    shape.base.faults = 8;
    shape.base.checks = 10;
    auto compiled = compile(std::make_shared<const Library>(plan_library(random, shape)));
    UnitModel model = fit_to_unit(compiled, {});
    std::vector<CheckIndex> checks;
    for (CheckIndex c = 0; c < read; ++c) checks.push_back(c);
    Case the_case = draw_case(model, seed, checks).the_case;
    return {compiled, std::move(model), std::move(the_case)};
}

Decision decide_on(const Job& job, const JobState& state, const PlanOptions& options) {
    const Findings findings = gather(job.model, job.the_case);
    return decide(job.model, job.the_case, findings, infer(job.model, findings), state, options);
}

Decision decide_on(const Job& job) {
    return decide_on(job, job_state(job.model, job.the_case), plan_options(job.compiled->library()));
}

bool proposes(const Decision& decision, CheckIndex check) {
    if (decision.test && decision.test->check == check) return true;
    return std::any_of(decision.alternatives.begin(), decision.alternatives.end(),
                       [&](const CheckValue& value) { return value.check == check; });
}

}  // namespace

TEST_CASE("planner: decisions are whole and the same every time") {
    for (std::uint64_t seed = 1; seed <= 60; ++seed) {
        const Job job = random_job(seed, seed % 6);
        const Decision first = decide_on(job), second = decide_on(job);
        CHECK(first.action == second.action);
        CHECK(first.because == second.because);
        CHECK_FALSE(first.because.empty());
        CHECK(first.alternatives.size() == second.alternatives.size());
        CHECK((first.action == Action::test) == (first.test.has_value() && first.action != Action::refer));
        if (first.action == Action::repair || first.action == Action::retire) CHECK(first.repair.has_value());
        std::vector<CheckValue> all = first.alternatives;
        if (first.test) all.push_back(*first.test);
        for (const CheckValue& value : all) {
            CHECK(value.bits >= 0.0);
            CHECK(value.bits <= std::log2(10.0));
            CHECK(value.minutes >= value.hands_minutes);
            double total = 0.0;
            for (const ExpectedOutcome& outcome : value.outcomes) {
                total += outcome.probability;
                CHECK(outcome.leader_probability <= 1.0 + 1e-9);
            }
            CHECK(total == Approx(1.0));
        }
        for (std::size_t i = 1; i < first.repairs.size(); ++i) CHECK(first.repairs[i].cost > 0.0);
    }
}

TEST_CASE("planner: what was read, skipped or cannot be done is not proposed") {
    for (std::uint64_t seed = 1; seed <= 30; ++seed) {
        const Job job = random_job(seed, 3);
        const PlanOptions options = plan_options(job.compiled->library());
        JobState state = job_state(job.model, job.the_case);
        const Decision before = decide_on(job, state, options);
        for (CheckIndex c = 0; c < 3; ++c)
            if (proposes(before, c)) {
                REQUIRE((before.test->check != c || before.test->repeat));  // only a doubtful one, measured again
            }
        if (!before.test) continue;
        const CheckIndex best = before.test->check;
        state.skipped.push_back(best);
        CHECK_FALSE(proposes(decide_on(job, state, options), best));
        state.skipped.clear();
        state.cannot.push_back(job.compiled->library().checks[best].id);
        CHECK_FALSE(proposes(decide_on(job, state, options), best));
    }
}

TEST_CASE("planner: an open panel makes the tests behind it cheaper and opens nothing") {
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        const Job job = random_job(seed, 2);
        const Library& library = job.compiled->library();
        const PlanOptions options = plan_options(library);
        const JobState shut = job_state(job.model, job.the_case);
        JobState open = shut;
        for (const Area& area : library.areas) open.open_areas.push_back(area.id);
        open.power = Power::off;
        const auto minutes = [&](const Decision& decision) {
            std::vector<std::pair<CheckIndex, double>> all;
            if (decision.test) all.emplace_back(decision.test->check, decision.test->minutes);
            for (const CheckValue& value : decision.alternatives) all.emplace_back(value.check, value.minutes);
            return all;
        };
        const Decision with_open = decide_on(job, open, options);
        for (const auto& [check, cost] : minutes(decide_on(job, shut, options)))
            for (const auto& [other, open_cost] : minutes(with_open))
                if (check == other && !library.checks[check].areas.empty()) CHECK(open_cost < cost);
        if (with_open.test) CHECK(with_open.test->opens.empty());
    }
}

TEST_CASE("planner: a unit worth less than every repair is retired, not repaired") {
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        const Job job = random_job(seed, 6);
        PlanOptions options = plan_options(job.compiled->library());
        options.economy.worth = 1.0;
        const Decision decision = decide_on(job, job_state(job.model, job.the_case), options);
        CHECK(decision.action != Action::repair);
        CHECK(decision.action != Action::refer);
    }
}
