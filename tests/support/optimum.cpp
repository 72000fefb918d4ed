#include "support/optimum.hpp"

#include <algorithm>
#include <unordered_map>

#include "plan/stop_cost.hpp"
#include "support/plan_library.hpp"

namespace frostread::test {

namespace {

using namespace plan;

constexpr double kNegligible = 1e-6;

/// Answers by check (0: not read), and which repairs were tried; bit `faults` stands for "declared sound".
struct Known {
    std::vector<std::uint8_t> answers;
    std::uint32_t tried = 0;
    [[nodiscard]] std::uint64_t key() const {
        std::uint64_t key = tried;
        for (const std::uint8_t a : answers) key = key * 5 + a;
        return key * 1024 + tried;
    }
};

class SmallJob {
public:
    SmallJob(const UnitModel& model, const PlanOptions& options, const Tuning& tuning)
        : model_(model),
          library_(model.compiled().library()),
          options_(options),
          tuning_(tuning),
          access_(library_, options.economy),
          minute_(money_per_minute(options.economy)) {
        faults_ = library_.faults.size();
        for (CheckIndex c = 0; c < library_.checks.size(); ++c) {
            areas_.push_back(area_mask(library_, library_.checks[c].areas));
            rows_.emplace_back();
            for (OutcomeIndex o = 0; o < library_.checks[c].outcomes.size(); ++o) {
                Case one;
                one.readings.push_back({});
                one.readings.back().check = library_.checks[c].id;
                one.readings.back().outcomes = {library_.checks[c].outcomes[o].id};
                const Finding finding = gather(model, one).items.front();
                std::vector<double> row;
                for (std::size_t h = 0; h <= faults_; ++h) row.push_back(likelihood(model, finding, set(h)));
                rows_.back().push_back(std::move(row));
            }
        }
        double total = 0.0;
        for (std::size_t h = 0; h <= faults_; ++h) total += prior_.emplace_back(prior_weight(model, set(h)));
        for (double& p : prior_) p /= total;
    }

    JobCosts run() {
        const Known nothing{std::vector<std::uint8_t>(library_.checks.size(), 0), 0};
        JobCosts costs;
        costs.optimum = best(nothing, prior_);
        costs.planner = planned(nothing, prior_, costs.decisions);
        for (std::size_t f = 0; f < faults_; ++f)
            costs.needed += prior_[f] * std::min(own(f, 0), options_.economy.worth);
        costs.needed += prior_[faults_] * kExplainMinutes * minute_;
        return costs;
    }

private:
    /// Hypothesis h: fault h alone, or nothing wrong.
    [[nodiscard]] FaultSet set(std::size_t h) const {
        FaultSet one;
        if (h == faults_) return one;
        one.kind = HypothesisKind::faults;
        one.size = 1;
        one.members[0] = static_cast<std::uint16_t>(model_.compiled().first_alternative(static_cast<FaultIndex>(h)));
        return one;
    }
    [[nodiscard]] AreaMask open(const Known& known) const {
        AreaMask mask = 0;
        for (std::size_t c = 0; c < known.answers.size(); ++c)
            if (known.answers[c] != 0) mask |= areas_[c];
        return mask;
    }
    [[nodiscard]] double own(std::size_t fault, AreaMask mask) const {
        return repair_money(library_.faults[fault].remedy, access_, library_, options_.economy, Who::technician, mask);
    }
    [[nodiscard]] double test_money(std::size_t check, AreaMask mask) const {
        StepNeeds needs;
        needs.areas = areas_[check];
        needs.hands = library_.checks[check].minutes;
        return minute_ * access_.cost(needs, {mask, Power::either}).minutes;
    }
    static double sum(const std::vector<double>& weights) {
        double total = 0.0;
        for (const double w : weights) total += w;
        return total;
    }

    /// Doing repair `h` (or declaring sound): money spent, and what is left when it did not help.
    double after_repair(const Known& known, const std::vector<double>& weights, std::size_t h, Known& next,
                        std::vector<double>& left) const {
        const double total = sum(weights), right = weights[h];
        next = known;
        next.tried |= 1U << h;
        left = weights;
        left[h] = 0.0;
        if (h == faults_) return minute_ * (kExplainMinutes * total + kSecondVisitMinutes * (total - right));
        return own(h, open(known)) * total + options_.economy.failed_repair_minutes * minute_ * (total - right);
    }

    double best(const Known& known, const std::vector<double>& weights) {
        const double total = sum(weights);
        double value = options_.economy.worth * total;  // giving up always ends it
        if (total < kNegligible) return value;
        if (const auto seen = memo_.find(known.key()); seen != memo_.end()) return seen->second;
        Known next;
        std::vector<double> left;
        for (std::size_t h = 0; h <= faults_; ++h) {
            if ((known.tried >> h) & 1U || weights[h] <= 0.0) continue;
            const double spent = after_repair(known, weights, h, next, left);
            if (spent < value) value = std::min(value, spent + best(next, left));
        }
        const AreaMask mask = open(known);
        for (std::size_t c = 0; c < rows_.size(); ++c) {
            if (known.answers[c] != 0) continue;
            double cost = test_money(c, mask) * total;
            for (std::size_t o = 0; o < rows_[c].size() && cost < value; ++o) {
                next = known;
                next.answers[c] = static_cast<std::uint8_t>(o + 1);
                left = weights;
                for (std::size_t h = 0; h < left.size(); ++h) left[h] *= rows_[c][o][h];
                cost += best(next, left);
            }
            value = std::min(value, cost);
        }
        memo_[known.key()] = value;
        return value;
    }

    double planned(const Known& known, const std::vector<double>& weights, std::size_t& decisions) {
        const double total = sum(weights);
        const double give_up = options_.economy.worth * total;
        if (total < kNegligible) return give_up;
        Case the_case;
        for (std::size_t c = 0; c < known.answers.size(); ++c) {
            if (known.answers[c] == 0) continue;
            the_case.readings.push_back({});
            the_case.readings.back().check = library_.checks[c].id;
            the_case.readings.back().outcomes = {library_.checks[c].outcomes[known.answers[c] - 1U].id};
        }
        const Findings findings = gather(model_, the_case);
        JobState job = job_state(model_, the_case);
        job.open_areas = area_ids(library_, open(known));
        job.skipped = job.done;  // measuring again is not part of the comparison
        for (std::size_t h = 0; h <= faults_; ++h)
            if ((known.tried >> h) & 1U)
                job.tried.push_back(h == faults_ ? std::string(kNothingWrongTried) : library_.faults[h].remedy.id);
        ++decisions;
        const Decision decision =
            decide_with(model_, the_case, findings, infer(model_, findings), job, options_, tuning_);
        if (decision.action == Action::test) {
            const std::size_t c = decision.test->check;
            double cost = test_money(c, open(known)) * total;
            for (std::size_t o = 0; o < rows_[c].size(); ++o) {
                Known next = known;
                next.answers[c] = static_cast<std::uint8_t>(o + 1);
                std::vector<double> left = weights;
                for (std::size_t h = 0; h < left.size(); ++h) left[h] *= rows_[c][o][h];
                cost += planned(next, left, decisions);
            }
            return cost;
        }
        std::size_t h = faults_ + 1;
        if (decision.action == Action::finish) h = faults_;
        if (decision.action == Action::repair)
            for (std::size_t f = 0; f < faults_; ++f)
                if (library_.faults[f].remedy.id == decision.repair->remedy) h = f;
        if (h > faults_ || (known.tried >> h) & 1U) return give_up;
        Known next;
        std::vector<double> left;
        const double spent = after_repair(known, weights, h, next, left);
        return spent + planned(next, left, decisions);
    }

    const UnitModel& model_;
    const Library& library_;
    const PlanOptions& options_;
    const Tuning& tuning_;
    AccessCosts access_;
    double minute_;
    std::size_t faults_ = 0;
    std::vector<AreaMask> areas_;
    std::vector<std::vector<std::vector<double>>> rows_;  ///< check, answer, hypothesis
    std::vector<double> prior_;
    std::unordered_map<std::uint64_t, double> memo_;
};

}  // namespace

JobCosts job_costs(const UnitModel& model, const PlanOptions& options, const Tuning& tuning) {
    return SmallJob(model, options, tuning).run();
}

Library small_library(std::uint64_t seed, std::size_t faults, std::size_t checks) {
    std::mt19937_64 random(seed);
    PlanLibraryShape shape;
    shape.base.faults = faults;
    shape.base.checks = checks;
    shape.base.grades = shape.base.gauges = shape.base.several = shape.base.decides = false;
    shape.shared_remedy = 0.0;
    Library library = plan_library(random, shape);
    library.second_fault = library.something_else = 0.0;
    for (Check& check : library.checks) check.power = Power::either;
    for (Area& area : library.areas) area.power = Power::either;
    return library;
}

}  // namespace frostread::test
