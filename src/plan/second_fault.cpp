#include "plan/second_fault.hpp"

#include <algorithm>
#include <numeric>

namespace frostread::plan {

namespace {

/// A suspicion of less than one in fifty is not followed up: a person would ask why, and there are many such.
constexpr double kLeastSuspicion = 0.02;

}  // namespace

SecondFaults::SecondFaults(const Belief& belief, RemedyIndex first, const RepairCosts& costs, Who may,
                           double second_visit)
    : belief_(belief), costs_(costs), first_(first), second_visit_(second_visit) {
    const std::vector<double> suspicion = beside();
    for (std::size_t r = 0; r < belief.remedies.size(); ++r)
        counts_.push_back(suspicion[r] >= kLeastSuspicion && belief.remedies[r].remedy->who <= may &&
                          costs.own[r] < costs.last_resort);
}

namespace {

/// Per remedy the mass of the sets that hold it beside the first; at the first, that of all sets that hold it.
std::vector<double> masses_beside(const Belief& belief, RemedyIndex first, std::span<const double> groups) {
    std::vector<double> mass(belief.remedies.size(), 0.0);
    for (std::size_t g = 0; g < belief.groups.size(); ++g) {
        const Group& group = belief.groups[g];
        const auto end = group.remedies.begin() + group.count;
        if (std::find(group.remedies.begin(), end, first) == end) continue;
        for (std::size_t m = 0; m < group.count; ++m) mass[static_cast<std::size_t>(group.remedies[m])] += groups[g];
    }
    return mass;
}

}  // namespace

double SecondFaults::gain(std::span<const double> masses) const {
    const std::vector<double> mass = masses_beside(belief_, first_, masses);
    const double all = mass[static_cast<std::size_t>(first_)];
    double sum = 0.0;
    for (std::size_t r = 0; r < mass.size(); ++r)
        if (counts_[r]) sum += std::max(0.0, mass[r] * second_visit_ - (all - mass[r]) * costs_.own[r]);
    return sum;
}

std::vector<RemedyIndex> SecondFaults::worth_doing() const {
    const std::vector<double> probability = beside();
    std::vector<RemedyIndex> found;
    for (std::size_t r = 0; r < probability.size(); ++r)
        if (counts_[r] && probability[r] * second_visit_ > (1.0 - probability[r]) * costs_.own[r])
            found.push_back(static_cast<RemedyIndex>(r));
    std::stable_sort(found.begin(), found.end(), [&](RemedyIndex a, RemedyIndex b) {
        return probability[static_cast<std::size_t>(a)] > probability[static_cast<std::size_t>(b)];
    });
    return found;
}

double SecondFaults::worth_of_look(const AnswerRows& rows, std::span<const Further> further) const {
    const std::vector<double>& weights = belief_.weight;
    std::vector<double> masses, after_first(weights.size());
    const double total = group_masses(belief_, weights, masses);
    if (!(total > 0.0)) return 0.0;
    const double before = gain(masses) / total;
    double after = 0.0, all = 0.0;
    for (std::size_t a = 0; a < rows.answers; ++a) {
        const std::span<const double> row = rows.row(a);
        const double answered = group_masses(belief_, weights, row, masses);
        all += answered;
        double best = gain(masses);
        for (std::size_t i = 0; i < after_first.size() && !further.empty(); ++i) after_first[i] = weights[i] * row[i];
        for (const Further& next : further) {
            double then = 0.0, mass = 0.0;
            for (std::size_t b = 0; b < next.rows->answers; ++b) {
                mass += group_masses(belief_, after_first, next.rows->row(b), masses);
                then += gain(masses);
            }
            if (mass > 0.0) best = std::max(best, answered * (then / mass - next.cost));
        }
        after += best;
    }
    return all > 0.0 ? after / all - before : 0.0;
}

std::vector<double> SecondFaults::beside() const {
    return beside(std::vector<double>(belief_.weight.size(), 1.0));
}

std::vector<double> SecondFaults::beside(std::span<const double> row) const {
    std::vector<double> masses;
    group_masses(belief_, belief_.weight, row, masses);
    std::vector<double> mass = masses_beside(belief_, first_, masses);
    const double all = mass[static_cast<std::size_t>(first_)];
    for (double& one : mass) one = all > 0.0 ? one / all : 0.0;
    mass[static_cast<std::size_t>(first_)] = 0.0;
    return mass;
}

std::optional<std::size_t> best_second_look(const SecondFaults& others, std::span<const SecondLook> looks,
                                            double about_equal) {
    constexpr std::size_t kFurtherLooks = 5;
    std::vector<double> alone;
    std::vector<std::size_t> order(looks.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    for (const SecondLook& look : looks) alone.push_back(others.worth_of_look(look.rows));
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return alone[a] > alone[b]; });
    std::vector<double> worth(looks.size());
    double most = 0.0;
    for (std::size_t k = 0; k < looks.size(); ++k) {
        std::vector<SecondFaults::Further> further;
        for (std::size_t n = 0; n < std::min(kFurtherLooks, order.size()); ++n)
            if (order[n] != k) further.push_back({&looks[order[n]].rows, looks[order[n]].cost});
        worth[k] = others.worth_of_look(looks[k].rows, further) - looks[k].cost;
        most = std::max(most, worth[k]);
    }
    const double least = std::max(1e-9, most - about_equal);
    for (const std::size_t k : order)
        if (worth[k] >= least) return looks[k].candidate;
    return std::nullopt;
}

}  // namespace frostread::plan
