#include "plan/look_ahead.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>
#include <numeric>

#include "plan/likelihood_rows.hpp"

namespace frostread::plan {

namespace {

constexpr double kLeastBits = 1e-4;
constexpr double kRare = 5e-3;  ///< answers below this probability are not followed further

/// Sets below this share of what is left after an answer are not followed further.
constexpr double kThin = 1e-4;
/// Remedies below this share are not tried in the sums of the second step.
constexpr double kRareRemedy = 5e-4;

/// log2 of a normal number to about 1e-4, for the many leaves of the look-ahead; the bits that are shown use
/// std::log2.
double fast_log2(double x) {
    const auto bits = std::bit_cast<std::uint64_t>(x);
    const double exponent = static_cast<double>(static_cast<std::int64_t>(bits >> 52U) - 1023);
    const double m = std::bit_cast<double>((bits & 0x000FFFFFFFFFFFFFULL) | 0x3FF0000000000000ULL) - 1.0;  // [0, 1)
    // Minimax-like polynomial of log2(1 + m), error below 1e-4.
    return exponent + m * (1.4415 + m * (-0.7093 + m * (0.4163 + m * (-0.1934 + m * 0.0449))));
}

/// Entropy in bits times the total.
double fast_entropy(std::span<const double> masses, double total) {
    double sum = 0.0, counted = 0.0;
    for (const double mass : masses)
        if (mass > 1e-9 * total) {
            sum += mass * fast_log2(mass);
            counted += mass;
        }
    return std::max(0.0, counted * fast_log2(total) - sum);
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
    for (const Candidate& candidate : candidates) {
        drops_.push_back(drops_of(candidate));
        for (const std::size_t f : candidate.drops) {
            if (f >= 64 || !finding_rows_[f].empty()) continue;
            finding_rows_[f].resize(belief.sets.size());
            likelihoods(findings.items[f], belief.sets, finding_rows_[f]);
        }
    }
}

const RepairCosts& LookAhead::costs_at(AreaMask open) {
    const auto found = costs_.find(open);
    if (found != costs_.end()) return found->second;
    RepairCosts costs = repair_costs(belief_, access_, model_.compiled().library(), economy_, may_, open);
    costs.failed += tuning_.call_back * money_per_minute(economy_);
    return costs_.emplace(open, std::move(costs)).first->second;
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

void LookAhead::take_out(std::uint64_t findings, Slice& slice) const {
    double total = 0.0;
    for (std::size_t f = 0; f < finding_rows_.size() && f < 64; ++f) {
        if (!((findings >> f) & 1U)) continue;
        for (std::size_t i = 0; i < slice.sets.size(); ++i)
            slice.weights[i] /= std::max(finding_rows_[f][slice.sets[i]], 1e-12);
    }
    for (const double w : slice.weights) total += w;
    for (double& w : slice.weights) w *= slice.total / total;
}

void LookAhead::make_slice(std::span<const double> weights, double cut, Slice& slice) const {
    double total = 0.0, kept = 0.0;
    for (const double w : weights) total += w;
    slice.sets.clear();
    slice.weights.clear();
    slice.groups.clear();
    slice.ends.clear();
    slice.total = total;
    const double least = cut * total;
    for (std::uint32_t g = 0; g < belief_.groups.size(); ++g) {
        const std::size_t before = slice.sets.size();
        for (std::uint32_t i = belief_.groups[g].first; i < belief_.groups[g].last; ++i) {
            if (!(weights[i] > least)) continue;
            slice.sets.push_back(i);
            slice.weights.push_back(weights[i]);
            kept += weights[i];
        }
        if (slice.sets.size() == before) continue;
        slice.groups.push_back(g);
        slice.ends.push_back(static_cast<std::uint32_t>(slice.sets.size()));
    }
    if (kept > 0.0)
        for (double& w : slice.weights) w *= total / kept;
    slice.table.assign(belief_, slice.groups);
    std::vector<std::uint32_t> number(belief_.class_count(), ~std::uint32_t{0});
    slice.classes.clear();
    slice.class_count = 0;
    for (const std::uint32_t g : slice.groups) {
        std::uint32_t& own = number[belief_.groups[g].remedy_class];
        if (own == ~std::uint32_t{0}) own = static_cast<std::uint32_t>(slice.class_count++);
        slice.classes.push_back(own);
    }
}

double LookAhead::slice_masses(const Slice& slice, std::span<const double> row) {
    masses_.resize(slice.groups.size());
    double total = 0.0;
    std::size_t i = 0;
    for (std::size_t g = 0; g < slice.groups.size(); ++g) {
        double sum = 0.0;
        for (; i < slice.ends[g]; ++i) sum += slice.weights[i] * row[slice.sets[i]];
        masses_[g] = sum;
        total += sum;
    }
    return total;
}

double LookAhead::slice_masses(const Slice& slice) {
    masses_.resize(slice.groups.size());
    double total = 0.0;
    std::size_t i = 0;
    for (std::size_t g = 0; g < slice.groups.size(); ++g) {
        double sum = 0.0;
        for (; i < slice.ends[g]; ++i) sum += slice.weights[i];
        masses_[g] = sum;
        total += sum;
    }
    return total;
}

double LookAhead::needed(const Slice& slice, const RepairCosts& costs) const {
    double sum = 0.0;
    std::size_t i = 0;
    for (std::size_t g = 0; g < slice.groups.size(); ++g) {
        double mass = 0.0;
        for (; i < slice.ends[g]; ++i) mass += slice.weights[i];
        sum += mass * costs.needed[slice.groups[g]];
    }
    return sum;
}

double LookAhead::leaf(const Slice& slice, const RepairCosts& costs, double total) {
    if (!(total > 0.0)) return 0.0;
    classes_.assign(slice.class_count, 0.0);
    for (std::size_t g = 0; g < slice.groups.size(); ++g) classes_[slice.classes[g]] += masses_[g];
    const double testing = money_per_bit_ * fast_entropy(classes_, total);
    const StopCost stop = stop_(slice.table, masses_, costs, tuning_.caution, kRareRemedy, testing);
    return stop.needed + std::min(stop.wasted, testing);
}

double LookAhead::expected_after(const Slice& slice, const Candidate& candidate, const RepairCosts& costs,
                                 double limit) {
    double sum = 0.0, mass = 0.0;
    const AnswerRows& rows = candidate.look_ahead_rows();
    const double least = needed(slice, costs) / slice.total;
    if (least >= limit) return least;
    for (std::size_t a = 0; a < rows.answers; ++a) {
        const double total = slice_masses(slice, rows.row(a));
        mass += total;
        sum += leaf(slice, costs, total);
        // What is still to come cannot cost less than nothing.
        if (sum >= limit * slice.total) return limit;
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
        value.bits = expected_bits(belief_, weights_before(candidate), candidate.rows);
        // A panel is shared by what lies behind it: the price of a bit there is that of the best few together.
        if (candidate.who <= may_ && value.bits > kLeastBits)
            cheapest_bit = std::min(cheapest_bit, value.cost / value.bits);
    }
    money_per_bit_ = std::isfinite(cheapest_bit) ? tuning_.later_tests * cheapest_bit : 1e12;

    Slice root, own;
    make_slice(belief_.weight, kThin, root);
    slice_masses(root);
    const RepairCosts& here = costs_at(now.open);
    const double stop_root = stop_(root.table, masses_, here, tuning_.caution).total();
    const double leaf_root = leaf(root, here, root.total) / root.total;
    for (std::size_t c = 0; c < candidates_.size(); ++c) {
        const Slice* slice = &root;
        double stop = stop_root;
        if (drops_[c] != 0) {
            make_slice(weights_before(candidates_[c]), kThin, own);
            slice = &own;
            slice_masses(own);
            stop = stop_(own.table, masses_, here, tuning_.caution).total();
            values[c].lost = std::max(0.0, leaf(own, here, own.total) / own.total - leaf_root);
        }
        const double after = expected_after(*slice, candidates_[c], costs_at(now.open | candidates_[c].needs.areas),
                                            std::numeric_limits<double>::infinity());
        values[c].saving = stop - after - values[c].cost - values[c].lost;
    }
    return values;
}

double LookAhead::best_second(const Slice& slice, std::uint64_t dropped, const Access& access, std::size_t first,
                              const std::vector<std::size_t>& seconds) {
    if (slice.total < 1e-9) return 0.0;
    const RepairCosts& here = costs_at(access.open);
    slice_masses(slice);
    double best = leaf(slice, here, slice.total) / slice.total;
    if (slice.total < kRare) return best * slice.total;
    const double alone = best;
    for (const std::size_t c : seconds) {
        if (c == first) continue;
        Access after;
        double minutes = 0.0;
        const double cost = cost_of(candidates_[c], access, after, minutes);
        if (cost >= best) continue;
        const std::uint64_t extra = drops_[c] & ~dropped;
        if (extra == 0) {
            best = std::min(best, cost + expected_after(slice, candidates_[c], costs_at(after.open), best - cost));
        } else {
            changed_ = slice;
            take_out(extra, changed_);
            slice_masses(changed_);
            // What the test brings is judged against the belief that it finds.
            const double before = leaf(changed_, here, changed_.total) / changed_.total;
            const double value =
                expected_after(changed_, candidates_[c], costs_at(after.open), before - (alone - best) - cost);
            best = std::min(best, alone - before + cost + value + std::max(0.0, before - alone));
        }
    }
    return best * slice.total;
}

void LookAhead::two_steps(const Access& now, const std::vector<bool>& usable, std::vector<StepValue>& values) {
    // By worth, by bits per cost, and what lies behind a closed panel.
    const auto by_worth = [](const StepValue& v) { return v.saving; };
    const auto by_rate = [](const StepValue& v) { return v.bits / (v.cost + 1e-9); };
    const auto by_panel = [](const StepValue& v) { return v.opens == 0 ? -1.0 : v.bits; };
    const auto add_best = [&](std::vector<std::size_t>& list, auto score, std::size_t count) {
        std::vector<std::size_t> order;
        for (std::size_t c = 0; c < values.size(); ++c)
            if (usable[c] && values[c].bits > kLeastBits) order.push_back(c);
        std::stable_sort(order.begin(), order.end(),
                         [&](std::size_t a, std::size_t b) { return score(values[a]) > score(values[b]); });
        for (std::size_t k = 0; k < std::min(count, order.size()); ++k)
            if (std::find(list.begin(), list.end(), order[k]) == list.end()) list.push_back(order[k]);
    };
    std::vector<std::size_t> firsts, seconds;
    add_best(firsts, by_worth, tuning_.firsts);
    add_best(firsts, by_rate, tuning_.firsts / 2);
    add_best(firsts, by_panel, 2);
    add_best(seconds, by_worth, tuning_.seconds);
    add_best(seconds, by_rate, tuning_.seconds / 2);
    add_best(seconds, by_panel, tuning_.seconds / 2);

    std::vector<double> next;
    Slice slice;
    for (const std::size_t first : firsts) {
        const Candidate& candidate = candidates_[first];
        const std::vector<double> weights = weights_before(candidate);
        group_masses(belief_, weights, masses_);
        const double stop = stop_(masses_, costs_at(now.open), tuning_.caution).total();
        Access after;
        double minutes = 0.0;
        const double cost = cost_of(candidate, now, after, minutes);
        const AnswerRows& rows = candidate.look_ahead_rows();
        double sum = 0.0, mass = 0.0;
        next.resize(weights.size());
        for (std::size_t a = 0; a < rows.answers; ++a) {
            const std::span<const double> row = rows.row(a);
            for (std::size_t i = 0; i < weights.size(); ++i) next[i] = weights[i] * row[i];
            make_slice(next, kThin, slice);
            mass += slice.total;
            sum += best_second(slice, drops_[first], after, first, seconds);
        }
        if (mass > 0.0)
            values[first].saving = std::max(values[first].saving, stop - sum / mass - cost - values[first].lost);
        if (values[first].opens != 0) value_block(first, now, usable, stop, values[first]);
    }
}

/// Greedy prefix behind a closed panel: the first test, then the one inside that adds most beyond its own
/// cost, and so on; valued as if all were done whatever the earlier answers.
void LookAhead::value_block(std::size_t first, const Access& now, const std::vector<bool>& usable, double stop,
                            StepValue& value) {
    const Candidate& opener = candidates_[first];
    Access access;
    double minutes = 0.0;
    double spent = cost_of(opener, now, access, minutes);
    std::vector<Slice> leaves;
    std::vector<double> next(belief_.sets.size());
    const auto add_leaf = [&](std::vector<Slice>& to) {
        Slice slice;
        make_slice(next, kThin, slice);
        if (slice.total > 1e-4) to.push_back(std::move(slice));
    };
    const std::vector<double> weights = weights_before(opener);
    for (std::size_t a = 0; a < opener.look_ahead_rows().answers; ++a) {
        const std::span<const double> row = opener.look_ahead_rows().row(a);
        for (std::size_t i = 0; i < next.size(); ++i) next[i] = weights[i] * row[i];
        add_leaf(leaves);
    }
    double before = 0.0;
    for (const Slice& slice : leaves) before += leaf(slice, costs_at(access.open), slice_masses(slice));
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
            if ((drops_[c] & ~drops_[first]) != 0) continue;
            Access after;
            const double cost = cost_of(candidate, access, after, minutes);
            if (cost >= best) continue;
            double sum = cost;
            for (const Slice& slice : leaves) {
                sum += slice.total * expected_after(slice, candidate, costs_at(after.open), (best - sum) / slice.total);
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
        if (depth + 1 >= tuning_.block) break;
        std::vector<Slice> split;
        const AnswerRows& rows = candidates_[chosen].look_ahead_rows();
        for (const Slice& slice : leaves)
            for (std::size_t a = 0; a < rows.answers; ++a) {
                std::fill(next.begin(), next.end(), 0.0);
                for (std::size_t i = 0; i < slice.sets.size(); ++i)
                    next[slice.sets[i]] = slice.weights[i] * rows.row(a)[slice.sets[i]];
                add_leaf(split);
            }
        leaves = std::move(split);
    }
    value.saving = std::max(value.saving, stop - before - spent - value.lost);
}

}  // namespace frostread::plan
