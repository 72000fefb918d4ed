#include "plan/keep_off.hpp"

#include <algorithm>

#include "frostread/planner.hpp"

namespace frostread {

const Caution* plan::keep_off_caution(const UnitModel& model, const Finding& finding) {
    const Library& library = model.compiled().library();
    const Check& check = library.checks[finding.check];
    if (check.kind == CheckKind::gauge || finding.absent) return nullptr;
    const std::string& id = check.outcomes[finding.outcome].keep_off;
    const Caution* caution = id.empty() ? nullptr : find_caution(library, id);
    return caution != nullptr && holds(caution->where, model.unit()) != Truth::no ? caution : nullptr;
}

namespace {

/// A breaker that trips keeps the unit off only until its parts were measured: what they show then counts.
bool is_over(const UnitModel& model, const Findings& findings, const Finding& finding) {
    const CompiledLibrary& compiled = model.compiled();
    const Check& check = compiled.library().checks[finding.check];
    const std::vector<std::string>& until = check.outcomes[finding.outcome].keep_off_until;
    return !until.empty() && std::all_of(until.begin(), until.end(), [&](const std::string& id) {
        const auto index = compiled.check_index(id);
        return !index || !model.exists(*index) ||
               std::any_of(findings.items.begin(), findings.items.end(),
                           [&](const Finding& other) { return other.check == *index; });
    });
}

}  // namespace

std::vector<std::string> keep_off_cautions(const UnitModel& model, const Findings& findings) {
    std::vector<std::string> out;
    for (const Finding& finding : findings.items)
        if (const Caution* caution = plan::keep_off_caution(model, finding);
            caution != nullptr && !is_over(model, findings, finding) &&
            std::find(out.begin(), out.end(), caution->id) == out.end())
            out.push_back(caution->id);
    return out;
}

}  // namespace frostread
