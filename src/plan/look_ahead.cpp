#include "plan/look_ahead.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "plan/likelihood_rows.hpp"

namespace frostread::plan {

namespace {

constexpr double kLeastBits = 1e-4;
constexpr double kRare = 5e-3;  ///< answers below this probability are not followed further

/// log2 to about 1e-4, for the many leaves of the look-ahead; the bits that are shown use std::log2.
double fast_log2(double x) {
    int exponent = 0;
    const double m = std::frexp(x, &exponent) * 2.0 - 1.0;  // in [0, 1)
    // Minimax-like polynomial of log2(1 + m), error below 1e-4.
    const double p = m * (1.4415 + m * (-0.7093 + m * (0.4163 + m * (-0.1934 + m * 0.0449))));
    return static_cast<double>(exponent - 1) + p;
}

double fast_entropy(std::span<const double> masses, double total) {
    double sum = 0.0;
    for (const double mass : masses)
        if (mass > 1e-9 * total) sum += mass * fast_log2(mass / total);
    return std::max(0.0, -sum / total);
}

}  // namespace

LookAhead::LookAhead(const UnitModel& model, const Findings& findings, const Belief& belief,
                     const std::vector<Candidate>& candidates, const AccessCosts& access, const Economy& economy,
                     Who may, const Tuning& tuning)
    : model_(model),
      belief_(belief),
      candidates_(candidates),
      access_(access),
      economy_(economy),
      may_(may),
      tuning_(tuning),
      stop_(belief) {
    LikelihoodRows likelihoods(model);
    finding_rows_.resize(findings.items.size());
    for (const Candidate& candidate : candidates)
        for (const std::size_t f : candidate.drops) {
            if (f >= 64 || !finding_rows_[f].empty()) continue;
            finding_rows_[f].resize(belief.sets.size());
            likelihoods(findings.items[f], belief.sets, finding_rows_[f]);
        }
}

const RepairCosts& LookAhead::costs_at(AreaMask open) {
    const auto found = costs_.find(open);
    if (found != costs_.end()) return found->second;
    return costs_.emplace(open, repair_costs(belief_, access_, model_.compiled().library(), economy_, may_, open))
        .first->second;
}

std::uint64_t LookAhead::drops_of(const Candidate& candidate) const {
    std::uint64_t mask = 0;
    for (const std::size_t f : candidate.drops)
        if (f < 64) mask |= std::uint64_t{1} << f;
    return mask;
}

void LookAhead::take_out(std::uint64_t findings, std::vector<double>& weights) const {
    if (findings == 0) return;
    double total = 0.0;
    for (std::size_t f = 0; f < finding_rows_.size() && f < 64; ++f) {
        if (!((findings >> f) & 1U)) continue;
        for (std::size_t i = 0; i < weights.size(); ++i) weights[i] /= std::max(finding_rows_[f][i], 1e-12);
    }
    for (const double w : weights) total += w;
    for (double& w : weights) w /= total;
}

std::vector<double> LookAhead::weights_before(const Candidate& candidate) const {
    std::vector<double> weights = belief_.weight;
    take_out(drops_of(candidate), weights);
    return weights;
}

double LookAhead::cost_of(const Candidate& candidate, const Access& now, Access& after, double& minutes) const {
    const StepCost step = access_.cost(candidate.needs, now);
    after = step.after;
    minutes = step.minutes;
    return money_per_minute(economy_) * (step.minutes + economy_.patience * candidate.wait_minutes);
}

double LookAhead::leaf(const RepairCosts& costs) {
    double total = 0.0;
    for (const double mass : masses_) total += mass;
    if (!(total > 0.0)) return 0.0;
    const StopCost stop = stop_(masses_, costs, tuning_.caution);
    class_masses(belief_, masses_, classes_);
    const double testing = money_per_bit_ * fast_entropy(classes_, total) * total;
    return stop.needed + std::min(stop.wasted, testing);
}

double LookAhead::expected_after(const State& state, const Candidate& candidate, const RepairCosts& costs) {
    double sum = 0.0, mass = 0.0;
    const AnswerRows& rows = candidate.look_ahead_rows();
    for (std::size_t a = 0; a < rows.answers; ++a) {
        mass += group_masses(belief_, state.weights, rows.row(a), masses_);
        sum += leaf(costs);
    }
    return mass > 0.0 ? sum / mass : 0.0;
}

StopCost LookAhead::stop_now(const Access& now) {
    group_masses(belief_, belief_.weight, masses_);
    return stop_(masses_, costs_at(now.open), tuning_.caution);
}

std::vector<StepValue> LookAhead::one_step(const Access& now) {
    std::vector<StepValue> values(candidates_.size());
    double cheapest_bit = std::numeric_limits<double>::infinity();
    for (std::size_t c = 0; c < candidates_.size(); ++c) {
        const Candidate& candidate = candidates_[c];
        StepValue& value = values[c];
        value.candidate = c;
        Access after;
        value.cost = cost_of(candidate, now, after, value.minutes);
        value.opens = candidate.needs.areas & ~now.open;
        const std::vector<double> weights = weights_before(candidate);
        value.bits = expected_bits(belief_, weights, candidate.rows);
        // A panel is shared by what lies behind it: the price of a bit there is that of the best few together.
        if (candidate.who <= may_ && value.bits > kLeastBits)
            cheapest_bit = std::min(cheapest_bit, value.cost / value.bits);
    }
    money_per_bit_ = std::isfinite(cheapest_bit) ? tuning_.later_tests * cheapest_bit : 1e12;

    for (std::size_t c = 0; c < candidates_.size(); ++c) {
        State state{weights_before(candidates_[c]), drops_of(candidates_[c]), now};
        group_masses(belief_, state.weights, masses_);
        const double stop = stop_(masses_, costs_at(now.open), tuning_.caution).total();
        const double after = expected_after(state, candidates_[c], costs_at(now.open | candidates_[c].needs.areas));
        values[c].saving = stop - after - values[c].cost;
    }
    return values;
}

double LookAhead::best_second(const State& state, std::size_t first, const std::vector<bool>& usable,
                              const std::vector<double>& shortlist) {
    group_masses(belief_, state.weights, masses_);
    double total = 0.0;
    for (const double mass : masses_) total += mass;
    if (total < 1e-9) return 0.0;
    double best = leaf(costs_at(state.access.open)) / total;
    if (total < kRare) return best * total;
    State next = state;
    for (std::size_t c = 0; c < candidates_.size(); ++c) {
        if (c == first || !usable[c] || shortlist[c] <= 0.0) continue;
        Access after;
        double minutes = 0.0;
        const double cost = cost_of(candidates_[c], state.access, after, minutes);
        if (cost >= best) continue;
        const std::uint64_t extra = drops_of(candidates_[c]) & ~state.dropped;
        double value = 0.0;
        if (extra == 0) {
            value = cost + expected_after(state, candidates_[c], costs_at(after.open));
        } else {
            next.weights = state.weights;
            take_out(extra, next.weights);
            group_masses(belief_, next.weights, masses_);
            const RepairCosts& costs = costs_at(state.access.open);
            const double before = leaf(costs);  // weights are normalised here
            value = best - before + cost + expected_after(next, candidates_[c], costs_at(after.open));
        }
        best = std::min(best, value);
    }
    return best * total;
}

void LookAhead::two_steps(const Access& now, const std::vector<bool>& usable, std::vector<StepValue>& values) {
    std::vector<std::size_t> firsts;
    const auto add_best = [&](auto score, std::size_t count) {
        std::vector<std::size_t> order(values.size());
        std::iota(order.begin(), order.end(), std::size_t{0});
        std::stable_sort(order.begin(), order.end(),
                         [&](std::size_t a, std::size_t b) { return score(values[a]) > score(values[b]); });
        for (const std::size_t c : order) {
            if (count == 0) return;
            if (!usable[c] || values[c].bits <= kLeastBits) continue;
            --count;
            if (std::find(firsts.begin(), firsts.end(), c) == firsts.end()) firsts.push_back(c);
        }
    };
    add_best([](const StepValue& v) { return v.saving; }, tuning_.firsts);
    add_best([](const StepValue& v) { return v.bits / (v.cost + 1e-9); }, tuning_.firsts / 2);
    add_best([](const StepValue& v) { return v.opens == 0 ? -1.0 : v.bits; }, 2);

    std::vector<double> shortlist(values.size(), 0.0);
    const auto keep = [&](auto score, std::size_t count) {
        std::vector<std::size_t> order;
        for (std::size_t c = 0; c < values.size(); ++c)
            if (usable[c] && values[c].bits > kLeastBits) order.push_back(c);
        std::stable_sort(order.begin(), order.end(),
                         [&](std::size_t a, std::size_t b) { return score(values[a]) > score(values[b]); });
        for (std::size_t k = 0; k < std::min(count, order.size()); ++k) shortlist[order[k]] = 1.0;
    };
    keep([](const StepValue& v) { return v.saving; }, tuning_.seconds);
    keep([](const StepValue& v) { return v.bits / (v.cost + 1e-9); }, tuning_.seconds / 2);
    keep([](const StepValue& v) { return v.opens == 0 ? -1.0 : v.bits; }, tuning_.seconds / 2);

    State root{belief_.weight, 0, now};
    for (const std::size_t first : firsts) {
        const Candidate& candidate = candidates_[first];
        State state{weights_before(candidate), drops_of(candidate), now};
        group_masses(belief_, state.weights, masses_);
        const double stop = stop_(masses_, costs_at(now.open), tuning_.caution).total();
        Access after;
        double minutes = 0.0;
        const double cost = cost_of(candidate, now, after, minutes);
        const AnswerRows& rows = candidate.look_ahead_rows();
        State next = state;
        next.access = after;
        double sum = 0.0, mass = 0.0;
        for (std::size_t a = 0; a < rows.answers; ++a) {
            double total = 0.0;
            for (std::size_t i = 0; i < state.weights.size(); ++i) {
                next.weights[i] = state.weights[i] * rows.row(a)[i];
                total += next.weights[i];
            }
            mass += total;
            sum += best_second(next, first, usable, shortlist);
        }
        if (mass > 0.0) values[first].saving = std::max(values[first].saving, stop - sum / mass - cost);
        if (values[first].opens != 0) value_block(root, first, usable, stop, values[first]);
    }
}

/// Greedy prefix behind a closed panel: the first test, then the one inside that adds most beyond its own
/// cost, and so on; valued as if all were done whatever the earlier answers.
void LookAhead::value_block(const State& root, std::size_t first, const std::vector<bool>& usable, double stop,
                            StepValue& value) {
    State base = root;
    const Candidate& opener = candidates_[first];
    base.dropped = drops_of(opener);
    base.weights = weights_before(opener);
    Access access;
    double minutes = 0.0;
    double spent = cost_of(opener, root.access, access, minutes);
    std::vector<std::vector<double>> leaves;
    const auto split = [](const std::vector<std::vector<double>>& from, const AnswerRows& rows) {
        std::vector<std::vector<double>> to;
        for (const auto& weights : from)
            for (std::size_t a = 0; a < rows.answers; ++a) {
                std::vector<double> w(weights.size());
                double total = 0.0;
                for (std::size_t i = 0; i < w.size(); ++i) total += w[i] = weights[i] * rows.row(a)[i];
                if (total > 1e-4) to.push_back(std::move(w));
            }
        return to;
    };
    leaves = split({base.weights}, opener.look_ahead_rows());
    double before = 0.0;
    for (const auto& weights : leaves) {
        group_masses(belief_, weights, masses_);
        before += leaf(costs_at(access.open));
    }
    std::vector<bool> taken(candidates_.size(), false);
    taken[first] = true;
    for (std::size_t depth = 1; depth < tuning_.block; ++depth) {
        double best = before;
        std::size_t chosen = candidates_.size();
        double chosen_cost = 0.0;
        Access chosen_access;
        for (std::size_t c = 0; c < candidates_.size(); ++c) {
            const Candidate& candidate = candidates_[c];
            const bool inside = candidate.needs.areas != 0 && (candidate.needs.areas & ~access.open) == 0 &&
                                (candidate.needs.areas & value.opens) != 0;
            if (taken[c] || !usable[c] || !inside || candidate.wait_minutes > 0.0) continue;
            if ((drops_of(candidate) & ~base.dropped) != 0) continue;
            Access after;
            const double cost = cost_of(candidate, access, after, minutes);
            if (cost >= best) continue;
            double sum = cost;
            State state;
            for (const auto& weights : leaves) {
                state.weights = weights;
                double total = 0.0;
                for (const double w : weights) total += w;
                sum += total * expected_after(state, candidate, costs_at(after.open));
                if (sum >= best) break;
            }
            if (sum < best) {
                best = sum;
                chosen = c;
                chosen_cost = cost;
                chosen_access = after;
            }
        }
        if (chosen == candidates_.size()) break;
        taken[chosen] = true;
        value.also.push_back(chosen);
        spent += chosen_cost;
        access = chosen_access;
        before = best - chosen_cost;
        if (depth + 1 < tuning_.block) leaves = split(leaves, candidates_[chosen].look_ahead_rows());
    }
    value.saving = std::max(value.saving, stop - before - spent);
}

}  // namespace frostread::plan
