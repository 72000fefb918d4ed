#include "engine/hypotheses.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "engine/finding_row.hpp"
#include "engine/order_by_count.hpp"

namespace frostread {

bool FaultSet::contains(AlternativeIndex alternative) const {
    for (std::size_t i = 0; i < size; ++i)
        if (members[i] == alternative) return true;
    return false;
}

double prior_weight(const UnitModel& model, const FaultSet& set) {
    if (set.kind == HypothesisKind::nothing_wrong) return model.nothing_wrong();
    if (set.kind == HypothesisKind::something_else) return model.something_else();
    double weight = 1.0;
    for (std::size_t i = 0; i < set.size; ++i) {
        weight *= model.prior()[set.members[i]];
        if (i > 0) weight *= model.second_fault();
    }
    return weight;
}

double prior_total(const UnitModel& model, int max_faults) {
    // Elementary symmetric sums over faults: grades of one fault exclude each other, so they add first.
    const CompiledLibrary& compiled = model.compiled();
    double one = 0.0, two = 0.0, three = 0.0;
    for (AlternativeIndex i = 0; i < compiled.alternative_count();) {
        double fault = 0.0;
        const FaultIndex index = compiled.alternative(i).fault;
        for (; i < compiled.alternative_count() && compiled.alternative(i).fault == index; ++i)
            fault += model.prior()[i];
        three += two * fault;
        two += one * fault;
        one += fault;
    }
    const double second = model.second_fault();
    double total = model.nothing_wrong() + model.something_else() + one;
    if (max_faults >= 2) total += second * two;
    if (max_faults >= 3) total += second * second * three;
    return total;
}

void HypothesisSums::add_faults(const std::vector<double>& marginal, double sets_total) {
    sets_total_ = sets_total;
    marginal_ = marginal;
}

void HypothesisSums::list_others(double cut, std::vector<WeightedSet>& listed) const {
    if (nothing_ > cut) listed.push_back({FaultSet{}, nothing_});
    if (else_ > cut) listed.push_back({FaultSet{HypothesisKind::something_else, 0, {}}, else_});
}

namespace {

constexpr std::size_t kFewSets = 64;

void order_few(std::vector<WeightedSet>& listed) {
    const std::size_t count = listed.size();
    std::array<WeightedSet, kFewSets> before;
    std::array<double, kFewSets> weight{};
    std::array<std::uint32_t, kFewSets> places{};
    std::copy(listed.begin(), listed.end(), before.begin());
    for (std::size_t i = 0; i < count; ++i) weight[i] = listed[i].probability;
    places_by_count(weight.data(), count, places.data());
    for (std::size_t i = 0; i < count; ++i) listed[places[i]] = before[i];
    if (!std::is_sorted(listed.begin(), listed.end(), likelier))  // equals
        std::sort(listed.begin(), listed.end(), likelier);
}

void order_many(std::vector<WeightedSet>& listed, std::size_t max_sets) {
    if (listed.size() > max_sets) {
        std::nth_element(listed.begin(), listed.begin() + static_cast<std::ptrdiff_t>(max_sets), listed.end(),
                         likelier);
        listed.resize(max_sets);
    }
    std::sort(listed.begin(), listed.end(), likelier);
}

}  // namespace

Posterior HypothesisSums::finish(std::vector<WeightedSet>& listed, std::size_t max_sets, double log_scale) {
    const double sum = total();
    const double scale = 1.0 / sum;
    Posterior out;
    out.nothing_wrong = nothing_ * scale;
    out.something_else = else_ * scale;
    out.alternative = std::move(marginal_);
    out.fault.assign(compiled_.fault_count(), 0.0);
    for (AlternativeIndex i = 0; i < out.alternative.size(); ++i) {
        out.alternative[i] = std::min(1.0, out.alternative[i] * scale);
        out.fault[compiled_.alternative(i).fault] += out.alternative[i];
    }
    for (double& probability : out.fault) probability = std::min(1.0, probability);

    if (listed.size() <= kFewSets)
        order_few(listed);
    else
        order_many(listed, max_sets);
    if (listed.size() > max_sets) listed.resize(max_sets);
    double seen = 0.0;
    for (WeightedSet& set : listed) {
        set.probability = std::min(1.0, set.probability * scale);
        seen += set.probability;
    }
    out.sets.assign(listed.begin(), listed.end());
    out.unlisted = std::max(0.0, 1.0 - seen);
    out.log_evidence = std::log(sum) + log_scale;
    return out;
}

std::vector<Triple> all_triples(const UnitModel& model, const Findings& findings) {
    const CompiledLibrary& compiled = model.compiled();
    std::vector<std::uint32_t> live;
    for (AlternativeIndex i = 0; i < compiled.alternative_count(); ++i)
        if (model.prior()[i] > 0.0) live.push_back(i);
    const auto fault = [&](std::uint32_t alternative) { return compiled.alternative(alternative).fault; };
    std::vector<Triple> triples;
    for (std::size_t i = 0; i < live.size(); ++i)
        for (std::size_t j = i + 1; j < live.size(); ++j)
            for (std::size_t k = j + 1; k < live.size() && fault(live[i]) != fault(live[j]); ++k)
                if (fault(live[i]) != fault(live[k]) && fault(live[j]) != fault(live[k]))
                    triples.push_back({live[i], live[j], live[k], 0.0});
    std::vector<Influence> influence(compiled.alternative_count());
    for (const Finding& finding : findings.items) {
        const CompiledCheck& check = compiled.check(finding.check);
        const FindingRow& row = RowStore::of_this_thread().weighed(model, finding);
        const double trust = effective_trust(finding);
        const double doubt = (1.0 - trust) * flat_likelihood(model, finding);
        std::fill(influence.begin(), influence.end(), Influence{});
        for (std::size_t at = 0; at < row.size(); ++at) influence[row.who[at]] = row.influence(at);
        for (Triple& triple : triples) {
            Influence sum = influence[triple.i];
            add(sum, influence[triple.j]);
            add(sum, influence[triple.k]);
            triple.exponent += std::log((trust * likelihood_of(check, finding, sum) + doubt) / row.none);
        }
    }
    return triples;
}

}  // namespace frostread
