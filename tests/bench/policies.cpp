#include <algorithm>

#include "bench/call_simulator.hpp"

/// The policies that are compared: who chooses what to do next, and when to stop.
namespace frostread::bench {

namespace {

using namespace plan;

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
    PlannerPolicy(std::string name, Tuning tuning, int look_ahead, bool asks)
        : name_(std::move(name)), tuning_(tuning), look_ahead_(look_ahead), asks_(asks) {}
    std::string name() const override { return name_; }
    Move next(const View& view) override {
        PlanOptions options = view.options;
        options.look_ahead = look_ahead_;
        const Decision decision =
            decide_with(view.model, view.the_case, view.findings, view.posterior, view.job, options, tuning_);
        if (asks_ && decision.ask) return {Move::Kind::ask, 0, "", decision.ask->trait};
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
    bool asks_;
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

}  // namespace

std::unique_ptr<Policy> planner_policy(std::string name, Tuning tuning, int look_ahead, bool asks) {
    return std::make_unique<PlannerPolicy>(std::move(name), tuning, look_ahead, asks);
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

}  // namespace frostread::bench
