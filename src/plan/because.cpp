#include "plan/because.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "frostread/quantity.hpp"

namespace frostread::plan {

namespace {

constexpr double kClear = 0.5;  ///< below, the leader only leads
constexpr std::size_t kShownAnswers = 3;
constexpr double kRareAnswer = 0.04;

struct Leader {
    std::optional<FaultIndex> fault;
    double probability = 0.0;
};

/// The likeliest fault (over all sets that hold it), or nothing wrong when that is likelier.
Leader leader_of(const UnitModel& model, const Belief& belief, std::span<const double> weights, double total) {
    const CompiledLibrary& compiled = model.compiled();
    std::vector<double> fault(compiled.fault_count(), 0.0);
    double nothing = 0.0;
    for (std::size_t i = 0; i < belief.sets.size(); ++i) {
        if (belief.sets[i].kind == HypothesisKind::nothing_wrong) nothing += weights[i];
        for (std::size_t m = 0; m < belief.sets[i].size; ++m)
            fault[compiled.alternative(belief.sets[i].members[m]).fault] += weights[i];
    }
    const auto best = std::max_element(fault.begin(), fault.end());
    if (best == fault.end() || nothing >= *best) return {std::nullopt, nothing / total};
    return {static_cast<FaultIndex>(best - fault.begin()), *best / total};
}

std::string label_of(const Check& check, const Answer& answer) {
    if (!answer.value) return check.outcomes[answer.outcome].name;
    const Measure* measure = find_measure(check.unit);
    if (measure == nullptr) return fmt::format("about {:.4g}", *answer.value);
    const double step = std::abs(*answer.value) >= 20.0 ? 1.0 : 0.5;
    if (check.normal.settles_at && *answer.value >= 0.95 * *check.normal.settles_at)
        return to_text({*check.normal.settles_at, measure}, 4) + " or more";
    return "about " + to_text({std::round(*answer.value / step) * step, measure}, 4);
}

/// The same with its first letter large (ASCII).
std::string sentence(std::string text) {
    if (!text.empty() && text.front() >= 'a' && text.front() <= 'z')
        text.front() = static_cast<char>(text.front() - 32);
    return text;
}

std::string name_of(const Library& library, const std::optional<FaultIndex>& fault) {
    return fault ? library.faults[*fault].name : std::string("nothing wrong");
}

}  // namespace

std::string two_places(double x) {
    return fmt::format("{:.2f}", x > 0.99 && x < 1.0 ? 0.99 : x);
}

std::vector<ExpectedOutcome> expected_outcomes(const UnitModel& model, const Belief& belief, const Candidate& candidate,
                                               const AnswerRows& rows) {
    const std::vector<double>& weights = belief.weight;
    const Check& check = model.compiled().library().checks[candidate.check];
    std::vector<ExpectedOutcome> all;
    double sum = 0.0;
    for (std::size_t a = 0; a < rows.answers; ++a) {
        std::vector<double> after(weights.size());
        double total = 0.0;
        for (std::size_t i = 0; i < after.size(); ++i) total += after[i] = weights[i] * rows.row(a)[i];
        sum += total;
        const Leader leader = leader_of(model, belief, after, total > 0.0 ? total : 1.0);
        const bool joins = candidate.answers[a].value && !all.empty() && all.back().leader == leader.fault;
        if (!joins) {
            ExpectedOutcome outcome;
            outcome.outcome = candidate.answers[a].outcome;
            outcome.value = candidate.answers[a].value;
            outcome.label = label_of(check, candidate.answers[a]);
            outcome.leader = leader.fault;
            outcome.leader_probability = leader.probability;
            outcome.probability = total;
            all.push_back(std::move(outcome));
            continue;
        }
        // One answer out of two: the likelihoods add, the value shown is the mean.
        ExpectedOutcome& last = all.back();
        const double both = last.probability + total;
        if (both > 0.0) {
            const double share = total / both;
            last.value = *last.value + share * (*candidate.answers[a].value - *last.value);
            last.leader_probability += share * (leader.probability - last.leader_probability);
            last.label = label_of(check, {last.outcome, last.value});
        }
        last.probability = both;
    }
    if (sum > 0.0)
        for (ExpectedOutcome& outcome : all) outcome.probability /= sum;
    if (check.kind != CheckKind::gauge)
        std::stable_sort(all.begin(), all.end(), [](const ExpectedOutcome& a, const ExpectedOutcome& b) {
            return a.probability > b.probability;
        });
    return all;
}

namespace {

/// What to do until the test counts; "" when nothing has to be waited for.
std::string meanwhile(const Library& library, const CheckValue& test) {
    for (const std::string& id : test.waits)
        if (const Condition* condition = find_condition(library, id);
            condition != nullptr && !condition->meanwhile.empty())
            return fmt::format(" It counts once this holds: {}. Meanwhile: {}.", condition->name, condition->meanwhile);
    return "";
}

}  // namespace

std::string why_test(const UnitModel& model, const CheckValue& test) {
    const Library& library = model.compiled().library();
    std::vector<ExpectedOutcome> shown = test.outcomes;
    std::stable_sort(shown.begin(), shown.end(),
                     [](const ExpectedOutcome& a, const ExpectedOutcome& b) { return a.probability > b.probability; });
    // A rare answer is shown when it would make somebody else lead clearly.
    std::vector<ExpectedOutcome> kept;
    for (const ExpectedOutcome& outcome : shown) {
        const bool worth_it = outcome.probability >= kRareAnswer || kept.size() < 2;
        if (worth_it && kept.size() < kShownAnswers) kept.push_back(outcome);
    }
    std::vector<std::string> names;
    for (const ExpectedOutcome& outcome : kept) {
        const std::string name = name_of(library, outcome.leader);
        if (std::find(names.begin(), names.end(), name) == names.end()) names.push_back(name);
    }
    std::string text;
    const Check& check = library.checks[test.check];
    if (test.repeat) text = fmt::format("The earlier reading of the {} does not fit the rest. ", check.name);
    if (kept.size() == 1)
        return text + sentence(names.front()) + " leads whatever the answer; it moves the odds." +
               meanwhile(library, test);
    if (names.size() >= 2) {
        text += fmt::format("Tells {} from {}", names[0], names[1]);
        if (names.size() > 2) text += fmt::format(" and {}", names[2]);
        text += ": ";
    } else {
        text += fmt::format("Makes {} more or less likely: ", names.empty() ? std::string("the leader") : names[0]);
    }
    for (std::size_t i = 0; i < kept.size(); ++i) {
        const ExpectedOutcome& outcome = kept[i];
        text += fmt::format(
            "{}{} \u2192 {} {}", i == 0 ? "" : "; ", outcome.label, name_of(library, outcome.leader),
            (outcome.leader_probability < kClear ? "leads with " : "") + two_places(outcome.leader_probability));
    }
    return text + "." + meanwhile(library, test);
}

std::string why_second_look(const UnitModel& model, const Belief& belief, const SecondFaults& others,
                            const Candidate& candidate, const AnswerRows& rows, const RepairOption& repair) {
    const Library& library = model.compiled().library();
    const Check& check = library.checks[candidate.check];
    // The second fault that some answer raises most.
    const std::vector<double> before = others.beside();
    std::vector<std::vector<double>> after;
    std::size_t raised = 0;
    double most = -1.0;
    for (std::size_t a = 0; a < rows.answers; ++a) {
        after.push_back(others.beside(rows.row(a)));
        for (std::size_t r = 0; r < before.size(); ++r)
            if (after[a][r] - before[r] > most) {
                most = after[a][r] - before[r];
                raised = r;
            }
    }
    std::vector<std::pair<double, std::string>> shown;
    for (std::size_t a = 0; a < after.size(); ++a)
        shown.emplace_back(after[a][raised], label_of(check, candidate.answers[a]));
    std::stable_sort(shown.begin(), shown.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
    const auto small = [](double x) { return x < 0.01 ? std::string("under 0.01") : two_places(x); };
    std::string text = fmt::format(
        "{} is to be repaired next ({}). A second fault left behind means a second visit: "
        "{} beside it is {}",
        library.faults[repair.fault].name, two_places(repair.probability),
        library.faults[belief.remedies[raised].fault].name, small(before[raised]));
    for (std::size_t i = 0; i < shown.size(); ++i)
        if (i == 0 || i + 1 == shown.size())
            text += fmt::format("{}{} \u2192 {}", i == 0 ? ": " : "; ", shown[i].second, small(shown[i].first));
    return sentence(text) + ".";
}

std::string why_stop(const UnitModel& model, const Decision& decision, const Economy& economy, double nothing_wrong,
                     double hopeless, bool confident) {
    const Library& library = model.compiled().library();
    const std::string money = economy.currency.empty() ? "units" : economy.currency;
    const auto amount = [](double x) { return fmt::format("{:.0f}", x); };
    if (decision.action == Action::finish)
        return fmt::format("Nothing is likely to be wrong ({}): explain to the owner what is normal.",
                           two_places(nothing_wrong));
    if (!decision.repair) return "No repair fits these readings.";
    const RepairOption& repair = *decision.repair;
    const std::string fault = library.faults[repair.fault].name;
    switch (decision.action) {
        case Action::retire:
            return fmt::format(
                "The repair for {} ({}) costs about {} {}, the unit is worth {}{}: {} more than it is worth.{}", fault,
                two_places(repair.probability), amount(repair.cost), money, amount(decision.worth),
                decision.worth_assumed ? " (assumed, nobody said)" : "", amount(repair.cost - decision.worth),
                hopeless > repair.probability + 0.01
                    ? fmt::format(" All faults that are not worth their repair together: {}.", two_places(hopeless))
                    : std::string());
        case Action::refer:
            return fmt::format("{} ({}) is work for a {}: stop and hand the unit over with these readings.",
                               sentence(fault), two_places(repair.probability),
                               repair.who == Who::licensed ? "licensed refrigerant handler" : "trained technician");
        case Action::repair:
        case Action::test:
        case Action::finish:
            break;
    }
    if (confident)
        return fmt::format("{} is likely enough ({}) to repair: about {:.0f} min and {} {}.", sentence(fault),
                           two_places(repair.probability), repair.minutes, amount(repair.cost), money);
    return fmt::format(
        "{} leads with {}, and no test left is worth its time: the repair itself is the best test "
        "(about {:.0f} min and {} {}).",
        sentence(fault), two_places(repair.probability), repair.minutes, amount(repair.cost), money);
}

}  // namespace frostread::plan
