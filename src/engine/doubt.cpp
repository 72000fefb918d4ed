#include <algorithm>
#include <vector>

#include "engine/case_sums.hpp"
#include "engine/stages.hpp"
#include "frostread/why.hpp"

/// Which readings do not fit. With L' = trust L + (1 - trust) B the probability that reading j is wrong is
///     (1 - trust) B * P(all others) / P(all),
/// so two sums over all hypotheses give it exactly (case_sums.hpp). The surprise is the tail of what the others
/// predict.
namespace frostread {

namespace {

constexpr double kDoubtful = 0.5;
constexpr double kWorthDoubting = 0.5;
constexpr double kSurprise = 0.01;
constexpr double kWorthChecking = 0.02;  ///< added to what is usual: below it no surprise reaches 1 %
constexpr int kGaugeSteps = 120;

/// Probability, given the other readings, of a reading no likelier than the one that was made.
double surprise_of(const UnitModel& model, const Findings& findings, std::size_t index) {
    const Finding& finding = findings.items[index];
    const CompiledCheck& check = model.compiled().check(finding.check);
    // Readings that could have been made; the one that was made comes first.
    std::vector<Finding> imagined{finding};
    Finding one = finding;
    if (check.kind == CheckKind::gauge) {
        // Over the possible range in equal steps, so the width of a step cancels.
        const double width = finding.width > 0.0 ? finding.width : check.width;
        for (int i = 0; i <= kGaugeSteps; ++i) {
            one.deviation = -width / 2.0 + width * i / kGaugeSteps;
            imagined.push_back(one);
        }
    } else if (check.kind == CheckKind::several) {
        for (const bool absent : {false, true}) {
            one.absent = absent;
            imagined.push_back(one);
        }
    } else {
        for (one.outcome = 0; one.outcome < check.outcome_count; ++one.outcome) imagined.push_back(one);
    }
    std::vector<double> predicted(imagined.size());
    predict_without(model, findings, index, imagined, predicted);
    const double seen = predicted.front() * (1.0 + 1e-12);
    double tail = 0.0, total = 0.0;
    for (std::size_t i = 1; i < predicted.size(); ++i) {
        total += predicted[i];
        if (predicted[i] <= seen) tail += predicted[i];
    }
    return total > 0.0 ? tail / total : 1.0;
}

/// P(wrong) up to which a reading of named outcomes surprises nobody. The others predict it with
/// (1 - trust) B / P(wrong), and its tail holds at least itself; B is 1 / outcomes.
double no_surprise_below(const UnitModel& model, const Finding& finding) {
    if (model.compiled().check(finding.check).kind == CheckKind::gauge) return 0.0;
    const double predicted_if_sure = (1.0 - effective_trust(finding)) * flat_likelihood(model, finding);
    return std::min(kDoubtful, 0.99 * predicted_if_sure / kSurprise);
}

}  // namespace

std::vector<double> probability_wrong(const UnitModel& model, const Findings& findings) {
    std::vector<double> wrong;
    for (std::size_t i = 0; i < findings.items.size(); ++i) wrong.push_back(probability_wrong(model, findings, i));
    return wrong;
}

std::vector<DoubtfulReading> doubtful_readings(const UnitModel& model, const Findings& findings,
                                               const Posterior& posterior) {
    std::vector<DoubtfulReading> doubtful;
    InferOptions sums_only;
    sums_only.max_sets = 0;
    const auto now = leader(posterior);
    thread_local std::vector<double> most_of_thread;
    std::vector<double>& most = most_of_thread;
    probability_wrong_at_most(model, findings, most);
    for (std::size_t i = 0; i < findings.items.size(); ++i) {
        const Finding& finding = findings.items[i];
        if (finding.trust < kWorthDoubting) continue;  // it moves little, so there is little to doubt
        const double worth_checking =
            std::max(kWorthChecking + (1.0 - finding.trust), no_surprise_below(model, finding));
        const double below = worth_checking * (1.0 - 1e-9);
        if (most[i] < below) continue;
        const DoubtBound bound = now ? bound_doubt(model, findings, i, *now) : DoubtBound{};
        if (bound.wrong_at_most < below) continue;
        // Up to one half a reading is doubtful only when dropping it changes the leader.
        if (bound.leader_stays && bound.wrong_at_most < kDoubtful * (1.0 - 1e-9)) continue;
        const double wrong = probability_wrong(model, findings, i);
        if (wrong < worth_checking) continue;
        if (wrong <= kDoubtful && bound.leader_stays) continue;
        const bool changes_leader = leader(infer_without(model, findings, i, sums_only)) != now;
        if (wrong <= kDoubtful && !changes_leader) continue;
        const DoubtfulReading reading{i, wrong, surprise_of(model, findings, i), changes_leader};
        if (wrong > kDoubtful || reading.surprise < kSurprise) doubtful.push_back(reading);
    }
    return doubtful;
}

}  // namespace frostread
