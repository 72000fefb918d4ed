#include <algorithm>

#include "frostread/planner.hpp"

namespace frostread {

std::vector<std::string> keep_off_cautions(const UnitModel& model, const Findings& findings) {
    const Library& library = model.compiled().library();
    std::vector<std::string> out;
    for (const Finding& finding : findings.items) {
        const Check& check = library.checks[finding.check];
        if (check.kind == CheckKind::gauge || finding.absent) continue;
        const std::string& id = check.outcomes[finding.outcome].keep_off;
        const Caution* caution = id.empty() ? nullptr : find_caution(library, id);
        if (caution != nullptr && holds(caution->where, model.unit()) != Truth::no &&
            std::find(out.begin(), out.end(), id) == out.end())
            out.push_back(id);
    }
    return out;
}

}  // namespace frostread
