#include <algorithm>
#include <bit>
#include <cmath>
#include <numeric>

#include "plan/look_ahead.hpp"

/// The sums that the look-ahead is made of: sets that still matter, what stands in each group of them, and what is
/// wasted after an answer.
namespace frostread::plan {

namespace {

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

AnswerRows LookAhead::rows_as_found(const Candidate& candidate) const {
    return rows_as_found(candidate, candidate.rows);
}

AnswerRows LookAhead::rows_as_found(const Candidate& candidate, AnswerRows rows) const {
    if (drops_of(candidate) == 0) return rows;
    const std::vector<double> weights = weights_before(candidate);
    std::vector<double> after;
    for (std::size_t a = 0; a < rows.answers; ++a) {
        const std::span<double> row = rows.row(a);
        after_answer(weights, row, true, after);
        for (std::size_t i = 0; i < after.size(); ++i)
            row[i] = belief_.weight[i] > 0.0 ? after[i] / belief_.weight[i] : 0.0;
    }
    return rows;
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
    double sum = 0.0, all = 0.0;
    std::size_t i = 0;
    for (std::size_t g = 0; g < slice.groups.size(); ++g) {
        double mass = 0.0;
        for (; i < slice.ends[g]; ++i) mass += slice.weights[i];
        sum += mass * costs.needed[slice.groups[g]];
        all += mass;
    }
    return all > 0.0 ? sum / all : 0.0;
}

double LookAhead::waste(const Slice& slice, const RepairCosts& costs, double total) {
    if (!(total > 0.0)) return 0.0;
    classes_.assign(slice.class_count, 0.0);
    for (std::size_t g = 0; g < slice.groups.size(); ++g) classes_[slice.classes[g]] += masses_[g];
    const double testing = total * price_(fast_entropy(classes_, total) / total);
    const StopCost stop = stop_(slice.table, masses_, costs, tuning_.caution, kRareRemedy, testing);
    return std::min(stop.wasted, testing);
}

double LookAhead::expected_waste(const Slice& slice, const Slice& predicts, const AnswerRows& rows,
                                 const RepairCosts& costs, double limit) {
    double sum = 0.0, mass = 0.0;
    for (std::size_t a = 0; a < rows.answers; ++a) {
        const double predicted = &predicts == &slice ? 0.0 : slice_masses(predicts, rows.row(a));
        const double total = slice_masses(slice, rows.row(a));
        const double weight = &predicts == &slice ? total : predicted;
        mass += weight;
        if (total > 0.0) sum += weight / total * waste(slice, costs, total);
        // What is still to come cannot cost less than nothing.
        if (sum >= limit * predicts.total) return limit;
    }
    return mass > 0.0 ? sum / mass : 0.0;
}
StopCost LookAhead::stop_now(const Access& now) {
    group_masses(belief_, belief_.weight, masses_);
    return stop_(masses_, costs_at(now.open), tuning_.caution);
}

/// Of the sets after an answer, into `next`: their shape is that of the belief without the readings that the
/// candidate silences, their total the probability of the answer by everything that was read.
void LookAhead::after_answer(std::span<const double> weights, std::span<const double> row, bool silences,
                             std::vector<double>& next) const {
    next.resize(weights.size());
    double own = 0.0, predicted = 0.0;
    for (std::size_t i = 0; i < weights.size(); ++i) {
        next[i] = weights[i] * row[i];
        own += next[i];
        predicted += belief_.weight[i] * row[i];
    }
    if (!silences || !(own > 0.0)) return;
    for (double& weight : next) weight *= predicted / own;
}

}  // namespace frostread::plan
