#pragma once

#include <algorithm>
#include <string>
#include <vector>

#include "frostread/case.hpp"
#include "frostread/library.hpp"

/// Cautions on their way into a report.
namespace frostread::present {

/// Collects caution ids once each, leaving out those that are known not to apply to this unit.
class CautionList {
public:
    CautionList(const Library& library, const UnitTraits& unit) : library_(library), unit_(unit) {}

    void add(const std::string& id) {
        const Caution* caution = find_caution(library_, id);
        if (caution != nullptr && holds(caution->where, unit_) != Truth::no &&
            std::find(list_.begin(), list_.end(), caution) == list_.end()) {
            list_.push_back(caution);
        }
    }
    void add(const std::vector<std::string>& ids) {
        for (const std::string& id : ids) {
            add(id);
        }
    }
    void add_areas(const std::vector<std::string>& areas) {
        for (const std::string& id : areas) {
            if (const Area* area = find_area(library_, id)) {
                add(area->cautions);
            }
        }
    }
    /// Cautions that a whole system of the refrigerator brings with it.
    void add_system(const std::string& system) {
        for (const Caution& caution : library_.cautions) {
            if (std::find(caution.systems.begin(), caution.systems.end(), system) != caution.systems.end()) {
                add(caution.id);
            }
        }
    }

    /// Most dangerous first; equals in the order of the library.
    [[nodiscard]] std::vector<const Caution*> sorted() const {
        std::vector<const Caution*> out = list_;
        std::sort(out.begin(), out.end(), [](const Caution* a, const Caution* b) {
            return a->hazard != b->hazard ? a->hazard > b->hazard : a < b;
        });
        return out;
    }
    [[nodiscard]] std::vector<std::string> ids() const {
        std::vector<std::string> out;
        for (const Caution* caution : sorted()) {
            out.push_back(caution->id);
        }
        return out;
    }

private:
    const Library& library_;
    const UnitTraits& unit_;
    std::vector<const Caution*> list_;
};

}  // namespace frostread::present
