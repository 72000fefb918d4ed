#include <algorithm>
#include <cmath>

#include "engine/stages.hpp"
#include "frostread/why.hpp"

/// Which readings do not fit: the posterior that a reading is wrong falls out of the mixture
/// L' = trust L + (1 - trust) B, and the surprise is the tail of what all the other readings predict.
namespace frostread {

namespace {

constexpr double kDoubtful = 0.5;
constexpr double kSurprise = 0.01;
constexpr double kWorthChecking = 0.02;  ///< wrong with at least this, or the exact surprise is not worked out
constexpr int kGaugeSteps = 400;

/// Probability, given the other readings, of a reading no likelier than the one that was made.
double surprise_of(const UnitModel& model, const Finding& finding, const Posterior& others) {
    const CompiledCheck& check = model.compiled().check(finding.check);
    const auto predicted = [&](const Finding& imagined) {
        double sum = 0.0;
        for (const WeightedSet& weighted : others.sets)
            sum += weighted.probability * likelihood(model, imagined, weighted.set);
        return sum;
    };
    const double seen = predicted(finding) * (1.0 + 1e-12);
    double tail = 0.0, total = 0.0;
    const auto take = [&](const Finding& imagined, double width) {
        const double mass = predicted(imagined);
        total += mass * width;
        if (mass <= seen) tail += mass * width;
    };
    Finding imagined = finding;
    if (check.kind == CheckKind::gauge) {
        // Over the possible range, centred so that the reading itself lies inside.
        const double width = finding.width > 0.0 ? finding.width : check.width;
        const double step = width / kGaugeSteps;
        for (int i = 0; i <= kGaugeSteps; ++i) {
            imagined.deviation = -width / 2.0 + step * i;
            take(imagined, step);
        }
    } else if (check.kind == CheckKind::several) {
        for (const bool absent : {false, true}) {
            imagined.absent = absent;
            take(imagined, 1.0);
        }
    } else {
        for (OutcomeIndex outcome = 0; outcome < check.outcome_count; ++outcome) {
            imagined.outcome = outcome;
            take(imagined, 1.0);
        }
    }
    return total > 0.0 ? tail / total : 1.0;
}

}  // namespace

std::vector<double> probability_wrong(const UnitModel& model, const Findings& findings, const Posterior& posterior) {
    std::vector<double> wrong;
    for (const Finding& finding : findings.items) {
        const double flat = (1.0 - effective_trust(finding)) * flat_likelihood(model, finding);
        double sum = 0.0;
        for (const WeightedSet& weighted : posterior.sets) {
            // Under "something else" a reading tells nothing, so it is wrong as often as before.
            const double share = weighted.set.kind == HypothesisKind::something_else
                                     ? 1.0 - finding.trust
                                     : flat / likelihood(model, finding, weighted.set);
            sum += weighted.probability * share;
        }
        wrong.push_back(std::min(1.0, sum));
    }
    return wrong;
}

std::vector<DoubtfulReading> doubtful_readings(const UnitModel& model, const Findings& findings,
                                               const Posterior& posterior) {
    std::vector<DoubtfulReading> doubtful;
    const std::vector<double> wrong = probability_wrong(model, findings, posterior);
    const auto now = leader(posterior);
    for (std::size_t i = 0; i < findings.items.size(); ++i) {
        if (findings.items[i].trust <= 0.0) continue;  // moves nothing, so nothing to doubt
        const double usual = 1.0 - findings.items[i].trust;
        if (wrong[i] < kWorthChecking + usual) continue;
        Findings others = findings;
        others.items.erase(others.items.begin() + static_cast<std::ptrdiff_t>(i));
        const Posterior without = infer(model, others);
        DoubtfulReading reading{i, wrong[i], surprise_of(model, findings.items[i], without), leader(without) != now};
        if (wrong[i] > kDoubtful || (reading.surprise < kSurprise && reading.dropping_changes_leader))
            doubtful.push_back(reading);
    }
    return doubtful;
}

}  // namespace frostread
