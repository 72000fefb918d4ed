#include <algorithm>
#include <cmath>

#include "engine/stages.hpp"
#include "frostread/why.hpp"

/// Which readings do not fit. With L' = trust L + (1 - trust) B the probability that reading j is wrong is
///     (1 - trust) B * P(all others) / P(all),
/// so two sums over all hypotheses give it exactly. The surprise is the tail of what the others predict.
namespace frostread {

namespace {

constexpr double kDoubtful = 0.5;
constexpr double kSurprise = 0.01;
constexpr double kWorthChecking = 0.02;     ///< added to what is usual: below it no surprise reaches 1 %
constexpr double kPredictiveMass = 0.9999;  ///< share of the others' belief that the tail is worked out from
constexpr int kGaugeSteps = 120;

Findings without(const Findings& findings, std::size_t index) {
    Findings others = findings;
    others.items.erase(others.items.begin() + static_cast<std::ptrdiff_t>(index));
    return others;
}

/// Probability, given the other readings, of a reading no likelier than the one that was made.
double surprise_of(const UnitModel& model, const Finding& finding, const Posterior& others) {
    const CompiledCheck& check = model.compiled().check(finding.check);
    double mass = 0.0;
    std::size_t count = 0;
    while (count < others.sets.size() && mass < kPredictiveMass) mass += others.sets[count++].probability;
    const auto predicted = [&](const Finding& imagined) {
        double sum = 0.0;
        for (std::size_t i = 0; i < count; ++i)
            sum += others.sets[i].probability * likelihood(model, imagined, others.sets[i].set);
        return sum;
    };
    const double seen = predicted(finding) * (1.0 + 1e-12);
    double tail = 0.0, total = 0.0;
    const auto take = [&](const Finding& imagined) {
        const double likely = predicted(imagined);
        total += likely;
        if (likely <= seen) tail += likely;
    };
    Finding imagined = finding;
    if (check.kind == CheckKind::gauge) {
        // Over the possible range; equal steps, so the width of a step cancels.
        const double width = finding.width > 0.0 ? finding.width : check.width;
        for (int i = 0; i <= kGaugeSteps; ++i) {
            imagined.deviation = -width / 2.0 + width * i / kGaugeSteps;
            take(imagined);
        }
    } else if (check.kind == CheckKind::several) {
        for (const bool absent : {false, true}) {
            imagined.absent = absent;
            take(imagined);
        }
    } else {
        for (OutcomeIndex outcome = 0; outcome < check.outcome_count; ++outcome) {
            imagined.outcome = outcome;
            take(imagined);
        }
    }
    return total > 0.0 ? tail / total : 1.0;
}

double wrong_given(const UnitModel& model, const Finding& finding, const Posterior& others, const Posterior& all) {
    const double flat = (1.0 - effective_trust(finding)) * flat_likelihood(model, finding);
    return std::min(1.0, flat * std::exp(others.log_evidence - all.log_evidence));
}

}  // namespace

std::vector<double> probability_wrong(const UnitModel& model, const Findings& findings, const Posterior& posterior) {
    InferOptions sums_only;
    sums_only.max_sets = 0;
    std::vector<double> wrong;
    for (std::size_t i = 0; i < findings.items.size(); ++i)
        wrong.push_back(
            wrong_given(model, findings.items[i], infer(model, without(findings, i), sums_only), posterior));
    return wrong;
}

std::vector<DoubtfulReading> doubtful_readings(const UnitModel& model, const Findings& findings,
                                               const Posterior& posterior) {
    std::vector<DoubtfulReading> doubtful;
    const std::vector<double> wrong = probability_wrong(model, findings, posterior);
    const auto now = leader(posterior);
    for (std::size_t i = 0; i < findings.items.size(); ++i) {
        const Finding& finding = findings.items[i];
        if (finding.trust <= 0.0) continue;  // moves nothing, so nothing to doubt
        if (wrong[i] < kWorthChecking + (1.0 - finding.trust)) continue;
        const Posterior others = infer(model, without(findings, i));
        const DoubtfulReading reading{i, wrong[i], surprise_of(model, finding, others), leader(others) != now};
        if (wrong[i] > kDoubtful || (reading.surprise < kSurprise && reading.dropping_changes_leader))
            doubtful.push_back(reading);
    }
    return doubtful;
}

}  // namespace frostread
