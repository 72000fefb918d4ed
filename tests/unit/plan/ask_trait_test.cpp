#include "plan/ask_trait.hpp"

#include <algorithm>
#include <memory>

#include "frostread/planner.hpp"
#include "support/catch.hpp"
#include "support/household.hpp"
#include "support/readings.hpp"

using namespace frostread;
using namespace frostread::test;

namespace {

Decision decide_on(const Case& the_case) {
    const UnitModel model = fit_to_unit(compiled_household(), the_case.unit);
    const Findings findings = gather(model, the_case);
    return decide(model, the_case, findings, infer(model, findings), job_state(model, the_case),
                  plan_options(compiled_household()->library()));
}

/// Everything that has a mix of values, stated.
UnitTraits all_stated() {
    UnitTraits unit;
    for (const Trait& trait : compiled_household()->library().traits) {
        if (!trait.values.empty()) unit.words[trait.id] = trait.values.front().id;
        if (!trait.mix.empty()) unit.numbers[trait.id] = trait.mix.front().first;
    }
    return unit;
}

}  // namespace

TEST_CASE("traits: a question is asked only for what nobody stated, and says what each answer would mean") {
    Case the_case;
    the_case.readings = {look("complaint", "fridge-warm"), gauge("freezer-temp", -18.0), gauge("fridge-temp", 10.0)};
    const Decision decision = decide_on(the_case);
    REQUIRE(decision.ask.has_value());
    const TraitQuestion& ask = *decision.ask;
    CHECK(find_trait(compiled_household()->library(), ask.trait) != nullptr);
    CHECK(ask.bits > 0.0);
    CHECK(ask.saving > 0.0);
    REQUIRE(ask.answers.size() >= 2);
    double total = 0.0;
    for (std::size_t i = 0; i < ask.answers.size(); ++i) {
        total += ask.answers[i].probability;
        if (i > 0) CHECK(ask.answers[i].probability <= ask.answers[i - 1].probability);
    }
    CHECK(total == Approx(1.0).margin(1e-3));

    // What an answer is said to make lead does lead once it is stated.
    for (const TraitQuestion::Answer& answer : ask.answers) {
        Case stated = the_case;
        const Trait& trait = *find_trait(compiled_household()->library(), ask.trait);
        if (trait.is_number)
            stated.unit.numbers[ask.trait] = std::stod(answer.value);
        else
            stated.unit.words[ask.trait] = answer.value;
        const UnitModel model = fit_to_unit(compiled_household(), stated.unit);
        const Posterior posterior = infer(model, gather(model, stated));
        CHECK(leader(posterior) == answer.leader);
        if (answer.leader) CHECK(posterior.fault[*answer.leader] == Approx(answer.leader_probability));
        const Decision after = decide_on(stated);
        if (after.ask) CHECK(after.ask->trait != ask.trait);
    }

    the_case.unit = all_stated();
    CHECK_FALSE(decide_on(the_case).ask.has_value());
}

TEST_CASE("traits: an answer that contradicts a reading is not expected") {
    Case the_case;
    the_case.unit = all_stated();
    the_case.unit.words.erase("cooling");
    the_case.readings = {gauge("freezer-temp", -9.4), gauge("fridge-temp", 2.2), look("evaporator-frost", "inlet-only"),
                         look("freezer-fan", "blows")};
    const Library& library = compiled_household()->library();
    const UnitModel model = fit_to_unit(compiled_household(), the_case.unit);
    UnitTraits plate = the_case.unit;
    plate.words["cooling"] = "plate";
    const auto fan = compiled_household()->check_index("freezer-fan");
    REQUIRE(fan.has_value());
    REQUIRE_FALSE(fit_to_unit(compiled_household(), plate).exists(*fan));

    const Findings findings = gather(model, the_case);
    const Posterior posterior = infer(model, findings);
    const JobState job = job_state(model, the_case);
    const plan::Belief belief = plan::make_belief(model, posterior);
    const plan::AccessCosts access(library, library.economy);
    Economy cheap = library.economy;
    cheap.labour_per_hour = 1.0;  // questions cost next to nothing, so that one is asked if it tells anything
    const plan::TestingPrice five_a_bit({{10.0, 50.0}}, 1.0);
    const plan::AskTerms terms{cheap, access, 0, {}, five_a_bit};
    const auto question = plan::best_question(model, the_case, findings, job, belief, terms);
    REQUIRE(question.has_value());
    CHECK(question->trait == "cooling");
    for (const TraitQuestion::Answer& answer : question->answers) CHECK(answer.value != "plate");
}

TEST_CASE("traits: what was seen on the unit settles what kind of unit it is") {
    // Only one coil that clears itself feeds its cold through a flap, so nobody is asked for the kind of defrost.
    Case the_case;
    the_case.unit = all_stated();
    the_case.unit.words.erase("defrost");
    the_case.unit.words.erase("defrost-control");
    the_case.unit.words["control"] = "electronic";
    the_case.readings = {look("damper", "stuck-shut"), gauge("freezer-temp", -17.8), look("display-mode", "normal"),
                         look("fridge-airflow", "none")};
    const Decision seen = decide_on(the_case);
    CHECK_FALSE((seen.ask && seen.ask->trait == "defrost"));
    // A flap that is seen is one that can be at fault.
    const CheckIndex damper = *compiled_household()->check_index("damper");
    for (const TraitValue& layout : find_trait(compiled_household()->library(), "layout")->values) {
        Case unit;
        unit.unit = all_stated();
        unit.unit.words["layout"] = layout.id;
        const std::vector<ReportFault> faults = household_report(unit).faults;
        const bool can_stick = std::any_of(faults.begin(), faults.end(),
                                           [](const ReportFault& fault) { return fault.id == "damper-stuck-shut"; });
        INFO(layout.id);
        CHECK(fit_to_unit(compiled_household(), unit.unit).exists(damper) == can_stick);
    }
}
