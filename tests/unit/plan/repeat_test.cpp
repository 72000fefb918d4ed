// A reading that does not fit may be made again, once.
#include <algorithm>

#include "plan/candidates.hpp"
#include "support/catch.hpp"
#include "support/readings.hpp"
#include "unit/batch/collect.hpp"

using namespace frostread;
using namespace frostread::test;

namespace {

/// Whether the planner would have the reading of `check` made again.
bool would_repeat(const Case& the_case, const std::string& check) {
    const UnitModel model = fit_to_unit(household(), the_case.unit);
    const Findings findings = gather(model, the_case);
    const plan::Belief belief = plan::make_belief(model, infer(model, findings));
    const auto list = plan::list_candidates(model, the_case, findings, belief, job_state(model, the_case));
    const CheckIndex index = *household()->check_index(check);
    return std::any_of(list.begin(), list.end(),
                       [&](const plan::Candidate& one) { return one.check == index && one.repeat; });
}

}  // namespace

TEST_CASE("planner: a doubtful reading is made again once and not for ever") {
    // A sound unit by every sign, a forced defrost that heats, and an ohmmeter held badly that says the heater is open.
    Reading open = look("defrost-heater", "open");
    open.sure = false;
    Case the_case;
    the_case.readings = {look("compressor-run", "runs-and-stops"),
                         look("compressor-shell", "warm"),
                         look("condenser-coil", "clean"),
                         look("evaporator-frost", "light-even"),
                         look("freezer-fan", "blows"),
                         look("forced-defrost", "heats"),
                         open};
    REQUIRE(would_repeat(the_case, "defrost-heater"));
    the_case.readings.push_back(open);
    CHECK_FALSE(would_repeat(the_case, "defrost-heater"));
}
