#include "plan/look_ahead.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>
#include <numeric>

#include "plan/likelihood_rows.hpp"
#include "plan/repair_order.hpp"

namespace frostread::plan {

namespace {

constexpr double kLeastBits = 1e-4;
constexpr double kRare = 5e-3;  ///< answers below this probability are not followed further

/// Sets below this share of what is left after an answer are not followed further.
constexpr double kThin = 1e-4;
constexpr double kShortWait = 10.0;  ///< minutes that a person stands before an open panel
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

/// A panel is shared by what lies behind it, so its best tests are on offer together.
std::vector<TestingPrice::Offer> LookAhead::offers(const Access& now, const std::vector<StepValue>& values) const {
    std::vector<TestingPrice::Offer> all;
    std::map<AreaMask, std::vector<std::size_t>> behind;
    for (std::size_t c = 0; c < candidates_.size(); ++c) {
        if (candidates_[c].who > may_ || values[c].bits <= kLeastBits) continue;
        if (values[c].opens == 0)
            all.push_back({values[c].bits, values[c].cost});
        else
            behind[values[c].opens].push_back(c);
    }
    for (const auto& [areas, inside] : behind) {
        std::vector<Gainful> tests;
        double opening = std::numeric_limits<double>::infinity();
        for (const std::size_t c : inside) {
            Access after, opened = access_.cost(candidates_[c].needs, now).after;
            double minutes = 0.0;
            const double cost = cost_of(candidates_[c], opened, after, minutes);
            opening = std::min(opening, values[c].cost - cost);
            tests.push_back({values[c].bits, cost});
        }
        std::stable_sort(tests.begin(), tests.end(),
                         [](const Gainful& a, const Gainful& b) { return a.gain * b.cost > b.gain * a.cost; });
        const std::size_t together = best_prefix(tests, opening).count;
        TestingPrice::Offer block{0.0, opening};
        for (std::size_t k = 0; k < together; ++k) {
            block.bits += tests[k].gain;
            block.cost += tests[k].cost;
        }
        all.push_back(block);
        for (std::size_t k = together; k < tests.size(); ++k) all.push_back({tests[k].gain, tests[k].cost});
    }
    return all;
}

std::vector<StepValue> LookAhead::one_step(const Access& now) {
    std::vector<StepValue> values(candidates_.size());
    for (std::size_t c = 0; c < candidates_.size(); ++c) {
        const Candidate& candidate = candidates_[c];
        StepValue& value = values[c];
        value.candidate = c;
        Access after;
        value.cost = cost_of(candidate, now, after, value.minutes);
        value.opens = candidate.needs.areas & ~now.open;
        value.bits = drops_[c] == 0 ? expected_bits(belief_, belief_.weight, candidate.rows)
                                    : expected_bits(belief_, belief_.weight, rows_as_found(candidate));
    }
    price_ = TestingPrice(offers(now, values), tuning_.overlap);

    Slice root, own;
    make_slice(belief_.weight, kThin, root);
    slice_masses(root);
    const RepairCosts& here = costs_at(now.open);
    const double stop = stop_(root.table, masses_, here, tuning_.caution).total();
    const double waste_now = waste(root, here, root.total) / root.total;
    for (std::size_t c = 0; c < candidates_.size(); ++c) {
        const Slice* slice = &root;
        if (drops_[c] != 0) {
            make_slice(weights_before(candidates_[c]), kThin, own);
            slice = &own;
            slice_masses(own);
            values[c].unearned = std::max(0.0, waste_now - waste(own, here, own.total) / own.total);
        }
        const RepairCosts& costs = costs_at(now.open | candidates_[c].needs.areas);
        const double after = needed(root, costs) + expected_waste(*slice, root, candidates_[c].look_ahead_rows(), costs,
                                                                  std::numeric_limits<double>::infinity());
        values[c].saving = stop - after - values[c].cost - values[c].unearned;
    }
    return values;
}

double LookAhead::best_second(const Slice& slice, std::uint64_t dropped, const Access& access, std::size_t first,
                              const std::vector<std::size_t>& seconds, const std::vector<Block>& blocks) {
    if (slice.total < 1e-9) return 0.0;
    const RepairCosts& here = costs_at(access.open);
    slice_masses(slice);
    const double alone = waste(slice, here, slice.total) / slice.total;
    double best = alone;
    if (slice.total < kRare) return best * slice.total;
    const double repairs = needed(slice, here);
    for (const std::size_t c : seconds) {
        if (c == first) continue;
        Access after;
        double minutes = 0.0;
        // What it opens makes some repairs cheaper.
        double cost = cost_of(candidates_[c], access, after, minutes);
        const RepairCosts& costs = costs_at(after.open);
        if (after.open != access.open) cost += needed(slice, costs) - repairs;
        if (cost >= best) continue;
        const std::uint64_t extra = drops_[c] & ~dropped;
        if (extra == 0) {
            best = std::min(best,
                            cost + expected_waste(slice, slice, candidates_[c].look_ahead_rows(), costs, best - cost));
        } else {
            changed_ = slice;
            take_out(extra, changed_);
            slice_masses(changed_);
            cost += std::max(0.0, alone - waste(changed_, here, changed_.total) / changed_.total);
            if (cost < best)
                best = std::min(
                    best, cost + expected_waste(changed_, slice, candidates_[c].look_ahead_rows(), costs, best - cost));
        }
    }
    for (const Block& block : blocks) {
        if (std::find(block.members.begin(), block.members.end(), first) != block.members.end()) continue;
        Access at = access;
        double cost = 0.0, minutes = 0.0;
        for (const std::size_t member : block.members) cost += cost_of(candidates_[member], at, at, minutes);
        const RepairCosts& costs = costs_at(at.open);
        cost += needed(slice, costs) - repairs;
        if (cost < best) best = std::min(best, cost + expected_waste(slice, slice, block.rows, costs, best - cost));
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

    group_masses(belief_, belief_.weight, masses_);
    const double stop = stop_(masses_, costs_at(now.open), tuning_.caution).total();
    std::vector<double> next;
    Slice slice, root;
    make_slice(belief_.weight, kThin, root);
    // Panels first: what is done before one is valued with the best of them to follow.
    std::stable_partition(firsts.begin(), firsts.end(), [&](std::size_t c) { return values[c].opens != 0; });
    std::vector<Block> blocks;
    for (const std::size_t first : firsts) {
        const Candidate& candidate = candidates_[first];
        const std::vector<double> weights = weights_before(candidate);
        Access after;
        double minutes = 0.0;
        const double cost = cost_of(candidate, now, after, minutes);
        const AnswerRows& rows = candidate.look_ahead_rows();
        double sum = 0.0, mass = 0.0;
        for (std::size_t a = 0; a < rows.answers; ++a) {
            after_answer(weights, rows.row(a), drops_[first] != 0, next);
            make_slice(next, kThin, slice);
            mass += slice.total;
            sum += best_second(slice, drops_[first], after, first, seconds, blocks);
        }
        if (mass > 0.0)
            values[first].saving = std::max(values[first].saving, stop - needed(root, costs_at(after.open)) -
                                                                      sum / mass - cost - values[first].unearned);
        if (values[first].opens == 0) continue;
        value_block(first, now, usable, stop - needed(root, costs_at(after.open)), values[first]);
        keep_block(values[first], values, blocks);
    }
}

/// The few best panels with what is worth doing behind them.
void LookAhead::keep_block(const StepValue& value, const std::vector<StepValue>& values,
                           std::vector<Block>& blocks) const {
    constexpr std::size_t kMostBlocks = 2;
    if (value.also.empty() || value.saving <= 0.0) return;
    Block block;
    block.members = {value.candidate};
    block.members.insert(block.members.end(), value.also.begin(), value.also.end());
    block.rows = joint_rows(block.members);
    blocks.push_back(std::move(block));
    std::stable_sort(blocks.begin(), blocks.end(), [&](const Block& a, const Block& b) {
        return values[a.members.front()].saving > values[b.members.front()].saving;
    });
    if (blocks.size() > kMostBlocks) blocks.pop_back();
}

/// All answers of several tests together; given the sets they do not depend on each other.
AnswerRows LookAhead::joint_rows(const std::vector<std::size_t>& members) const {
    AnswerRows joint;
    joint.answers = 1;
    joint.sets = belief_.sets.size();
    joint.values.assign(joint.sets, 1.0);
    for (const std::size_t member : members) {
        const AnswerRows rows = rows_as_found(candidates_[member], candidates_[member].look_ahead_rows());
        AnswerRows longer;
        longer.sets = joint.sets;
        longer.answers = joint.answers * rows.answers;
        longer.values.reserve(longer.answers * longer.sets);
        for (std::size_t a = 0; a < joint.answers; ++a)
            for (std::size_t b = 0; b < rows.answers; ++b)
                for (std::size_t i = 0; i < joint.sets; ++i) longer.values.push_back(joint.row(a)[i] * rows.row(b)[i]);
        joint = std::move(longer);
    }
    return joint;
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
        after_answer(weights, opener.look_ahead_rows().row(a), drops_[first] != 0, next);
        add_leaf(leaves);
    }
    double before = 0.0;
    for (const Slice& slice : leaves) before += waste(slice, costs_at(access.open), slice_masses(slice));
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
            if (taken[c] || !usable[c] || !inside || candidate.wait_minutes > kShortWait) continue;
            if ((drops_[c] & ~drops_[first]) != 0) continue;
            Access after;
            const double cost = cost_of(candidate, access, after, minutes);
            if (cost >= best) continue;
            double sum = cost;
            for (const Slice& slice : leaves) {
                sum += slice.total * expected_waste(slice, slice, candidate.look_ahead_rows(), costs_at(after.open),
                                                    (best - sum) / slice.total);
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
    value.saving = std::max(value.saving, stop - before - spent - value.unearned);
}

}  // namespace frostread::plan
