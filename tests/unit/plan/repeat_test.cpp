// A reading that does not fit may be made again, once.
#include <algorithm>

#include "plan/candidates.hpp"
#include "support/catch.hpp"
#include "unit/batch/collect.hpp"

using namespace frostread;
using namespace frostread::test;

namespace {

Reading said(const std::string& check, const std::string& outcome) {
    Reading reading;
    reading.check = check;
    reading.outcomes = {outcome};
    return reading;
}

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
    // A sound unit by every sign, a forced defrost that heats, and an ohmmeter that says the heater is open.
    Case the_case;
    the_case.readings = {said("compressor-run", "runs-and-stops"),
                         said("compressor-shell", "warm"),
                         said("condenser-coil", "clean"),
                         said("evaporator-frost", "light-even"),
                         said("freezer-fan", "blows"),
                         said("forced-defrost", "heats"),
                         said("defrost-heater", "open")};
    REQUIRE(would_repeat(the_case, "defrost-heater"));
    the_case.readings.push_back(said("defrost-heater", "open"));
    CHECK_FALSE(would_repeat(the_case, "defrost-heater"));
}
