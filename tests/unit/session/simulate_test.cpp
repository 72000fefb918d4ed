#include "session/simulate.hpp"

#include <array>
#include <cmath>
#include <map>

#include "support/catch.hpp"
#include "support/plan_library.hpp"

using namespace frostread;
using namespace frostread::test;

namespace {

UnitModel made_up_unit(std::uint64_t seed) {
    std::mt19937_64 random(seed);
    PlanLibraryShape shape;
    shape.base.faults = 5;
    shape.base.checks = 6;
    return fit_to_unit(compile(std::make_shared<const Library>(plan_library(random, shape))), {});
}

}  // namespace

TEST_CASE("simulate: first draws are the same on every platform") {
    SimRandom random(42);
    // mt19937_64 is fixed by the C++ standard; 53 bits of its first output.
    CHECK(random.uniform() == Approx(0.7551553177161386).margin(1e-15));
}

TEST_CASE("simulate: normal and t4 draws have the right spread") {
    SimRandom random(7);
    constexpr int kDraws = 40000;
    double sum = 0.0, squares = 0.0;
    int beyond = 0;
    for (int i = 0; i < kDraws; ++i) {
        const double z = random.normal();
        sum += z;
        squares += z * z;
        if (std::abs(random.student_t4()) > 2.776) ++beyond;  // 5 % point, two-sided, any t table
    }
    CHECK(sum / kDraws == Approx(0.0).margin(0.02));
    CHECK(squares / kDraws == Approx(1.0).margin(0.03));
    CHECK(static_cast<double>(beyond) / kDraws == Approx(0.05).margin(0.005));
}

TEST_CASE("simulate: hidden sets fall as the prior says") {
    const UnitModel model = made_up_unit(3);
    SimRandom random(11);
    constexpr int kDraws = 30000;
    std::vector<double> seen(model.compiled().alternative_count(), 0.0);
    double none = 0.0;
    DrawOptions options;
    options.something_else = true;
    for (int i = 0; i < kDraws; ++i) {
        const FaultSet set = draw_faults(model, random, options);
        if (set.kind == HypothesisKind::nothing_wrong) none += 1.0;
        for (std::size_t m = 0; m < set.size; ++m) seen[set.members[m]] += 1.0;
    }
    const Posterior prior = infer(model, {});
    CHECK(none / kDraws == Approx(prior.nothing_wrong).margin(0.01));
    for (std::size_t a = 0; a < seen.size(); ++a) CHECK(seen[a] / kDraws == Approx(prior.alternative[a]).margin(0.012));
}

TEST_CASE("simulate: readings fall as the engine says they do") {
    for (std::uint64_t seed = 1; seed <= 6; ++seed) {
        const UnitModel model = made_up_unit(seed);
        SimRandom random(seed);
        const FaultSet hidden = draw_faults(model, random);
        for (CheckIndex check = 0; check < model.compiled().check_count(); ++check) {
            const Check& rule = model.compiled().library().checks[check];
            if (rule.kind != CheckKind::look) continue;
            constexpr int kDraws = 4000;
            std::map<std::string, double> seen;
            for (int i = 0; i < kDraws; ++i)
                seen[draw_reading(model, {}, check, hidden, random).reading.outcomes.front()] += 1.0;
            for (OutcomeIndex o = 0; o < rule.outcomes.size(); ++o) {
                Case one;
                one.readings.push_back({});
                one.readings.back().check = rule.id;
                one.readings.back().outcomes = {rule.outcomes[o].id};
                const Finding finding = gather(model, one).items.front();
                CHECK(seen[rule.outcomes[o].id] / kDraws == Approx(likelihood(model, finding, hidden)).margin(0.035));
            }
        }
    }
}

TEST_CASE("simulate: a call is the same for the same seed and does not depend on the other checks") {
    const UnitModel model = made_up_unit(5);
    const std::array<CheckIndex, 3> all{0, 1, 2};
    const std::array<CheckIndex, 1> last{2};
    const DrawnCase a = draw_case(model, 99, all), b = draw_case(model, 99, all), c = draw_case(model, 99, last);
    CHECK(a.hidden == b.hidden);
    CHECK(a.hidden == c.hidden);
    for (std::size_t i = 0; i < 3; ++i) {
        CHECK(a.the_case.readings[i].outcomes == b.the_case.readings[i].outcomes);
        CHECK(a.the_case.readings[i].value == b.the_case.readings[i].value);
    }
    CHECK(a.the_case.readings[2].outcomes == c.the_case.readings[0].outcomes);
    CHECK(a.the_case.readings[2].value == c.the_case.readings[0].value);
}
