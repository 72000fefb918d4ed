#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "frostread/engine.hpp"

/// The next test: belief, state of the job and economy in; one decision and its alternatives out.
namespace frostread {

/// Cautions of readings that stand after which the unit stays without power (Outcome::keep_off), but those that are
/// known not to apply to it. While there is one, nothing that needs power is proposed.
[[nodiscard]] std::vector<std::string> keep_off_cautions(const UnitModel& model, const Findings& findings);

/// What the person has opened and cannot do. Everything is an id of the library.
struct JobState {
    std::vector<std::string> open_areas;
    Power power = Power::on;
    std::vector<CheckIndex> done;      ///< checks that already have a reading
    std::vector<CheckIndex> skipped;   ///< cannot be done here
    std::vector<std::string> cannot;   ///< tool words ("meter"), "helper", check ids
    Who may = Who::technician;         ///< the highest work the person may do
    std::vector<std::string> tried;    ///< remedies done that did not end the trouble; "nothing-wrong": declared sound
    std::map<std::string, bool> said;  ///< conditions, by the person's word, for what is still to be read
};

[[nodiscard]] JobState job_state(const UnitModel& model, const Case& the_case);

enum class Action { test, repair, retire, refer, finish };
[[nodiscard]] std::string_view to_word(Action action);  ///< as in a result

struct ExpectedOutcome {
    OutcomeIndex outcome = 0;     ///< look, banded; several: the item
    std::optional<double> value;  ///< gauge: representative reading
    std::string label;            ///< for people: "on the first passes only", "about -10 °C"
    double probability = 0.0;
    std::optional<FaultIndex> leader;  ///< who would lead after it; none: nothing wrong
    double leader_probability = 0.0;
};

/// One candidate check with what it is worth.
struct CheckValue {
    CheckIndex check = 0;
    double bits = 0.0;                   ///< expected information about the remedy
    double minutes = 0.0;                ///< hands, opening, closing, power switching, risk
    double hands_minutes = 0.0;          ///< hands on only
    double wait_minutes = 0.0;           ///< until it means something, of which none is work
    std::vector<std::string> waits;      ///< conditions to wait for (Condition::meanwhile says what to do)
    std::optional<CheckIndex> prepares;  ///< comes first: that check means nothing without it, or opens something
    double cost_minutes = 0.0;           ///< what the order is by: minutes + patience * wait
    std::vector<std::string> opens;      ///< areas not yet open
    std::vector<CheckIndex> also;        ///< worth doing while it is open, best first
    double saving = 0.0;                 ///< expected money saved against repairing now, net of its cost
    std::vector<ExpectedOutcome> outcomes;
    bool repeat = false;  ///< measures a doubtful reading again
};

/// A trait of the unit that is worth asking for before anything else is done.
struct TraitQuestion {
    struct Answer {
        std::string value;         ///< id of the value, or the number
        std::string label;         ///< for people
        double probability = 0.0;  ///< by the library's mix of units and what was read
        std::optional<FaultIndex> leader;
        double leader_probability = 0.0;
    };
    std::string trait;            ///< id
    double bits = 0.0;            ///< expected information about the remedy
    double minutes = 0.0;         ///< to ask for it or look it up
    double saving = 0.0;          ///< expected money saved against stopping now, net of its cost
    std::vector<Answer> answers;  ///< likeliest first
};

struct RepairOption {
    std::string remedy;        ///< remedy id
    FaultIndex fault = 0;      ///< likeliest fault it cures
    double probability = 0.0;  ///< that it cures the unit's (first) fault
    double minutes = 0.0;
    double parts = 0.0;  ///< middle of the band * part factor
    double cost = 0.0;   ///< money: labour + parts (+ referral)
    Who who = Who::anyone;
};

struct Decision {
    Action action = Action::finish;
    Who may = Who::technician;       ///< the highest work the person may do, as it was decided for
    std::optional<CheckValue> test;  ///< action test (or refer: the licensed test)
    /// Action repair, retire or refer: the repair meant. Action test: only when that repair is settled, and the test
    /// is a last look for a second fault before it.
    std::optional<RepairOption> repair;
    /// Action repair: further repairs that pay on the same visit, likeliest first; their probability is given that
    /// the first is needed.
    std::vector<RepairOption> same_visit;
    double worth = 0.0;                    ///< of the unit, as used
    bool worth_assumed = false;            ///< nobody said: it is the library's own figure
    std::string because;                   ///< one sentence for people
    std::optional<TraitQuestion> ask;      ///< to be asked before this step
    std::vector<CheckValue> alternatives;  ///< other tests, best first
    std::vector<RepairOption> repairs;     ///< by probability over cost
};

struct PlanOptions {
    Economy economy;
    int look_ahead = 2;  ///< 1 or 2 steps
};

[[nodiscard]] PlanOptions plan_options(const Library& library);

[[nodiscard]] Decision decide(const UnitModel& model, const Case& the_case, const Findings& findings,
                              const Posterior& posterior, const JobState& job, const PlanOptions& options);

}  // namespace frostread
