#include "plan/ask_trait.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <unordered_map>
#include <utility>
#include <vector>

#include "base/numeric.hpp"

namespace frostread::plan {

namespace {

constexpr double kLeastBits = 0.01;
constexpr std::size_t kMostSets = 200;  ///< of the belief after an answer

/// A belief boiled down to what a question is judged by.
struct Outlook {
    std::vector<std::pair<std::string, double>> classes;  ///< remedy to be done first
    StopCost stop;
    double bits = 0.0;
    /// Beyond the right repairs, which no question changes.
    [[nodiscard]] double waste(const TestingPrice& price) const { return std::min(stop.wasted, price(bits)); }
};

Outlook outlook_of(const UnitModel& model, Belief belief, const JobState& job, const AskTerms& terms) {
    const RepairCosts plain =
        repair_costs(belief, terms.access, model.compiled().library(), terms.economy, job.may, terms.open);
    mark_hopeless(belief, plain);
    RepairCosts costs = plain;
    costs.failed += terms.tuning.call_back * money_per_minute(terms.economy);
    std::vector<double> masses, classes;
    const double total = group_masses(belief, belief.weight, masses);
    class_masses(belief, masses, classes);
    Outlook outlook;
    outlook.stop = StopCosts(belief)(masses, costs, terms.tuning.caution);
    outlook.bits = entropy_bits(classes, total);
    for (std::size_t c = 0; c < classes.size(); ++c) {
        if (classes[c] <= 0.0) continue;
        const std::string name = c < belief.remedies.size() ? belief.remedies[c].remedy->id
                                                            : "#" + std::to_string(c - belief.remedies.size());
        outlook.classes.emplace_back(name, classes[c] / total);
    }
    return outlook;
}

/// The ways of stating a trait, with the share of units.
std::vector<std::pair<TraitQuestion::Answer, double>> ways(const Trait& trait) {
    std::vector<std::pair<TraitQuestion::Answer, double>> all;
    for (const TraitValue& value : trait.values)
        if (value.id != "unknown" && value.share > 0.0)
            all.push_back({{value.id, value.name, 0.0, std::nullopt, 0.0}, value.share});
    for (const auto& [value, share] : trait.mix) {
        std::string number = std::to_string(value);
        number.erase(number.find_last_not_of('0') + 1);
        if (number.back() == '.') number.pop_back();
        if (share > 0.0) all.push_back({{number, "about " + number, 0.0, std::nullopt, 0.0}, share});
    }
    return all;
}

class Asker {
public:
    Asker(const UnitModel& model, const Case& the_case, const Findings& findings, const JobState& job,
          const Belief& belief, const AskTerms& terms)
        : model_(model), case_(the_case), findings_(findings), job_(job), belief_(belief), terms_(terms) {}

    [[nodiscard]] std::optional<TraitQuestion> judge(const Trait& trait) {
        std::vector<std::pair<TraitQuestion::Answer, double>> answers = ways(trait);
        if (answers.size() < 2) return std::nullopt;
        std::vector<Posterior> posteriors;
        std::vector<UnitModel> models;
        std::vector<double> logs;
        for (auto& [answer, share] : answers) {
            Case stated = case_;
            if (trait.is_number)
                stated.unit.numbers[trait.id] = std::stod(answer.value);
            else
                stated.unit.words[trait.id] = answer.value;
            models.push_back(fit_to_unit(model_.shared_library(), stated.unit));
            const Findings now = gather(models.back(), stated);
            posteriors.push_back(infer(models.back(), now));
            const bool contradicts =
                std::any_of(findings_.items.begin(), findings_.items.end(),
                            [&](const Finding& finding) { return !models.back().exists(finding.check); });
            logs.push_back(contradicts ? -1e300 : std::log(share) + posteriors.back().log_evidence);
        }
        const double all = numeric::log_sum_exp(logs);
        if (!(all > -1e299)) return std::nullopt;

        TraitQuestion question;
        question.trait = trait.id;
        question.minutes = trait.minutes;
        // What stands now is the mean over the answers, so that only what they tell apart counts.
        std::unordered_map<std::string, double> before;
        double bits_after = 0.0, waste_after = 0.0;
        for (std::size_t k = 0; k < answers.size(); ++k) {
            TraitQuestion::Answer& answer = answers[k].first;
            answer.probability = std::exp(logs[k] - all);
            if (answer.probability < 1e-4) continue;
            const Outlook outlook =
                outlook_of(models[k], make_belief(models[k], posteriors[k], job_.tried, kMostSets), job_, terms_);
            for (const auto& [name, mass] : outlook.classes) before[name] += answer.probability * mass;
            bits_after += answer.probability * outlook.bits;
            waste_after += answer.probability * outlook.waste(terms_.price);
            answer.leader = leader(posteriors[k]);
            answer.leader_probability =
                answer.leader ? posteriors[k].fault[*answer.leader] : std::max(posteriors[k].nothing_wrong, 0.0);
        }
        std::vector<double> masses;
        masses.reserve(before.size());
        for (const auto& entry : before) masses.push_back(entry.second);
        std::sort(masses.begin(), masses.end());
        Outlook now = outlook_of(model_, belief_, job_, terms_);
        now.bits = numeric::entropy_bits(masses);
        question.bits = std::max(0.0, now.bits - bits_after);
        if (question.bits < kLeastBits) return std::nullopt;
        question.saving = now.waste(terms_.price) - waste_after - question.minutes * money_per_minute(terms_.economy);
        for (auto& entry : answers)
            if (entry.first.probability >= 1e-4) question.answers.push_back(std::move(entry.first));
        std::stable_sort(question.answers.begin(), question.answers.end(),
                         [](const auto& a, const auto& b) { return a.probability > b.probability; });
        return question;
    }

private:
    const UnitModel& model_;
    const Case& case_;
    const Findings& findings_;
    const JobState& job_;
    const Belief& belief_;
    const AskTerms& terms_;
};

bool stated(const UnitTraits& unit, const Trait& trait) {
    return unit.words.count(trait.id) > 0 || unit.numbers.count(trait.id) > 0;
}

}  // namespace

std::optional<TraitQuestion> best_question(const UnitModel& model, const Case& the_case, const Findings& findings,
                                           const JobState& job, const Belief& belief, const AskTerms& terms) {
    Asker asker(model, the_case, findings, job, belief, terms);
    std::optional<TraitQuestion> best;
    for (const Trait& trait : model.compiled().library().traits) {
        if (stated(the_case.unit, trait)) continue;
        auto question = asker.judge(trait);
        if (!question || question->saving <= 0.0) continue;
        if (!best || question->bits * (best->minutes + 1e-9) > best->bits * (question->minutes + 1e-9))
            best = std::move(question);
    }
    return best;
}

}  // namespace frostread::plan
