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

Economy economy_of(const View& view) {
    Economy economy = view.options.economy;
    if (const auto worth = view.the_case.unit.numbers.find("worth"); worth != view.the_case.unit.numbers.end())
        economy.worth = worth->second;
    return economy;
}

/// The planner's own view of a call, for the policies that use one figure of it.
struct Workbench {
    Economy economy;
    Belief belief;
    AccessCosts access;
    Access now;
    double hopeless;
    std::vector<Candidate> candidates;
    explicit Workbench(const View& view, bool rows = true)
        : economy(economy_of(view)),
          belief(make_belief(view.model, view.posterior, view.job.tried)),
          access(view.model.compiled().library(), economy),
          now{area_mask(view.model.compiled().library(), view.job.open_areas), view.job.power},
          hopeless(mark_hopeless(
              belief, repair_costs(belief, access, view.model.compiled().library(), economy, view.job.may, now.open))),
          candidates(rows ? list_candidates(view.model, view.the_case, view.findings, belief, view.job)
                          : std::vector<Candidate>{}) {}
};

struct BestRepair {
    Move move;
    double probability = 0.0;
};

/// The most likely remedy or "nothing wrong"; retire when it costs what the unit is worth.
BestRepair most_likely(const View& view, const Workbench& bench) {
    BestRepair best;
    const Library& library = view.model.compiled().library();
    double nothing = 0.0;
    for (const Group& group : bench.belief.groups)
        if (group.kind == HypothesisKind::nothing_wrong)
            for (std::size_t i = group.first; i < group.last; ++i) nothing += bench.belief.weight[i];
    best = {{Move::Kind::declare_sound, 0, ""}, nothing};
    if (bench.hopeless >= nothing) best = {{Move::Kind::retire, 0, ""}, bench.hopeless};
    for (const RemedyEntry& entry : bench.belief.remedies) {
        if (entry.probability <= best.probability) continue;
        const double cost =
            repair_money(*entry.remedy, bench.access, library, bench.economy, view.job.may, bench.now.open);
        if (cost < bench.economy.worth) best = {{Move::Kind::repair, 0, entry.remedy->id}, entry.probability};
    }
    return best;
}

/// Stop by confidence, ask by `choose(bench)`, which gives a check or none.
template <class Choose>
Move until_confident(const View& view, bool rows, Choose choose) {
    const Workbench bench(view, rows);
    const BestRepair best = most_likely(view, bench);
    if (best.probability >= bench.economy.confidence) return best.move;
    const std::optional<CheckIndex> chosen = choose(bench);
    if (!chosen) return best.move;
    return {Move::Kind::test, *chosen, ""};
}

class PlannerPolicy : public Policy {
public:
    PlannerPolicy(std::string name, Tuning tuning, int look_ahead)
        : name_(std::move(name)), tuning_(tuning), look_ahead_(look_ahead) {}
    std::string name() const override { return name_; }
    Move next(const View& view) override {
        PlanOptions options = view.options;
        options.look_ahead = look_ahead_;
        const Decision decision =
            decide_with(view.model, view.the_case, view.findings, view.posterior, view.job, options, tuning_);
        switch (decision.action) {
            case Action::test:
                return {Move::Kind::test, decision.test->check, ""};
            case Action::finish:
                return {Move::Kind::declare_sound, 0, ""};
            case Action::retire:
                return {Move::Kind::retire, 0, ""};
            case Action::repair:
            case Action::refer:
                break;
        }
        if (!decision.repair) return {Move::Kind::retire, 0, ""};
        return {Move::Kind::repair, 0, decision.repair->remedy};
    }

private:
    std::string name_;
    Tuning tuning_;
    int look_ahead_;
};

class BitsPolicy : public Policy {
public:
    std::string name() const override { return "bits per cost, one step"; }
    Move next(const View& view) override {
        return until_confident(view, true, [&](const Workbench& bench) -> std::optional<CheckIndex> {
            std::optional<CheckIndex> best;
            double best_rate = 0.0;
            for (std::size_t c = 0; c < bench.candidates.size(); ++c) {
                const Candidate& candidate = bench.candidates[c];
                if (candidate.who > view.job.may) continue;
                const double bits = expected_bits(bench.belief, bench.belief.weight, candidate.rows);
                const double cost = bench.access.cost(candidate.needs, bench.now).minutes +
                                    bench.economy.patience * candidate.wait_minutes;
                if (bits > 5e-3 && bits / cost > best_rate) {
                    best_rate = bits / cost;
                    best = candidate.check;
                }
            }
            return best;
        });
    }
};

class RepairCostPolicy : public Policy {
public:
    std::string name() const override { return "expected cost of repair, one step"; }
    Move next(const View& view) override {
        const Workbench bench(view);
        Tuning tuning;
        tuning.caution = 1.0;
        tuning.overlap = 1e9;
        LookAhead ahead(view.model, view.findings, bench.belief, bench.candidates, bench.access, bench.economy,
                        view.job.may, tuning);
        const std::vector<StepValue> values = ahead.one_step(bench.now);
        std::optional<std::size_t> best;
        double best_rate = 0.0;
        for (std::size_t c = 0; c < values.size(); ++c) {
            if (bench.candidates[c].who > view.job.may) continue;
            const double rate = values[c].saving / (values[c].cost + 1e-9);
            if (rate > best_rate) {
                best_rate = rate;
                best = c;
            }
        }
        if (best) return {Move::Kind::test, bench.candidates[*best].check, ""};
        // Repairs by probability over cost.
        const Library& library = view.model.compiled().library();
        BestRepair leader = most_likely(view, bench);
        const double failed = bench.economy.failed_repair_minutes * money_per_minute(bench.economy);
        double best_ratio = 0.0;
        for (const RemedyEntry& entry : bench.belief.remedies) {
            const double cost =
                repair_money(*entry.remedy, bench.access, library, bench.economy, view.job.may, bench.now.open);
            if (cost >= bench.economy.worth || entry.probability < 0.25 * leader.probability) continue;
            if (entry.probability / (cost + failed) > best_ratio) {
                best_ratio = entry.probability / (cost + failed);
                if (leader.move.kind != Move::Kind::declare_sound)
                    leader.move = {Move::Kind::repair, 0, entry.remedy->id};
            }
        }
        return leader.move;
    }
};

/// Whether the person can do this check now, and it is not a repetition.
bool can_do(const View& view, const Belief& small, CheckIndex check) {
    if (std::find(view.job.done.begin(), view.job.done.end(), check) != view.job.done.end()) return false;
    if (!view.model.exists(check)) return false;
    const auto found = list_candidates(view.model, view.the_case, view.findings, small, view.job, check);
    return !found.empty() && found.front().who <= view.job.may;
}

class FixedPolicy : public Policy {
public:
    explicit FixedPolicy(std::vector<std::string> order) : order_(std::move(order)) {}
    std::string name() const override { return "fixed walk-round"; }
    Move next(const View& view) override {
        return until_confident(view, false, [&](const Workbench&) -> std::optional<CheckIndex> {
            const Belief small = make_belief(view.model, view.posterior, view.job.tried, 2);
            for (const std::string& id : order_)
                if (const auto check = view.model.compiled().check_index(id); check && can_do(view, small, *check))
                    return check;
            return std::nullopt;
        });
    }

private:
    std::vector<std::string> order_;
};

class RandomPolicy : public Policy {
public:
    std::string name() const override { return "random"; }
    Move next(const View& view) override {
        return until_confident(view, false, [&](const Workbench&) -> std::optional<CheckIndex> {
            const Belief small = make_belief(view.model, view.posterior, view.job.tried, 2);
            std::vector<double> weights(view.model.compiled().check_count(), 1.0);
            for (std::size_t left = weights.size(); left > 0; --left) {
                const std::size_t check = view.random.pick(weights);
                if (can_do(view, small, static_cast<CheckIndex>(check))) return static_cast<CheckIndex>(check);
                weights[check] = 0.0;
            }
            return std::nullopt;
        });
    }
};

class RepairAtOncePolicy : public Policy {
public:
    std::string name() const override { return "no test, likeliest repair first"; }
    Move next(const View& view) override { return most_likely(view, Workbench(view, false)).move; }
};

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
            if (move.kind != Move::Kind::test) {
                tell_belief(posterior);
                if (!tried_any_) result_.claimed = claim(move, posterior);
            }
            switch (move.kind) {
                case Move::Kind::test:
                    ++tests;
                    test(move.check, findings, posterior, job);
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

    const UnitModel& belief_;
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

std::unique_ptr<Policy> planner_policy(std::string name, Tuning tuning, int look_ahead) {
    return std::make_unique<PlannerPolicy>(std::move(name), tuning, look_ahead);
}
std::unique_ptr<Policy> bits_policy() {
    return std::make_unique<BitsPolicy>();
}
std::unique_ptr<Policy> repair_cost_policy() {
    return std::make_unique<RepairCostPolicy>();
}
std::unique_ptr<Policy> fixed_policy(std::vector<std::string> order) {
    return std::make_unique<FixedPolicy>(std::move(order));
}
std::unique_ptr<Policy> random_policy() {
    return std::make_unique<RandomPolicy>();
}
std::unique_ptr<Policy> repair_at_once_policy() {
    return std::make_unique<RepairAtOncePolicy>();
}

CallResult play(const UnitModel& belief, const UnitModel& truth, const Call& call, Policy& policy,
                const PlanOptions& options, const std::vector<CheckIndex>& begin) {
    return Play(belief, truth, call, options).run(policy, begin);
}

}  // namespace frostread::bench
