#include <algorithm>
#include <cmath>
#include <numeric>

#include "frostread/planner.hpp"
#include "plan/ask_trait.hpp"
#include "plan/because.hpp"
#include "plan/keep_off.hpp"
#include "plan/look_ahead.hpp"
#include "plan/second_fault.hpp"

namespace frostread {

namespace {

using namespace plan;

constexpr double kLikelierThanNot = 0.5;  ///< enough to act on where going on is dangerous
constexpr double kLeastRepair = 0.005;    ///< repairs below this probability are not listed
constexpr std::size_t kMostRepairs = 8;
constexpr std::size_t kMostAlternatives = 8;
constexpr double kProofShare = 0.2;           ///< a powered proof may cost this share of the step that ends it
constexpr double kProofShareOfWorth = 0.25;   ///< most that proving a lost cause may cost, of the unit's worth
constexpr double kProofShareOfRepair = 0.25;  ///< most that looking at a part may cost, of replacing it
constexpr double kLookBits = 0.05;            ///< a look before a panel comes off tells at least so much
constexpr double kGlanceMinutes = 5.0;        ///< a look that opens nothing: always taken before a unit is given up
constexpr double kLeastBits = 0.02;           ///< a test that tells less is not proposed
constexpr double kLeastProofBits = 0.001;     ///< the same, of a proof before a unit is given up

/// Everything one decision looks at, made once.
class Decider {
public:
    Decider(const UnitModel& model, const Case& the_case, const Findings& findings, const Posterior& posterior,
            const JobState& job, const PlanOptions& options, const Tuning& tuning)
        : model_(model),
          library_(model.compiled().library()),
          job_(job),
          options_(options),
          tuning_(tuning),
          economy_(with_worth(options, the_case)),
          belief_(make_belief(model, posterior, job.tried)),
          access_(library_, economy_),
          now_{area_mask(library_, job.open_areas), job.power},
          hopeless_(mark_hopeless(belief_, repair_costs(belief_, access_, library_, economy_, job.may, now_.open))),
          candidates_(list_candidates(model, the_case, findings, belief_, job)),
          ahead_(model, findings, belief_, candidates_, access_, economy_, job.may, tuning) {}

    Decision run(const Case& the_case, const Findings& findings) {
        list_repairs();
        decision_.may = job_.may;
        decision_.worth = economy_.worth;
        decision_.worth_assumed =
            the_case.unit.numbers.count("worth") == 0 && options_.economy.worth == library_.economy.worth;
        for (const Candidate& candidate : candidates_) usable_.push_back(candidate.who <= job_.may);
        values_ = ahead_.one_step(now_);
        if (options_.look_ahead >= 2) ahead_.two_steps(now_, usable_, values_);
        order_candidates();

        const double nothing = nothing_wrong();
        list_endings(nothing);
        danger_ = shown_by_danger(findings);
        confident_ = endings_.front().leading >= (danger_ ? kLikelierThanNot : economy_.confidence);
        if (const auto words = owners_words()) {
            propose(*words);
        } else if (!confident_ && !order_.empty() && values_[order_.front()].saving > 0.0) {
            propose(leading_of_block(safe_first(order_.front())));
        } else if (const auto proof = proof_first()) {
            propose(safe_first(*proof));
        } else if (const auto look = danger_ ? std::nullopt : look_for_second_fault()) {
            propose(*look);
            tell_of_second_fault();
        } else {
            stop(nothing);
        }
        list_alternatives();
        ask_for_trait(the_case, findings);
        return std::move(decision_);
    }

private:
    static Economy with_worth(const PlanOptions& options, const Case& the_case) {
        Economy economy = options.economy;
        if (const auto worth = the_case.unit.numbers.find("worth"); worth != the_case.unit.numbers.end())
            economy.worth = worth->second;
        return economy;
    }

    /// A reading that forbids power is itself what proves the fault: nobody goes on asking beside a live shell.
    [[nodiscard]] bool shown_by_danger(const Findings& findings) const {
        if (endings_.front().repair == nullptr) return false;
        const std::vector<std::string>& confirm = library_.faults[endings_.front().repair->fault].confirm;
        return std::any_of(findings.items.begin(), findings.items.end(), [&](const Finding& finding) {
            return keep_off_caution(model_, finding) != nullptr &&
                   std::find(confirm.begin(), confirm.end(), library_.checks[finding.check].id) != confirm.end();
        });
    }

    [[nodiscard]] double nothing_wrong() const {
        double sum = 0.0;
        for (const Group& group : belief_.groups)
            if (group.kind == HypothesisKind::nothing_wrong)
                for (std::size_t i = group.first; i < group.last; ++i) sum += belief_.weight[i];
        return sum;
    }

    void list_repairs() {
        for (const RemedyEntry& entry : belief_.remedies) {
            RepairOption option;
            option.remedy = entry.remedy->id;
            option.fault = entry.fault;
            option.probability = entry.probability;
            option.minutes =
                entry.remedy->minutes + access_.opening(area_mask(library_, entry.remedy->areas), now_.open);
            option.parts = 0.5 * (entry.remedy->parts_low + entry.remedy->parts_high) * economy_.part_factor;
            option.cost = repair_money(*entry.remedy, access_, library_, economy_, job_.may, now_.open);
            option.who = entry.remedy->who;
            repairs_.push_back(std::move(option));
        }
        const double failed = economy_.failed_repair_minutes * money_per_minute(economy_);
        std::stable_sort(repairs_.begin(), repairs_.end(), [&](const RepairOption& a, const RepairOption& b) {
            return a.probability * (b.cost + failed) > b.probability * (a.cost + failed);
        });
        for (const RepairOption& option : repairs_) {
            if (option.probability >= kLeastRepair && decision_.repairs.size() < kMostRepairs)
                decision_.repairs.push_back(option);
        }
    }

    /// Bits for its cost.
    [[nodiscard]] double rate_of(std::size_t c) const { return values_[c].bits / (values_[c].cost + 1e-9); }

    void order_candidates() {
        for (std::size_t c = 0; c < values_.size(); ++c)
            if (usable_[c] && values_[c].bits > kLeastBits) order_.push_back(c);
        std::stable_sort(order_.begin(), order_.end(),
                         [&](std::size_t a, std::size_t b) { return values_[a].saving > values_[b].saving; });
        // Two tests that would follow each other are worth about the same in either order; the one that tells more
        // for its cost comes first, since it may spare the other.
        if (order_.empty()) return;
        const double least = values_[order_.front()].saving - tuning_.about_equal * money_per_minute(economy_);
        std::size_t best = 0;
        for (std::size_t k = 1; k < order_.size() && values_[order_[k]].saving >= least; ++k)
            if (values_[order_[k]].saving > 0.0 && rate_of(order_[k]) > rate_of(order_[best])) best = k;
        std::rotate(order_.begin(), order_.begin() + static_cast<std::ptrdiff_t>(best),
                    order_.begin() + static_cast<std::ptrdiff_t>(best) + 1);
    }

    /// A call begins with what the owner says: it is judged as if one thing were named, and tells more.
    [[nodiscard]] std::optional<std::size_t> owners_words() const {
        if (!job_.done.empty()) return std::nullopt;
        for (std::size_t c = 0; c < candidates_.size(); ++c)
            if (usable_[c] && library_.checks[candidates_[c].check].kind == CheckKind::several) return c;
        return std::nullopt;
    }

    /// Of tests that are done together behind a panel, the one that tells most for its cost; the others may follow.
    [[nodiscard]] std::size_t leading_of_block(std::size_t opener) {
        std::size_t lead = opener;
        for (const std::size_t member : values_[opener].also)
            if (values_[member].opens == values_[opener].opens && rate_of(member) > rate_of(lead)) lead = member;
        if (lead == opener) return opener;
        values_[lead].also = values_[opener].also;
        std::replace(values_[lead].also.begin(), values_[lead].also.end(), lead, opener);
        values_[lead].saving = values_[opener].saving;
        return lead;
    }

    /// What is seen with power on and everything shut comes before the step that takes both away.
    [[nodiscard]] std::size_t safe_first(std::size_t chosen) const {
        const StepValue& step = values_[chosen];
        if (now_.power != Power::on || !access_.needs_power_off(step.opens)) return chosen;
        std::size_t best = chosen;
        double best_rate = 0.0;
        for (const std::size_t c : order_) {
            const Candidate& candidate = candidates_[c];
            const StepValue& value = values_[c];
            const bool before =
                candidate.needs.power != Power::off && value.opens == 0 && candidate.wait_minutes <= 0.0;
            if (!before || value.bits < kLookBits || value.cost > kProofShare * step.cost || value.saving <= 0.0)
                continue;
            const double rate = rate_of(c);
            if (rate > 0.5 * rate_of(chosen) && rate > best_rate) {
                best_rate = rate;
                best = c;
            }
        }
        return best;
    }

    /// Neither a unit nor a part is condemned on circumstantial evidence: as long as the verdict is in doubt, or
    /// none of the fault's own confirming checks has been read, the one that tells most for its minutes comes
    /// first if it costs little beside what hangs on the verdict; and before a unit is given up in doubt, so does any
    /// quick look that opens nothing. (The sums alone would stop here; they trust the rules.)
    [[nodiscard]] std::optional<std::size_t> proof_first() const {
        const Ending& ending = endings_.front();
        if (ending.action == Action::finish || ending.repair == nullptr) return std::nullopt;
        const bool gives_up = ending.action != Action::repair;
        const double most = gives_up ? kProofShareOfWorth * economy_.worth : kProofShareOfRepair * ending.repair->cost;
        std::vector<std::string> confirm = library_.faults[ending.repair->fault].confirm;
        const auto confirms = [&](CheckIndex check) {
            return std::find(confirm.begin(), confirm.end(), library_.checks[check].id) != confirm.end();
        };
        if ((confident_ || !gives_up) && std::any_of(job_.done.begin(), job_.done.end(), confirms)) return std::nullopt;
        // Where a second look confirms, the first one has to come before it.
        for (std::size_t i = 0, named = confirm.size(); i < named; ++i)
            if (const Check* check = find_check(library_, confirm[i]))
                confirm.insert(confirm.end(), check->second_look_of.begin(), check->second_look_of.end());
        std::optional<std::size_t> best;
        for (std::size_t c = 0; c < values_.size(); ++c) {
            const StepValue& value = values_[c];
            // A proof may tell little by the sums, just because they hold the verdict for all but sure.
            if (!usable_[c] || value.bits <= (gives_up ? kLeastProofBits : kLeastBits)) continue;
            const bool proves = confirms(candidates_[c].check) && value.minutes * money_per_minute(economy_) <= most;
            const bool glance = gives_up && !confident_ && value.bits > kLeastBits && value.opens == 0 &&
                                value.minutes <= kGlanceMinutes && candidates_[c].wait_minutes <= 0.0;
            if (!proves && !glance) continue;
            if (!best || rate_of(c) > rate_of(*best)) best = c;
        }
        return best;
    }

    [[nodiscard]] CheckValue shown(std::size_t c) {
        const Candidate& candidate = candidates_[c];
        const StepValue& value = values_[c];
        CheckValue result;
        result.check = candidate.check;
        result.bits = value.bits;
        result.minutes = value.minutes;
        result.hands_minutes = candidate.needs.hands;
        result.wait_minutes = candidate.wait_minutes;
        result.waits = candidate.waits;
        result.cost_minutes = value.minutes + economy_.patience * candidate.wait_minutes;
        result.opens = area_ids(library_, value.opens);
        for (const std::size_t other : value.also) result.also.push_back(candidates_[other].check);
        result.saving = value.saving;
        result.repeat = candidate.repeat;
        result.outcomes = expected_outcomes(model_, belief_, candidate, ahead_.rows_as_found(candidate));
        return result;
    }

    void propose(std::size_t c) {
        decision_.action = Action::test;
        // A question that decides whether the test means anything comes first.
        if (const auto first = candidates_[c].ask_first) {
            const auto place = std::find_if(candidates_.begin(), candidates_.end(),
                                            [&](const Candidate& other) { return other.check == *first; });
            if (place != candidates_.end() && place->who <= job_.may) {
                const CheckIndex prepared = candidates_[c].check;
                chosen_ = static_cast<std::size_t>(place - candidates_.begin());
                decision_.test = shown(*chosen_);
                decision_.test->prepares = prepared;
                decision_.because = "The " + library_.checks[prepared].name +
                                    " is to be judged next, and means something only once this is known. " +
                                    why_test(model_, *decision_.test);
                return;
            }
        }
        chosen_ = look_before_opening(c).value_or(c);
        decision_.test = shown(*chosen_);
        decision_.because = why_test(model_, *decision_.test);
        if (*chosen_ == c) return;
        decision_.test->prepares = candidates_[c].check;
        decision_.because = "This comes before anything is opened. " + decision_.because;
    }

    /// Nobody opens an area before one of its first looks was read; the one that tells most for its cost.
    [[nodiscard]] std::optional<std::size_t> look_before_opening(std::size_t c) const {
        std::optional<std::size_t> best;
        for (const std::string& id : area_ids(library_, values_[c].opens)) {
            const std::vector<std::string>& looks = find_area(library_, id)->look_first;
            const auto is_first_look = [&](CheckIndex check) {
                return std::find(looks.begin(), looks.end(), library_.checks[check].id) != looks.end();
            };
            if (std::any_of(job_.done.begin(), job_.done.end(), is_first_look)) continue;
            for (std::size_t other = 0; other < candidates_.size(); ++other)
                if (usable_[other] && values_[other].opens == 0 && is_first_look(candidates_[other].check) &&
                    (!best || rate_of(other) > rate_of(*best)))
                    best = other;
        }
        return best;
    }

    /// What else may be wrong beside the repair that comes next; none when no repair does.
    [[nodiscard]] std::optional<SecondFaults> beside_the_repair() {
        const Ending& ending = endings_.front();
        if (ending.action != Action::repair || ending.repair == nullptr) return std::nullopt;
        for (std::size_t r = 0; r < belief_.remedies.size(); ++r)
            if (belief_.remedies[r].remedy->id == ending.repair->remedy)
                return SecondFaults(belief_, static_cast<RemedyIndex>(r), ahead_.costs_at(now_.open), job_.may,
                                    left_behind_money(economy_));
        return std::nullopt;
    }

    /// The fault is found; a look that costs less than the second visit it may save comes before the repair.
    [[nodiscard]] std::optional<std::size_t> look_for_second_fault() {
        const std::optional<SecondFaults> others = beside_the_repair();
        if (!others) return std::nullopt;
        std::vector<SecondLook> looks;
        for (std::size_t c = 0; c < candidates_.size(); ++c)
            if (usable_[c] && !candidates_[c].repeat)
                looks.push_back({c, ahead_.rows_as_found(candidates_[c]), values_[c].cost});
        return best_second_look(*others, looks, tuning_.about_equal * money_per_minute(economy_));
    }

    void tell_of_second_fault() {
        const RepairOption& repair = *endings_.front().repair;
        decision_.repair = repair;
        const Candidate& candidate = candidates_[*chosen_];
        decision_.because =
            why_second_look(model_, belief_, *beside_the_repair(), candidate, ahead_.rows_as_found(candidate), repair);
    }

    /// One way to end the call. Retiring stands for every fault that is not worth its repair.
    struct Ending {
        Action action = Action::repair;
        const RepairOption* repair = nullptr;
        double probability = 0.0;  ///< that it is right
        double leading = 0.0;      ///< the largest such probability of all endings
        double cost = 0.0;         ///< of trying it, when it is wrong
    };

    /// By probability over cost among those that are about as likely as the likeliest, so that a long shot
    /// never comes before a leader. Ensures: not empty.
    void list_endings(double nothing) {
        const double minute = money_per_minute(economy_);
        std::vector<Ending> all;
        const RepairOption* lost_cause = nullptr;
        for (const RepairOption& option : repairs_) {
            if (option.cost < economy_.worth)
                all.push_back({option.who > job_.may ? Action::refer : Action::repair, &option, option.probability, 0.0,
                               option.cost + (economy_.failed_repair_minutes + tuning_.call_back) * minute});
            else if (lost_cause == nullptr || option.probability > lost_cause->probability)
                lost_cause = &option;
        }
        // What is less likely than not to be a lost cause is no reason to give a unit up.
        if (lost_cause != nullptr && (hopeless_ > kLikelierThanNot || all.empty()))
            all.push_back({Action::retire, lost_cause, hopeless_, 0.0, economy_.worth + 1.0});
        if (nothing > 0.0)
            all.push_back({Action::finish, nullptr, nothing, 0.0, (kExplainMinutes + kSecondVisitMinutes) * minute});
        if (all.empty()) all.push_back({Action::refer, nullptr, 0.0, 0.0, 1.0});
        double leading = 0.0;
        for (const Ending& ending : all) leading = std::max(leading, ending.probability);
        for (Ending& ending : all) {
            ending.leading = leading;
            if (ending.probability >= tuning_.comparable * leading) endings_.push_back(ending);
        }
        std::stable_sort(endings_.begin(), endings_.end(), [](const Ending& a, const Ending& b) {
            return a.probability * b.cost > b.probability * a.cost;
        });
    }

    void stop(double nothing) {
        // The licensed test, when it is worth more than its referral and nobody else's test is left.
        if (!confident_) {
            std::size_t best = values_.size();
            for (std::size_t c = 0; c < values_.size(); ++c)
                if (!usable_[c] && values_[c].saving > economy_.refer_cost &&
                    (best == values_.size() || values_[c].saving > values_[best].saving))
                    best = c;
            if (best < values_.size()) {
                decision_.action = Action::refer;
                chosen_ = best;
                decision_.test = shown(best);
                if (endings_.front().repair != nullptr) decision_.repair = *endings_.front().repair;
                decision_.because = "The next useful test is work for a " +
                                    std::string(candidates_[best].who == Who::licensed ? "licensed refrigerant handler"
                                                                                       : "trained technician") +
                                    ": stop and hand the unit over with these readings. " +
                                    why_test(model_, *decision_.test);
                return;
            }
        }
        const Ending& ending = endings_.front();
        decision_.action = ending.action;
        if (ending.repair != nullptr) decision_.repair = *ending.repair;
        list_same_visit();
        decision_.because = why_stop(model_, decision_, economy_, nothing, hopeless_, confident_);
    }

    void list_same_visit() {
        const std::optional<SecondFaults> others = beside_the_repair();
        if (!others || danger_) return;
        const std::vector<double> probability = others->beside();
        for (const RemedyIndex remedy : others->worth_doing()) {
            const RemedyEntry& entry = belief_.remedies[static_cast<std::size_t>(remedy)];
            for (const RepairOption& option : repairs_) {
                if (option.remedy != entry.remedy->id) continue;
                decision_.same_visit.push_back(option);
                decision_.same_visit.back().probability = probability[static_cast<std::size_t>(remedy)];
            }
        }
    }

    void list_alternatives() {
        for (const std::size_t c : order_) {
            if (decision_.alternatives.size() >= kMostAlternatives) return;
            if (chosen_ && c == *chosen_) continue;
            decision_.alternatives.push_back(shown(c));
        }
    }

    /// A question about the unit comes before a test that tells less for its minutes, and before an ending
    /// that it could change.
    void ask_for_trait(const Case& the_case, const Findings& findings) {
        const AskTerms terms{economy_, access_, now_.open, tuning_, ahead_.price()};
        auto question = best_question(model_, the_case, findings, job_, belief_, terms);
        if (!question) return;
        if (decision_.action == Action::test &&
            question->bits * (decision_.test->cost_minutes + 1e-9) < decision_.test->bits * question->minutes)
            return;
        decision_.ask = std::move(question);
    }

    const UnitModel& model_;
    const Library& library_;
    const JobState& job_;
    const PlanOptions& options_;
    Tuning tuning_;
    Economy economy_;
    Belief belief_;
    AccessCosts access_;
    Access now_;
    double hopeless_ = 0.0;  ///< probability of faults that cost more than the unit is worth
    std::vector<Candidate> candidates_;
    LookAhead ahead_;
    std::vector<StepValue> values_;
    std::vector<bool> usable_;
    std::vector<std::size_t> order_;
    std::vector<RepairOption> repairs_;
    std::vector<Ending> endings_;
    std::optional<std::size_t> chosen_;
    bool confident_ = false;
    bool danger_ = false;
    Decision decision_;
};

}  // namespace

Decision decide(const UnitModel& model, const Case& the_case, const Findings& findings, const Posterior& posterior,
                const JobState& job, const PlanOptions& options) {
    return plan::decide_with(model, the_case, findings, posterior, job, options, Tuning{});
}

Decision plan::decide_with(const UnitModel& model, const Case& the_case, const Findings& findings,
                           const Posterior& posterior, const JobState& job, const PlanOptions& options,
                           const Tuning& tuning) {
    return Decider(model, the_case, findings, posterior, job, options, tuning).run(the_case, findings);
}

}  // namespace frostread
