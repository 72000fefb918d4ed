#include <vector>

#include "compile/variant_choice.hpp"
#include "frostread/compiled_library.hpp"

namespace frostread {

std::string_view reason_of(const UnitModel& model, FaultIndex fault, CheckIndex check) {
    const Library& library = model.compiled().library();
    std::vector<const Rule*> rules;
    for (const Rule& rule : library.faults[fault].rules)
        if (rule.check == library.checks[check].id) rules.push_back(&rule);
    if (rules.empty()) return {};
    if (rules.size() == 1 && rules.front()->where.empty()) return rules.front()->because;
    VariantChoice choice;
    for (std::size_t i = 0; i < rules.size(); ++i)
        choice.offer(static_cast<std::int32_t>(i), library, rules[i]->where, model.unit());
    const std::int32_t chosen = choice.chosen();
    return chosen < 0 ? std::string_view() : std::string_view(rules[static_cast<std::size_t>(chosen)]->because);
}

}  // namespace frostread
