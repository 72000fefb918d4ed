#include <memory>

#include "plan/look_ahead.hpp"
#include "session/simulate.hpp"
#include "support/catch.hpp"
#include "support/household.hpp"

using namespace frostread;
using namespace frostread::plan;

/// Checks that silence an earlier reading (the paper strip the glance at the seal) are judged by what they add.
TEST_CASE("silencing: no test is credited with more than stopping would waste") {
    const auto& compiled = test::compiled_household();
    const Library& library = compiled->library();
    std::vector<CheckIndex> first;
    for (const char* id : {"complaint", "onset", "freezer-seal", "fridge-seal", "condenser-glance", "freezer-temp"})
        first.push_back(*compiled->check_index(id));
    const AccessCosts access(library, library.economy);
    int silencing = 0;
    for (std::uint64_t seed = 1; seed <= 12; ++seed) {
        SimRandom random(seed);
        const UnitModel model = fit_to_unit(compiled, draw_unit(library, random));
        const Case the_case = draw_case(model, seed, first).the_case;
        const Findings findings = gather(model, the_case);
        Belief belief = make_belief(model, infer(model, findings));
        mark_hopeless(belief, repair_costs(belief, access, library, library.economy, Who::technician, 0));
        const std::vector<Candidate> candidates =
            list_candidates(model, the_case, findings, belief, job_state(model, the_case));
        LookAhead ahead(model, findings, belief, candidates, access, library.economy, Who::technician, Tuning{});
        const Access shut;
        std::vector<StepValue> values = ahead.one_step(shut);
        ahead.two_steps(shut, std::vector<bool>(candidates.size(), true), values);
        const StopCost stop = ahead.stop_now(shut);
        for (std::size_t c = 0; c < candidates.size(); ++c) {
            silencing += candidates[c].drops.empty() ? 0 : 1;
            // A panel that is open makes the repairs behind it cheaper, by its opening at the most.
            const double opened = values[c].opens != 0 ? values[c].cost : 0.0;
            CHECK(values[c].saving + values[c].cost <= stop.wasted + opened + 1e-6);
        }
    }
    CHECK(silencing > 20);
}

TEST_CASE("silencing: what a check is found to say sums to what everything that was read makes of it") {
    const auto& compiled = test::compiled_household();
    const Library& library = compiled->library();
    Case the_case;
    for (const auto& [id, outcome] : {std::pair{"fridge-seal", "stands-off"}, {"onset", "over-weeks"}}) {
        Reading reading;
        reading.check = id;
        reading.outcomes = {outcome};
        the_case.readings.push_back(reading);
    }
    const UnitModel model = fit_to_unit(compiled, {});
    const Findings findings = gather(model, the_case);
    const Belief belief = make_belief(model, infer(model, findings));
    const AccessCosts access(library, library.economy);
    const std::vector<Candidate> candidates = list_candidates(
        model, the_case, findings, belief, job_state(model, the_case), compiled->check_index("fridge-gasket"));
    REQUIRE(candidates.size() == 1);
    REQUIRE_FALSE(candidates.front().drops.empty());
    const LookAhead ahead(model, findings, belief, candidates, access, library.economy, Who::technician, Tuning{});
    const AnswerRows rows = ahead.rows_as_found(candidates.front());
    double all = 0.0;
    for (std::size_t a = 0; a < rows.answers; ++a) {
        double found = 0.0, predicted = 0.0;
        for (std::size_t i = 0; i < belief.weight.size(); ++i) {
            found += belief.weight[i] * rows.row(a)[i];
            predicted += belief.weight[i] * candidates.front().rows.row(a)[i];
        }
        CHECK(found == Approx(predicted));
        all += found;
    }
    CHECK(all == Approx(1.0));
}
