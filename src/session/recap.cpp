#include <algorithm>
#include <cmath>

#include "session/facts.hpp"
#include "session/walk.hpp"

/// The end of a guided case: the way that was gone, what carried the conclusion, and the shorter way
/// that hindsight shows.
namespace frostread::session {

namespace {

constexpr double kNearFinal = 0.97;       ///< of the final probability; so much must the shorter way reach
constexpr double kLeastConclusion = 0.8;  ///< below this there is no conclusion to have reached faster
constexpr double kWorthSaying = 0.8;      ///< of the minutes spent; a shorter way must cost less than this
constexpr std::size_t kMostTried = 120;   ///< readings; the search is quadratic in them

class Hindsight {
public:
    Hindsight(const Diagnosis& now, const Case& the_case, const SessionOptions& options)
        : now_(now), case_(the_case), options_(options), library_(now.model.compiled().library()) {
        for (std::size_t i = 0; i < the_case.readings.size(); ++i)
            if (!the_case.readings[i].skipped && latest_reading(the_case, the_case.readings[i].check) == i)
                usable_.push_back(i);
    }

    [[nodiscard]] ShorterWay find(std::optional<FaultIndex> leader, double spent) const {
        const double final_probability = probability(leader, usable_);
        if (final_probability < kLeastConclusion || usable_.size() > kMostTried) return {};
        const double target = std::min(options_.plan.economy.confidence, kNearFinal * final_probability);
        std::vector<std::size_t> chosen;
        while (probability(leader, chosen) < target && chosen.size() < usable_.size()) {
            const auto best = best_addition(leader, chosen);
            if (!best) return {};
            chosen.push_back(*best);
        }
        for (std::size_t k = chosen.size(); k-- > 0 && chosen.size() > 1;) {
            std::vector<std::size_t> fewer = chosen;
            fewer.erase(fewer.begin() + static_cast<std::ptrdiff_t>(k));
            if (probability(leader, fewer) >= target) chosen = std::move(fewer);
        }
        std::sort(chosen.begin(), chosen.end());
        const double minutes = cost(chosen);
        if (chosen.size() >= usable_.size() || minutes >= kWorthSaying * spent) return {};
        const double sure = probability(leader, chosen);
        return {std::move(chosen), minutes, sure};
    }

private:
    [[nodiscard]] const Check& check_at(std::size_t reading) const {
        return *find_check(library_, case_.readings[reading].check);
    }

    [[nodiscard]] double probability(std::optional<FaultIndex> leader, const std::vector<std::size_t>& readings) const {
        Case part;
        part.unit = case_.unit;
        for (const std::size_t i : readings) part.readings.push_back(case_.readings[i]);
        const Posterior posterior = infer(now_.model, gather(now_.model, part), options_.infer);
        return leader ? posterior.fault[*leader] : posterior.nothing_wrong;
    }

    [[nodiscard]] double cost(const std::vector<std::size_t>& readings) const {
        Walk walk(library_, options_.plan.economy);
        double minutes = 0.0;
        for (const std::size_t i : readings) minutes += walk.go(check_at(i));
        return minutes;
    }

    [[nodiscard]] std::optional<std::size_t> best_addition(std::optional<FaultIndex> leader,
                                                           const std::vector<std::size_t>& chosen) const {
        std::optional<std::size_t> best;
        double best_rate = -1e300;
        const double before = probability(leader, chosen), spent = cost(chosen);
        for (const std::size_t i : usable_) {
            if (std::find(chosen.begin(), chosen.end(), i) != chosen.end()) continue;
            std::vector<std::size_t> more = chosen;
            more.push_back(i);
            const double rate = (probability(leader, more) - before) / std::max(0.5, cost(more) - spent);
            if (rate > best_rate) {
                best_rate = rate;
                best = i;
            }
        }
        return best;
    }

    const Diagnosis& now_;
    const Case& case_;
    const SessionOptions& options_;
    const Library& library_;
    std::vector<std::size_t> usable_;
};

}  // namespace

ShorterWay shorter_way(const Diagnosis& now, const Case& the_case, std::optional<FaultIndex> fault, double spent,
                       const SessionOptions& options) {
    return Hindsight(now, the_case, options).find(fault, spent);
}

Recap recap_of(const std::shared_ptr<const CompiledLibrary>& compiled, const Case& the_case,
               const std::map<std::string, bool>& held, Who may, const SessionOptions& options) {
    const Diagnosis now = diagnose_session(compiled, the_case, held, may, options);
    const Library& library = compiled->library();
    Recap recap;
    recap.report = now.report;
    Walk walk(library, options.plan.economy);
    for (std::size_t i = 0; i < the_case.readings.size(); ++i) {
        const Reading& reading = the_case.readings[i];
        const Check* check = find_check(library, reading.check);
        if (check == nullptr) continue;
        const Recorded recorded = recorded_of(library, the_case, now.findings, i, options.units);
        PathStep step{check->name, recorded.words, 0.0, recorded.skipped};
        if (!recorded.skipped) step.minutes = walk.go(*check);
        recap.minutes += step.minutes;
        recap.path.push_back(std::move(step));
    }
    const std::optional<FaultIndex> leading = leader(now.posterior);
    if (leading) {
        recap.leader = library.faults[*leading].id;
        recap.leader_name = library.faults[*leading].name;
        recap.probability = now.posterior.fault[*leading];
        for (const ReportFault& fault : now.report.faults)
            if (fault.id == recap.leader) {
                recap.evidence = fault.why.weights;
                recap.rival_name = fault.why.rival_words;
            }
    } else if (now.posterior.nothing_wrong >= now.posterior.something_else) {
        recap.leader_name = "nothing wrong";
        recap.probability = now.posterior.nothing_wrong;
    } else {
        recap.leader_name = "something not listed";
        recap.probability = now.posterior.something_else;
    }
    if (leading || now.posterior.nothing_wrong >= now.posterior.something_else) {
        const ShorterWay shorter = shorter_way(now, the_case, leading, recap.minutes, options);
        for (const std::size_t i : shorter.readings)
            recap.enough.push_back(find_check(library, the_case.readings[i].check)->name);
        recap.enough_minutes = shorter.minutes;
        recap.enough_probability = shorter.probability;
    }
    recap.still_open = now.report.still_open;
    return recap;
}

}  // namespace frostread::session
