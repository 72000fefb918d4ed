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

std::vector<std::string> keep_off_cautions(const UnitModel& model, const Findings& findings) {
    std::vector<std::string> out;
    for (const Finding& finding : findings.items)
        if (const Caution* caution = plan::keep_off_caution(model, finding);
            caution != nullptr && std::find(out.begin(), out.end(), caution->id) == out.end())
            out.push_back(caution->id);
    return out;
}

}  // namespace frostread
