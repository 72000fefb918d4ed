#include "bench/call_simulator.hpp"

#include <algorithm>
#include <bit>
#include <map>

#include "plan/second_fault.hpp"

namespace frostread::bench {

namespace {

using namespace plan;

constexpr int kMostTests = 200;
constexpr int kMostRepairs = 12;

/// State of the made-up unit and the books of one call.
class Play {
public:
    Play(const UnitModel& belief, const UnitModel& truth, const Call& call, const PlanOptions& options)
        : belief_(belief),
          truth_(truth),
          call_(call),
          options_(options),
          library_(belief.compiled().library()),
          left_(call.hidden),
          random_(mixed_seed(call.seed, 7)) {
        the_case_.unit = belief.unit();
        economy_ = options.economy;
        if (const auto worth = the_case_.unit.numbers.find("worth"); worth != the_case_.unit.numbers.end())
            economy_.worth = worth->second;
        minute_ = money_per_minute(economy_);
        access_.emplace(library_, economy_);
    }

    CallResult run(Policy& policy, const std::vector<CheckIndex>& begin) {
        result_.story = "hidden " + name_of(call_.hidden) + ":";
        for (const CheckIndex check : begin) read(check, {});
        int tests = 0, repairs = 0;
        while (true) {
            const Findings findings = gather(belief_, the_case_);
            const Posterior posterior = infer(belief_, findings);
            JobState job = job_state(belief_, the_case_);
            job.open_areas = area_ids(library_, now_.open);
            job.power = now_.power;
            job.tried = tried_;
            Move move = policy.next({belief_, the_case_, findings, posterior, job, options_, random_});
            if (tests >= kMostTests && move.kind == Move::Kind::test) move.kind = Move::Kind::retire;
            if (repairs >= kMostRepairs) move.kind = Move::Kind::retire;
            bool over = false;
            if (move.kind == Move::Kind::ask) {
                ask(move.trait);
                continue;
            }
            if (move.kind != Move::Kind::test) {
                tell_belief(posterior);
                if (!tried_any_) result_.claimed = claim(move, posterior);
            }
            switch (move.kind) {
                case Move::Kind::test:
                    ++tests;
                    test(move.check, findings, posterior, job);
                    break;
                case Move::Kind::ask:
                    break;
                case Move::Kind::repair:
                    ++repairs;
                    over = repair(move.remedy, same_visit(move.remedy, posterior));
                    break;
                case Move::Kind::declare_sound:
                    ++repairs;
                    over = declare_sound();
                    break;
                case Move::Kind::retire:
                    over = retire();
                    break;
            }
            if (over) break;
        }
        result_.beyond = spent_ - needed();
        return result_;
    }

private:
    [[nodiscard]] double money(const Remedy& remedy) const {
        return repair_money(remedy, *access_, library_, economy_, Who::technician, now_.open);
    }
    /// The right repairs from a shut unit, or giving it up when that is cheaper.
    [[nodiscard]] double needed() const { return needed(call_.hidden); }
    [[nodiscard]] double needed(const FaultSet& set) const {
        if (set.kind == HypothesisKind::something_else) return economy_.worth;
        if (set.kind == HypothesisKind::nothing_wrong) return kExplainMinutes * minute_;
        double sum = 0.0;
        std::vector<std::string> counted;
        for (std::size_t m = 0; m < set.size; ++m) {
            const Remedy& remedy = library_.faults[belief_.compiled().alternative(set.members[m]).fault].remedy;
            if (std::find(counted.begin(), counted.end(), remedy.id) != counted.end()) continue;
            counted.push_back(remedy.id);
            sum += repair_money(remedy, *access_, library_, economy_, Who::technician, 0);
        }
        return std::min(sum, economy_.worth);
    }

    /// Probability, by the belief, that the first move is right.
    [[nodiscard]] double claim(const Move& move, const Posterior& posterior) const {
        double sum = 0.0, all = 0.0;
        for (const WeightedSet& item : posterior.sets) {
            all += item.probability;
            if (right_for(move, item.set)) sum += item.probability;
        }
        return all > 0.0 ? sum / all : 0.0;
    }
    [[nodiscard]] bool right_for(const Move& move, const FaultSet& set) const {
        if (move.kind == Move::Kind::declare_sound) return set.kind == HypothesisKind::nothing_wrong;
        if (move.kind == Move::Kind::retire) return needed(set) >= economy_.worth;
        for (std::size_t m = 0; m < set.size; ++m) {
            const Remedy& remedy = library_.faults[belief_.compiled().alternative(set.members[m]).fault].remedy;
            if (remedy.id == move.remedy && money(remedy) < economy_.worth) return true;
        }
        return false;
    }

    void read(CheckIndex check, const std::map<std::string, bool>& after) {
        SimRandom random(
            mixed_seed(call_.seed, 1000 + 97 * static_cast<std::uint64_t>(times_[check]++) * 1000 + check));
        the_case_.readings.push_back(draw_reading(truth_, the_case_, check, left_, random, after).reading);
    }

    void test(CheckIndex check, const Findings& findings, const Posterior& posterior, const JobState& job) {
        const Belief small = make_belief(belief_, posterior, tried_, 2);
        std::map<std::string, bool> after;
        for (const Candidate& candidate : list_candidates(belief_, the_case_, findings, small, job, check)) {
            const StepCost step = access_->cost(candidate.needs, now_);
            result_.minutes += step.minutes;
            result_.wait_minutes += candidate.wait_minutes;
            result_.panels += std::popcount(candidate.needs.areas & ~now_.open);
            const double money = minute_ * (step.minutes + economy_.patience * candidate.wait_minutes);
            spent_ += money;
            result_.tests_money += money;
            now_ = step.after;
            for (const std::string& id : candidate.holds) after[id] = true;
        }
        result_.tests += 1.0;
        read(check, after);
        const Reading& reading = the_case_.readings.back();
        result_.story += " " + reading.check + "=" +
                         (reading.value ? std::to_string(*reading.value).substr(0, 5) : reading.outcomes.front());
    }

    void ask(const std::string& id) {
        const Trait* trait = find_trait(library_, id);
        const UnitTraits& unit = truth_.unit();
        if (const auto word = unit.words.find(id); word != unit.words.end()) the_case_.unit.words[id] = word->second;
        if (const auto number = unit.numbers.find(id); number != unit.numbers.end())
            the_case_.unit.numbers[id] = number->second;
        belief_ = fit_to_unit(belief_.shared_library(), the_case_.unit);
        result_.asked += 1.0;
        result_.minutes += trait->minutes;
        result_.tests_money += trait->minutes * minute_;
        spent_ += trait->minutes * minute_;
        result_.story += " ask " + id;
    }

    void first(bool right) {
        if (!tried_any_) result_.right_first = right;
        tried_any_ = true;
    }

    void tell_belief(const Posterior& posterior) {
        result_.story += "\n   ";
        for (std::size_t i = 0; i < posterior.sets.size() && i < 3; ++i)
            result_.story += " [" + name_of(posterior.sets[i].set) + " " +
                             std::to_string(posterior.sets[i].probability).substr(0, 4) + "]";
    }
    [[nodiscard]] std::string name_of(const FaultSet& set) const {
        if (set.kind == HypothesisKind::nothing_wrong) return "nothing-wrong";
        if (set.kind == HypothesisKind::something_else) return "something-else";
        std::string text;
        for (std::size_t m = 0; m < set.size; ++m) {
            const Alternative& alternative = belief_.compiled().alternative(set.members[m]);
            const Fault& fault = library_.faults[alternative.fault];
            text += (m > 0 ? "+" : "") + fault.id;
            if (!fault.grades.empty()) text += ":" + fault.grades[alternative.grade].id;
        }
        return text;
    }

    /// What every policy does on the same visit as a repair, by the planner's own sums.
    [[nodiscard]] std::vector<std::string> same_visit(const std::string& first, const Posterior& posterior) const {
        const Belief belief = make_belief(belief_, posterior, tried_);
        const RepairCosts costs = repair_costs(belief, *access_, library_, economy_, Who::technician, now_.open);
        std::vector<std::string> found;
        for (std::size_t r = 0; r < belief.remedies.size(); ++r) {
            if (belief.remedies[r].remedy->id != first) continue;
            const SecondFaults others(belief, static_cast<RemedyIndex>(r), costs, Who::technician,
                                      left_behind_money(economy_));
            for (const RemedyIndex other : others.worth_doing())
                found.push_back(belief.remedies[static_cast<std::size_t>(other)].remedy->id);
        }
        return found;
    }

    /// One visit: the repair, and those beside it. What is left of two faults after a repair that helped shows only
    /// when the owner calls again.
    bool repair(const std::string& id, const std::vector<std::string>& beside) {
        const std::size_t before = left_.size;
        if (one_repair(id)) return true;
        for (const std::string& other : beside) {
            if (left_.size == before) break;  // the first did not help: that is seen before the next is begun
            if (one_repair(other)) return true;
        }
        if (left_.size < before) {
            result_.left_behind += 1.0;
            result_.minutes += kSecondVisitMinutes;
            result_.wait_minutes += kProofWaitMinutes;
            spent_ += left_behind_money(economy_);
        }
        return false;
    }

    /// Whether the unit is sound after it.
    bool one_repair(const std::string& id) {
        result_.story += " REPAIR " + id;
        tried_.push_back(id);
        const Remedy* done = nullptr;
        for (const Fault& fault : library_.faults)
            if (fault.remedy.id == id) done = &fault.remedy;
        FaultSet after = left_;
        after.size = 0;
        for (std::size_t m = 0; m < left_.size; ++m) {
            const Fault& fault = library_.faults[belief_.compiled().alternative(left_.members[m]).fault];
            if (fault.remedy.id != id) after.members[after.size++] = left_.members[m];
        }
        const bool cures = after.size < left_.size;
        spent_ += money(*done);
        first(cures && money(*done) < economy_.worth);
        left_ = after;
        if (!cures) {
            result_.wrong_repairs += 1.0;
            result_.minutes += done->minutes + economy_.failed_repair_minutes;
            result_.wrong_money += money(*done) + economy_.failed_repair_minutes * minute_;
        }
        if (!cures) spent_ += economy_.failed_repair_minutes * minute_;
        return cures && left_.size == 0;
    }

    bool declare_sound() {
        result_.story += " SOUND";
        const bool right = call_.hidden.kind == HypothesisKind::nothing_wrong;
        spent_ += kExplainMinutes * minute_;
        first(right);
        if (right) return true;
        result_.wrong_repairs += 1.0;
        result_.minutes += kSecondVisitMinutes;
        spent_ += kSecondVisitMinutes * minute_;
        result_.wrong_money += (kExplainMinutes + kSecondVisitMinutes) * minute_;
        tried_.emplace_back(kNothingWrongTried);
        return false;
    }

    bool retire() {
        result_.story += " RETIRE";
        first(needed() >= economy_.worth);
        spent_ += economy_.worth;
        return true;
    }

    UnitModel belief_;
    const UnitModel& truth_;
    const Call& call_;
    const PlanOptions& options_;
    const Library& library_;
    Economy economy_;
    double minute_ = 1.0;
    std::optional<AccessCosts> access_;
    FaultSet left_;
    SimRandom random_;
    Case the_case_;
    Access now_;
    std::vector<std::string> tried_;
    std::map<CheckIndex, int> times_;
    bool tried_any_ = false;
    double spent_ = 0.0;
    CallResult result_;
};

}  // namespace

CallResult play(const UnitModel& belief, const UnitModel& truth, const Call& call, Policy& policy,
                const PlanOptions& options, const std::vector<CheckIndex>& begin) {
    return Play(belief, truth, call, options).run(policy, begin);
}

}  // namespace frostread::bench
