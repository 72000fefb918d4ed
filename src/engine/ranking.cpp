#include <algorithm>

#include "frostread/engine.hpp"

namespace frostread {

std::optional<FaultIndex> leader(const Posterior& posterior) {
    if (posterior.fault.empty()) return std::nullopt;
    // The first of equals in library order, so that ties never depend on anything else.
    const auto best = std::max_element(posterior.fault.begin(), posterior.fault.end());
    if (*best <= posterior.nothing_wrong || *best <= posterior.something_else) return std::nullopt;
    return static_cast<FaultIndex>(best - posterior.fault.begin());
}

std::vector<RankedFault> rank(const UnitModel& model, const Posterior& posterior) {
    const CompiledLibrary& compiled = model.compiled();
    std::vector<RankedFault> ranking;
    for (AlternativeIndex i = 0; i < compiled.alternative_count(); ++i) {
        if (model.prior()[i] <= 0.0) continue;
        const FaultIndex fault = compiled.alternative(i).fault;
        if (ranking.empty() || ranking.back().fault != fault) {
            ranking.push_back({fault, posterior.fault[fault], {}});
            // Grades that the unit cannot have keep their place, so that the list fits the library's.
            ranking.back().grades.assign(compiled.library().faults[fault].grades.size(), 0.0);
        }
        if (!ranking.back().grades.empty())
            ranking.back().grades[compiled.alternative(i).grade] = posterior.alternative[i];
    }
    std::stable_sort(ranking.begin(), ranking.end(),
                     [](const RankedFault& a, const RankedFault& b) { return a.probability > b.probability; });
    return ranking;
}

}  // namespace frostread
