#include "plan/belief.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <string>
#include <tuple>

namespace frostread::plan {

namespace {

struct Keyed {
    std::tuple<int, std::array<RemedyIndex, 3>> key;
    std::size_t order = 0;
    FaultSet set;
    double probability = 0.0;
};

/// The set as it is after repairs that did not end the trouble; none when they would have ended it.
std::optional<FaultSet> after_repairs(const CompiledLibrary& compiled, const FaultSet& set,
                                      std::span<const std::string> tried) {
    if (set.kind == HypothesisKind::nothing_wrong &&
        std::find(tried.begin(), tried.end(), kNothingWrongTried) != tried.end())
        return std::nullopt;
    if (set.kind != HypothesisKind::faults || tried.empty()) return set;
    FaultSet left;
    left.kind = HypothesisKind::faults;
    for (std::size_t m = 0; m < set.size; ++m) {
        const Fault& fault = compiled.library().faults[compiled.alternative(set.members[m]).fault];
        if (std::find(tried.begin(), tried.end(), fault.remedy.id) == tried.end())
            left.members[left.size++] = set.members[m];
    }
    if (left.size == 0) return std::nullopt;
    return left;
}

std::vector<WeightedSet> likeliest(const CompiledLibrary& compiled, const Posterior& posterior,
                                   std::span<const std::string> tried, std::size_t most, double coverage,
                                   double& covered) {
    std::vector<WeightedSet> left;
    double total = 0.0;
    for (const WeightedSet& listed : posterior.sets)
        if (const auto set = after_repairs(compiled, listed.set, tried)) {
            left.push_back({*set, listed.probability});
            total += listed.probability;
        }
    std::vector<WeightedSet> kept;
    for (const WeightedSet& item : left) {
        if (kept.size() >= most || covered >= coverage * total) break;
        kept.push_back(item);
        covered += item.probability;
    }
    if (kept.empty()) {
        FaultSet stranger;
        stranger.kind = HypothesisKind::something_else;
        kept.push_back({stranger, 1.0});
    }
    return kept;
}

/// Each remedy once, rising, then -1.
std::array<RemedyIndex, 3> needed_remedies(const CompiledLibrary& compiled, const FaultSet& set,
                                           const std::vector<RemedyIndex>& remedy_of) {
    std::vector<RemedyIndex> all;
    for (std::size_t m = 0; m < set.size; ++m) all.push_back(remedy_of[compiled.alternative(set.members[m]).fault]);
    std::sort(all.begin(), all.end());
    all.erase(std::unique(all.begin(), all.end()), all.end());
    std::array<RemedyIndex, 3> needed{-1, -1, -1};
    for (std::size_t m = 0; m < all.size() && m < 3; ++m) needed[m] = all[m];
    return needed;
}

}  // namespace

Belief make_belief(const UnitModel& model, const Posterior& posterior, std::span<const std::string> tried,
                   std::size_t most, double coverage) {
    const CompiledLibrary& compiled = model.compiled();
    const Library& library = compiled.library();
    Belief belief;
    std::vector<WeightedSet> kept = likeliest(compiled, posterior, tried, most, coverage, belief.covered);

    // Remedies in library order of the first fault that names them, so that ties never depend on a belief.
    std::map<std::string, RemedyIndex, std::less<>> index;
    std::vector<RemedyIndex> remedy_of(library.faults.size(), -1);
    std::vector<double> best_fault;
    std::vector<bool> present(library.faults.size(), false);
    for (const WeightedSet& item : kept)
        for (std::size_t m = 0; m < item.set.size; ++m) present[compiled.alternative(item.set.members[m]).fault] = true;
    for (FaultIndex fault = 0; fault < library.faults.size(); ++fault) {
        if (!present[fault]) continue;
        const Remedy& remedy = library.faults[fault].remedy;
        const auto [place, is_new] = index.try_emplace(remedy.id, static_cast<RemedyIndex>(belief.remedies.size()));
        remedy_of[fault] = place->second;
        const double marginal = fault < posterior.fault.size() ? posterior.fault[fault] : 0.0;
        if (is_new) {
            belief.remedies.push_back({&remedy, fault, 0.0});
            best_fault.push_back(marginal);
        } else if (marginal > best_fault[static_cast<std::size_t>(place->second)]) {
            best_fault[static_cast<std::size_t>(place->second)] = marginal;
            belief.remedies[static_cast<std::size_t>(place->second)] = {&remedy, fault, 0.0};
        }
    }

    std::vector<Keyed> keyed;
    keyed.reserve(kept.size());
    double total = 0.0;
    for (std::size_t i = 0; i < kept.size(); ++i) {
        const std::array<RemedyIndex, 3> needed = needed_remedies(compiled, kept[i].set, remedy_of);
        for (const RemedyIndex remedy : needed)
            if (remedy >= 0) belief.remedies[static_cast<std::size_t>(remedy)].probability += kept[i].probability;
        keyed.push_back({{static_cast<int>(kept[i].set.kind), needed}, i, kept[i].set, kept[i].probability});
        total += kept[i].probability;
    }
    std::sort(keyed.begin(), keyed.end(),
              [](const Keyed& a, const Keyed& b) { return std::tie(a.key, a.order) < std::tie(b.key, b.order); });
    if (total <= 0.0) total = 1.0;
    for (RemedyEntry& entry : belief.remedies) entry.probability /= total;

    for (std::size_t i = 0; i < keyed.size(); ++i) {
        belief.sets.push_back(keyed[i].set);
        belief.weight.push_back(keyed[i].probability / total);
        if (i > 0 && keyed[i].key == keyed[i - 1].key) {
            belief.groups.back().last = static_cast<std::uint32_t>(i + 1);
            continue;
        }
        Group group;
        group.first = static_cast<std::uint32_t>(i);
        group.last = group.first + 1;
        group.kind = keyed[i].set.kind;
        group.remedies = std::get<1>(keyed[i].key);
        while (group.count < 3 && group.remedies[group.count] >= 0) ++group.count;
        if (group.kind == HypothesisKind::something_else)
            group.remedy_class = static_cast<std::uint32_t>(belief.stranger_class());
        else if (group.count == 0)
            group.remedy_class = static_cast<std::uint32_t>(belief.nothing_class());
        else {
            RemedyIndex first = group.remedies[0];
            for (std::size_t m = 1; m < group.count; ++m)
                if (belief.remedies[static_cast<std::size_t>(group.remedies[m])].probability >
                    belief.remedies[static_cast<std::size_t>(first)].probability)
                    first = group.remedies[m];
            group.remedy_class = static_cast<std::uint32_t>(first);
        }
        belief.groups.push_back(group);
    }
    return belief;
}

double group_masses(const Belief& belief, std::span<const double> weights, std::vector<double>& masses) {
    masses.resize(belief.groups.size());
    double total = 0.0;
    for (std::size_t g = 0; g < belief.groups.size(); ++g) {
        double sum = 0.0;
        for (std::size_t i = belief.groups[g].first; i < belief.groups[g].last; ++i) sum += weights[i];
        masses[g] = sum;
        total += sum;
    }
    return total;
}

double group_masses(const Belief& belief, std::span<const double> weights, std::span<const double> row,
                    std::vector<double>& masses) {
    masses.resize(belief.groups.size());
    double total = 0.0;
    for (std::size_t g = 0; g < belief.groups.size(); ++g) {
        double sum = 0.0;
        for (std::size_t i = belief.groups[g].first; i < belief.groups[g].last; ++i) sum += weights[i] * row[i];
        masses[g] = sum;
        total += sum;
    }
    return total;
}

void class_masses(const Belief& belief, std::span<const double> groups, std::vector<double>& classes) {
    classes.assign(belief.class_count(), 0.0);
    for (std::size_t g = 0; g < groups.size(); ++g) classes[belief.groups[g].remedy_class] += groups[g];
}

double entropy_bits(std::span<const double> masses, double total) {
    if (!(total > 0.0)) return 0.0;
    double sum = 0.0;
    for (const double mass : masses)
        if (mass > 0.0) sum += mass * std::log2(mass);
    return std::max(0.0, std::log2(total) - sum / total);
}

}  // namespace frostread::plan
