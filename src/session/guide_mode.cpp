#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>

#include "present/report_words.hpp"
#include "session/facts.hpp"

/// The guide's next question: who is at work, the unit, the complaint, whether a reading's condition
/// held, and then what the planner asks for.
namespace frostread::session {

namespace {

/// Traits that take longer to find out wait until a check needs them.
constexpr double kQuickTrait = 0.5;

constexpr double kWorthExplaining = 0.05;  ///< probability of an answer
constexpr std::size_t kMostAnswers = 3;
constexpr std::size_t kMostBehind = 2;

bool names(const TraitCondition& condition, const std::string& trait) {
    return std::any_of(condition.all.begin(), condition.all.end(),
                       [&](const TraitTest& test) { return test.trait == trait; });
}

bool stated(const UnitTraits& unit, const std::string& trait) {
    return unit.words.count(trait) > 0 || unit.numbers.count(trait) > 0;
}

class Asker {
public:
    Asker(const Diagnosis& now, const GuideFacts& facts, UnitPreference units)
        : now_(now), facts_(facts), library_(now.model.compiled().library()), units_(units) {}

    GuideQuestion next() {
        GuideQuestion question = choose();
        question.number = facts_.number;
        return question;
    }

private:
    GuideQuestion choose() {
        if (!facts_.may_known && !passed("may")) return ask_may();
        if (facts_.began_empty && facts_.the_case.readings.empty())
            for (const Trait& trait : library_.traits)
                if (wanted_at_once(trait)) return ask_trait(trait);
        if (const Check* complaint = unasked_complaint()) return ask_check(*complaint);
        for (const FindingNote& note : now_.findings.notes)
            if (note.kind == NoteKind::trust_lowered && !passed(note.about))
                if (const Condition* condition = find_condition(library_, note.about))
                    return ask_condition(*condition, note.reading);
        if (now_.report.action != Action::test || !now_.decision.test) return {};
        const Check& check = library_.checks[now_.decision.test->check];
        if (const Trait* trait = missing_reference(check)) return ask_trait(*trait);
        return ask_check(check);
    }

    [[nodiscard]] bool passed(const std::string& id) const { return facts_.passed.count(id) > 0; }

    GuideQuestion ask_may() const {
        GuideQuestion q;
        q.about = GuideQuestion::About::may;
        q.id = "may";
        q.text = "What work are you trained for?";
        q.why =
            "Tests on mains voltage are for people trained in electrical work, and the refrigerant circuit is "
            "for a licensed handler. You will not be sent to what is not yours.";
        q.choices = {{"anyone", "no work on mains or refrigerant", "looking, feeling, measuring temperatures"},
                     {"technician", "trained in electrical work", "meter, live tests, behind covers"},
                     {"licensed", "licensed refrigerant handler", "everything, the sealed system too"}};
        return q;
    }

    [[nodiscard]] bool wanted_at_once(const Trait& trait) const {
        if (stated(facts_.the_case.unit, trait.id) || passed(trait.id)) return false;
        if (trait.minutes > kQuickTrait) return false;
        // Numbers only when the causes hang on them, and what the owner would get for the unit.
        if (trait.is_number) return trait.id == "worth" || weight(trait) > 0;
        return weight(trait) > 0;
    }

    [[nodiscard]] std::size_t faults_on(const Trait& trait) const {
        return static_cast<std::size_t>(
            std::count_if(library_.faults.begin(), library_.faults.end(), [&](const Fault& fault) {
                return comes_with(fault, trait) ||
                       std::any_of(fault.rules.begin(), fault.rules.end(),
                                   [&](const Rule& rule) { return names(rule.where, trait.id); });
            }));
    }

    /// Whether the fault is there at all, or how often, depends on the trait.
    [[nodiscard]] static bool comes_with(const Fault& fault, const Trait& trait) {
        return names(fault.where, trait.id) ||
               std::any_of(fault.multipliers.begin(), fault.multipliers.end(),
                           [&](const Multiplier& multiplier) { return names(multiplier.where, trait.id); });
    }

    /// The commonest fault that comes with some answers more than with others; "" when there is none.
    [[nodiscard]] std::string commonest_on(const Trait& trait) const {
        const Fault* most = nullptr;
        for (const Fault& fault : library_.faults)
            if (comes_with(fault, trait) && (most == nullptr || fault.frequency > most->frequency)) most = &fault;
        return most == nullptr ? "" : most->name;
    }

    [[nodiscard]] std::string first_check_on(const Trait& trait) const {
        for (const Check& check : library_.checks)
            if (names(check.where, trait.id)) return check.name;
        return "";
    }

    [[nodiscard]] std::size_t cautions_on(const Trait& trait) const {
        return static_cast<std::size_t>(
            std::count_if(library_.cautions.begin(), library_.cautions.end(),
                          [&](const Caution& caution) { return names(caution.where, trait.id); }));
    }

    [[nodiscard]] std::size_t checks_on(const Trait& trait) const {
        return static_cast<std::size_t>(
            std::count_if(library_.checks.begin(), library_.checks.end(),
                          [&](const Check& check) { return names(check.where, trait.id); }));
    }

    [[nodiscard]] std::size_t weight(const Trait& trait) const {
        return faults_on(trait) + checks_on(trait) + cautions_on(trait);
    }

    [[nodiscard]] std::string why_trait(const Trait& trait) const {
        std::string why;
        const std::size_t faults = faults_on(trait), checks = checks_on(trait), cautions = cautions_on(trait);
        const auto such_as = [](const std::string& name) {
            return name.empty() ? "" : fmt::format(", such as {}", name);
        };
        if (faults > 0)
            why += fmt::format("{} fault{} depend{} on it{}", faults, faults == 1 ? "" : "s", faults == 1 ? "s" : "",
                               such_as(commonest_on(trait)));
        if (checks > 0)
            why += fmt::format("{}{} check{} exist{} only on some kinds{}", why.empty() ? "" : "; ", checks,
                               checks == 1 ? "" : "s", checks == 1 ? "s" : "", such_as(first_check_on(trait)));
        if (cautions > 0) why += fmt::format("{}it decides what can hurt you", why.empty() ? "" : "; and ");
        if (trait.id == "worth") why = "A repair that costs more than the unit is worth is seldom done";
        if (why.empty() && is_part_of_a_reference(trait.id)) why = "The next reading is judged against it";
        if (why.empty()) return "";
        why.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(why.front())));
        return why + ".";
    }

    /// A likely one: as the library says, or the middle of the mix, else of the possible range on a scale of ratios.
    static std::string example_number(const Trait& trait) {
        if (trait.example) return fmt::format("{:g}", *trait.example);
        if (!trait.mix.empty()) return fmt::format("{:.0f}", trait.mix[trait.mix.size() / 2].first);
        const double low = std::max(1.0, trait.range.min.value_or(1.0));
        const double middle = std::sqrt(low * trait.range.max.value_or(100.0));
        const double step = std::pow(10.0, std::floor(std::log10(middle)));
        return fmt::format("{:.0f}", std::round(middle / step) * step);
    }

    GuideQuestion ask_trait(const Trait& trait) const {
        GuideQuestion q;
        q.about = GuideQuestion::About::trait;
        q.id = trait.id;
        q.text = trait.question;
        q.why = why_trait(trait);
        q.minutes = trait.minutes;
        if (!trait.how.empty()) q.steps.push_back(trait.how);
        for (const TraitValue& value : trait.values) q.choices.push_back({value.id, value.name, ""});
        q.quantity = trait.is_number;
        if (trait.is_number) {
            const Measure* measure = trait.unit.empty() ? nullptr : find_measure(trait.unit);
            const std::string number = example_number(trait);
            q.example = measure == nullptr ? number : fmt::format("{} {}", number, measure->symbol);
        }
        return q;
    }

    [[nodiscard]] bool is_part_of_a_reference(const std::string& id) const {
        const auto of = [&](std::string_view reference) {
            const std::vector<std::string> traits = traits_of_reference(library_, reference);
            return std::find(traits.begin(), traits.end(), id) != traits.end();
        };
        const auto derived = derived_reference_ids();
        return std::any_of(derived.begin(), derived.end(), of);
    }

    [[nodiscard]] bool answered(const Check& check) const {
        return std::any_of(facts_.the_case.readings.begin(), facts_.the_case.readings.end(),
                           [&](const Reading& reading) { return reading.check == check.id; });
    }

    [[nodiscard]] const Check* find_complaint() const {
        const auto it = std::find_if(library_.checks.begin(), library_.checks.end(), [](const Check& check) {
            return check.kind == CheckKind::several && check.areas.empty();
        });
        return it == library_.checks.end() ? nullptr : &*it;
    }

    [[nodiscard]] const Check* unasked_complaint() const {
        const Check* check = find_complaint();
        if (check == nullptr || answered(*check)) return nullptr;
        return check;
    }

    [[nodiscard]] const Trait* missing_reference(const Check& check) const {
        const std::string& reference = check.kind == CheckKind::gauge ? check.normal.relative_to : check.reference;
        if (reference.empty()) return nullptr;
        const auto missing = [&](std::string_view id) -> const Trait* {
            const Trait* trait = find_trait(library_, id);
            if (trait == nullptr || stated(facts_.the_case.unit, trait->id) || passed(trait->id)) return nullptr;
            return trait;
        };
        for (const std::string& id : traits_of_reference(library_, reference))
            if (const Trait* trait = missing(id)) return trait;
        return nullptr;
    }

    GuideQuestion ask_condition(const Condition& condition, std::size_t reading) const {
        GuideQuestion q;
        q.about = GuideQuestion::About::condition;
        q.id = condition.id;
        const Check* check = find_check(library_, facts_.the_case.readings[reading].check);
        q.subject = check == nullptr ? "" : check->name;
        q.text = fmt::format("When you looked at the {}, did this hold: {}?", q.subject, condition.name);
        q.why = fmt::format("The {} means something only then. Say no, and it is not counted.", q.subject);
        q.choices = {{"yes", "yes", ""}, {"no", "no", ""}};
        return q;
    }

    static double middle_of(const NumberRange& range) {
        return 0.5 * (range.min.value_or(0.0) + range.max.value_or(0.0));
    }

    /// A round number inside the normal band.
    static double normal_in_band(const Check& check) {
        double low = check.range.min.value_or(0.0);
        for (const Outcome& outcome : check.outcomes) {
            const std::optional<double> upto = outcome.upto_absolute ? outcome.upto_absolute : outcome.upto;
            if (outcome.normal) {
                const double far = low + std::max(1.0, 0.2 * std::abs(low));  // the highest band has no end of its own
                const double high = std::min(upto.value_or(far), check.range.max.value_or(far));
                const double middle = low > 0.0 ? std::sqrt(low * high) : 0.5 * (low + high);
                if (middle == 0.0) return 0.0;
                const double step = std::pow(10.0, std::floor(std::log10(std::abs(middle))));
                const double round = std::round(middle / step) * step;
                return round > low && round < high ? round : middle;
            }
            if (upto) low = *upto;
        }
        return middle_of(check.range);
    }

    GuideQuestion ask_check(const Check& check) const {
        GuideQuestion q;
        q.about = GuideQuestion::About::check;
        q.id = check.id;
        q.text = check.question;
        q.minutes = check.minutes;
        q.steps = check.steps;
        q.normal_looks = check.normal_looks;
        q.often_mistaken = check.often_mistaken;
        q.several = check.kind == CheckKind::several;
        q.quantity = check.kind == CheckKind::gauge || check.kind == CheckKind::banded;
        for (const std::string& tool : check.tools) q.tools.push_back(tool);
        for (const Outcome& outcome : check.outcomes)
            if (holds(outcome.where, facts_.the_case.unit) != Truth::no)
                q.choices.push_back({outcome.id, outcome.name, outcome.looks});
        if (const Measure* own = q.quantity ? find_measure(check.unit) : nullptr) {
            const double middle = check.kind == CheckKind::banded ? normal_in_band(check) : middle_of(check.range);
            const bool fixed = check.kind == CheckKind::gauge && !check.normal.percent &&
                               (check.normal.relative_to.empty() || check.normal.assumed);
            const double sample = fixed ? check.normal.mean + check.normal.assumed.value_or(0.0) : middle;
            q.example = present::check_quantity(check, sample, units_);
            const Measure& shown = preferred_measure(own->dimension, units_);
            q.unit = std::string(shown.symbol);
            q.worked_out = check.worked_out;
        }
        const bool planned = now_.decision.test && library_.checks[now_.decision.test->check].id == check.id;
        if (planned && now_.report.test) {
            const ReportTest& test = *now_.report.test;
            q.minutes = test.minutes;
            q.waiting = test.wait_minutes;
            q.steps = test.steps;
            q.opens_names = test.opens_names;
            q.opens_how = test.opens_how;
            q.expect = test.outcomes;
            q.cautions = caution_texts(library_, test.cautions);
            q.why = now_.report.because;
            q.behind = behind(*now_.decision.test);
            q.power = plug_sentence(check, *now_.decision.test);
        } else {
            q.cautions = caution_texts(library_, check.cautions);
            if (check.kind == CheckKind::several)
                q.why =
                    "What the owner noticed is the cheapest evidence there is. What is not named counts for nothing.";
        }
        return q;
    }

    /// Of the faults that the likeliest answers would put first.
    [[nodiscard]] std::vector<Behind> behind(const CheckValue& test) const {
        const Check& check = library_.checks[test.check];
        std::vector<ExpectedOutcome> likely = test.outcomes;
        std::stable_sort(likely.begin(), likely.end(), [](const ExpectedOutcome& a, const ExpectedOutcome& b) {
            return a.probability > b.probability;
        });
        if (likely.size() > kMostAnswers) likely.resize(kMostAnswers);
        std::vector<Behind> out;
        for (const ExpectedOutcome& expected : likely) {
            // A number is no sign of a fault by itself, and what is normal is a sign of none.
            const bool sign = !expected.value && !check.outcomes[expected.outcome].normal;
            if (!sign || !expected.leader || expected.probability < kWorthExplaining) continue;
            const std::string_view because = reason_of(now_.model, *expected.leader, test.check);
            const auto told = [&](const Behind& one) { return one.because == because; };
            if (because.empty() || std::any_of(out.begin(), out.end(), told)) continue;
            out.push_back({library_.faults[*expected.leader].name, std::string(because), expected.label});
            if (out.size() == kMostBehind) break;
        }
        return out;
    }

    [[nodiscard]] std::string plug_sentence(const Check& check, const CheckValue& value) const {
        Power power = now_.job.power;
        for (const std::string& id : value.opens)
            if (const Area* area = find_area(library_, id); area != nullptr && area->power == Power::off) {
                power = Power::off;
            }
        const bool pulled = power == Power::off && now_.job.power != Power::off;
        const bool back = check.power == Power::on && power == Power::off;
        if (pulled && back) return "Pull the plug before you open it. The reading itself needs the plug in again.";
        if (pulled && !value.opens.empty()) return "Pull the plug before you open it.";
        if (pulled || (check.power == Power::off && power != Power::off)) return "Pull the plug first.";
        if (back) return "The plug is out. This reading needs it in: hands and tools clear first.";
        return "";
    }

    const Diagnosis& now_;
    const GuideFacts& facts_;
    const Library& library_;
    UnitPreference units_;
};

}  // namespace

GuideQuestion next_question(const Diagnosis& now, const GuideFacts& facts, UnitPreference units) {
    return Asker(now, facts, units).next();
}

}  // namespace frostread::session
