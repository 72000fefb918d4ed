#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "frostread/planner.hpp"
#include "plan/look_ahead.hpp"
#include "session/simulate.hpp"

/// Plays whole calls: a policy proposes, the made-up unit answers, until the unit is right, retired or
/// handed over. Every policy meets the same units with the same answers.
namespace frostread::bench {

/// What a policy wants next.
struct Move {
    enum class Kind { test, ask, repair, declare_sound, retire } kind = Kind::retire;
    CheckIndex check = 0;
    std::string remedy;
    std::string trait = "";  ///< ask: the trait of the unit to be stated
};

/// Everything a policy may look at.
struct View {
    const UnitModel& model;
    const Case& the_case;
    const Findings& findings;
    const Posterior& posterior;
    const JobState& job;
    const PlanOptions& options;
    SimRandom& random;
};

class Policy {
public:
    virtual ~Policy() = default;
    [[nodiscard]] virtual std::string name() const = 0;
    [[nodiscard]] virtual Move next(const View& view) = 0;
};

/// decide() with some figures. `asks`: the traits that it would ask for are stated.
[[nodiscard]] std::unique_ptr<Policy> planner_policy(std::string name, plan::Tuning tuning, int look_ahead = 2,
                                                     bool asks = true);
/// One step, bits per cost with the opening in it, until the best repair is likely enough.
[[nodiscard]] std::unique_ptr<Policy> bits_policy();
/// One step, expected cost of repair saved, while it is more than the test costs.
[[nodiscard]] std::unique_ptr<Policy> repair_cost_policy();
/// A fixed order, until the best repair is likely enough; checks the unit lacks are passed over.
[[nodiscard]] std::unique_ptr<Policy> fixed_policy(std::vector<std::string> order);
/// Anything that can be done, until the best repair is likely enough.
[[nodiscard]] std::unique_ptr<Policy> random_policy();
/// No test at all.
[[nodiscard]] std::unique_ptr<Policy> repair_at_once_policy();

/// What one call came to.
struct CallResult {
    double minutes = 0.0;  ///< tests with opening, power and risk; and wrong repairs; no waiting
    double wait_minutes = 0.0;
    double panels = 0.0, tests = 0.0, wrong_repairs = 0.0;
    double asked = 0.0;                           ///< questions about the unit
    double left_behind = 0.0;                     ///< visits that ended with a second fault still there
    bool right_first = false;                     ///< the first repair (or "nothing wrong", or retiring) was right
    double claimed = 0.0;                         ///< probability that the belief gave it
    double beyond = 0.0;                          ///< money beyond the right repair
    double tests_money = 0.0, wrong_money = 0.0;  ///< of that: tests, and repairs that did not help
    std::string story;                            ///< what was done, for people
};

struct Call {
    FaultSet hidden;
    std::uint64_t seed = 0;
};

/// `belief` is what the policy believes in, `truth` what the unit answers by (same checks and faults), all its
/// traits stated; of the belief's unit some may be left open, and are stated when the policy asks.
/// `begin`: checks whose reading is there, free, before the policy is asked.
[[nodiscard]] CallResult play(const UnitModel& belief, const UnitModel& truth, const Call& call, Policy& policy,
                              const PlanOptions& options, const std::vector<CheckIndex>& begin);

}  // namespace frostread::bench
