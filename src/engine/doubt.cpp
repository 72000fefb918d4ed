#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "engine/case_sums.hpp"
#include "engine/hypotheses.hpp"
#include "engine/set_likelihood.hpp"
#include "engine/stages.hpp"
#include "frostread/why.hpp"

/// Which readings do not fit. With L' = trust L + (1 - trust) B the probability that reading j is wrong is
///     (1 - trust) B * P(all others) / P(all),
/// so two sums over all hypotheses give it exactly (case_sums.hpp). The surprise is the tail of what the others
/// predict.
namespace frostread {

namespace {

constexpr double kDoubtful = 0.5;
constexpr double kSurprise = 0.01;
constexpr double kWorthChecking = 0.02;     ///< added to what is usual: below it no surprise reaches 1 %
constexpr double kPredictiveMass = 0.9999;  ///< share of the others' belief that the tail is worked out from
constexpr int kGaugeSteps = 120;

/// Probability, given the other readings, of a reading no likelier than the one that was made. Sets that do
/// the same to the check predict the same, so each such group is asked once.
double surprise_of(const UnitModel& model, const Finding& finding, Posterior others) {
    const CompiledCheck& check = model.compiled().check(finding.check);
    SetLikelihood likelihood_of_set(model, finding);
    thread_local std::vector<std::size_t> group_of_thread;
    thread_local std::vector<WeightedSet> groups_of_thread;
    std::vector<std::size_t>& group_of = group_of_thread;  // place in `groups` and one; 0: not met yet
    std::vector<WeightedSet>& groups = groups_of_thread;
    group_of.assign(likelihood_of_set.groups(), 0);
    groups.clear();
    double believed = 0.0;
    for (const WeightedSet& weighted : others.sets) believed += weighted.probability;
    if (believed >= kPredictiveMass) std::sort(others.sets.begin(), others.sets.end(), likelier);
    believed = 0.0;
    for (const WeightedSet& weighted : others.sets) {
        std::size_t& place = group_of[likelihood_of_set.group(weighted.set)];
        if (place == 0) {
            groups.push_back({weighted.set, 0.0});
            place = groups.size();
        }
        groups[place - 1].probability += weighted.probability;
        believed += weighted.probability;
        if (believed >= kPredictiveMass) break;
    }
    // Readings that could have been made; the one that was made comes first.
    std::vector<double> predicted;
    if (check.kind == CheckKind::gauge) {
        // Over the possible range in equal steps, so the width of a step cancels.
        std::vector<double> deviations{finding.deviation};
        const double width = finding.width > 0.0 ? finding.width : check.width;
        for (int i = 0; i <= kGaugeSteps; ++i) deviations.push_back(-width / 2.0 + width * i / kGaugeSteps);
        predicted.assign(deviations.size(), 0.0);
        for (const WeightedSet& group : groups)
            likelihood_of_set.add_densities(group.set, group.probability, deviations, predicted);
    } else {
        const auto predict = [&](const Finding& imagined) {
            likelihood_of_set.aim(model, imagined);
            double sum = 0.0;
            for (const WeightedSet& group : groups) sum += group.probability * likelihood_of_set(group.set);
            predicted.push_back(sum);
        };
        predict(finding);
        Finding imagined = finding;
        for (OutcomeIndex outcome = 0; check.kind != CheckKind::several && outcome < check.outcome_count; ++outcome) {
            imagined.outcome = outcome;
            predict(imagined);
        }
        for (const bool absent : {false, true}) {
            if (check.kind != CheckKind::several) break;
            imagined.absent = absent;
            predict(imagined);
        }
    }
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
        if (finding.trust <= 0.0) continue;  // moves nothing, so nothing to doubt
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
        if (wrong <= kDoubtful && (bound.leader_stays || leader(infer_without(model, findings, i, sums_only)) == now))
            continue;
        Posterior others = infer_without(model, findings, i, {}, SetOrder::any);
        const bool changes_leader = leader(others) != now;
        const DoubtfulReading reading{i, wrong, surprise_of(model, finding, std::move(others)), changes_leader};
        if (wrong > kDoubtful || reading.surprise < kSurprise) doubtful.push_back(reading);
    }
    return doubtful;
}

}  // namespace frostread
