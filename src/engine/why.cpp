#include "frostread/why.hpp"

#include <algorithm>
#include <cmath>

#include "engine/case_sums.hpp"
#include "engine/set_likelihood.hpp"

namespace frostread {

namespace {

double decibans(double ratio) {
    return 10.0 * std::log10(ratio);
}

bool holds_fault(const CompiledLibrary& compiled, const FaultSet& set, FaultIndex fault) {
    for (std::size_t i = 0; i < set.size; ++i)
        if (compiled.alternative(set.members[i]).fault == fault) return true;
    return false;
}

double log_weight(const UnitModel& model, const Findings& findings, const FaultSet& set) {
    double sum = std::log(prior_weight(model, set));
    for (const Finding& finding : findings.items) sum += std::log(likelihood(model, finding, set));
    return sum;
}

/// The likeliest listed set that holds the fault, or the best of the fault's grades alone when none is listed.
FaultSet best_with(const UnitModel& model, const Findings& findings, const Posterior& posterior, FaultIndex fault) {
    const CompiledLibrary& compiled = model.compiled();
    for (const WeightedSet& weighted : posterior.sets)
        if (holds_fault(compiled, weighted.set, fault)) return weighted.set;
    FaultSet best;
    double best_weight = 0.0;
    for (AlternativeIndex i = compiled.first_alternative(fault);
         i < compiled.alternative_count() && compiled.alternative(i).fault == fault; ++i) {
        if (model.prior()[i] <= 0.0) continue;
        FaultSet alone{HypothesisKind::faults, 1, {static_cast<std::uint16_t>(i), 0, 0}};
        const double weight = log_weight(model, findings, alone);
        if (best.size == 0 || weight > best_weight) {
            best = alone;
            best_weight = weight;
        }
    }
    return best;
}

FaultSet best_without(const UnitModel& model, const Posterior& posterior, FaultIndex fault) {
    for (const WeightedSet& weighted : posterior.sets)
        if (!holds_fault(model.compiled(), weighted.set, fault)) return weighted.set;
    return FaultSet{};  // nothing wrong
}

}  // namespace

Ledger explain_between(const UnitModel& model, const Findings& findings, const FaultSet& favoured,
                       const FaultSet& rival) {
    Ledger ledger{favoured, rival, 0.0, 0.0, {}};
    ledger.prior_db = decibans(prior_weight(model, favoured) / prior_weight(model, rival));
    ledger.margin_db = ledger.prior_db;
    const CaseRows rows(model, findings);
    SetLikelihood likelihood_of_set;
    for (std::size_t i = 0; i < findings.items.size(); ++i) {
        likelihood_of_set.aim(model, findings.items[i], rows[i]);
        const double weight = decibans(likelihood_of_set(favoured) / likelihood_of_set(rival));
        ledger.weights.push_back({i, weight});
        ledger.margin_db += weight;
    }
    std::stable_sort(ledger.weights.begin(), ledger.weights.end(), [](const ReadingWeight& a, const ReadingWeight& b) {
        return std::abs(a.decibans) > std::abs(b.decibans);
    });
    return ledger;
}

Ledger explain(const UnitModel& model, const Findings& findings, const Posterior& posterior, FaultIndex fault) {
    return explain_between(model, findings, best_with(model, findings, posterior, fault),
                           best_without(model, posterior, fault));
}

std::vector<PivotalReading> pivotal_readings(const UnitModel& model, const Findings& findings,
                                             const Posterior& posterior) {
    const std::optional<FaultIndex> now = leader(posterior);
    const CompiledLibrary& compiled = model.compiled();
    std::vector<PivotalReading> pivotal;
    InferOptions sums_only;
    sums_only.max_sets = 0;
    for (std::size_t i = 0; i < findings.items.size(); ++i) {
        Finding finding = findings.items[i];
        const CompiledCheck& check = compiled.check(finding.check);
        const auto record = [&](OutcomeIndex instead, std::optional<double> deviation) {
            const auto then = leader(infer_instead(model, findings, i, &finding, sums_only));
            if (then != now) pivotal.push_back({i, instead, deviation, then});
        };
        if (check.kind == CheckKind::gauge) {
            finding.deviation = 0.0;
            record(0, 0.0);
        } else if (check.kind == CheckKind::several) {
            finding.absent = !finding.absent;
            record(finding.outcome, std::nullopt);
        } else {
            const std::vector<Outcome>& outcomes = compiled.library().checks[finding.check].outcomes;
            for (OutcomeIndex other = 0; other < check.outcome_count; ++other) {
                // "Nobody knows" is no other finding, but none.
                if (other == findings.items[i].outcome || outcomes[other].no_evidence) continue;
                finding.outcome = other;
                record(other, std::nullopt);
            }
        }
    }
    return pivotal;
}

}  // namespace frostread
