#include "support/plan_library.hpp"

#include <string>

namespace frostread::test {

Library plan_library(std::mt19937_64& random, const PlanLibraryShape& shape) {
    Library library = random_library(random, shape.base);
    const auto between = [&](double low, double high) { return low + (high - low) * uniform(random); };
    library.nothing_wrong = 20.0;
    library.something_else = 4.0;
    library.second_fault = 0.3;
    for (std::size_t i = 0; i < shape.areas; ++i) {
        Area area;
        area.id = "area-" + std::to_string(i);
        area.name = area.id;
        area.open_minutes = between(shape.open_low, shape.open_high);
        area.close_minutes = 0.6 * area.open_minutes;
        area.power = Power::off;
        library.areas.push_back(area);
    }
    for (Check& check : library.checks) {
        check.minutes = between(1.0, 8.0);
        if (shape.areas > 0 && uniform(random) < shape.behind_panel) {
            const auto area = static_cast<std::size_t>(uniform(random) * static_cast<double>(shape.areas));
            check.areas = {library.areas[area].id};
            check.power = Power::off;
        } else if (uniform(random) < 0.3) {
            check.power = Power::on;
        }
    }
    for (std::size_t f = 0; f < library.faults.size(); ++f) {
        Remedy& remedy = library.faults[f].remedy;
        if (f > 0 && uniform(random) < shape.shared_remedy) {
            remedy = library.faults[f - 1].remedy;
            continue;
        }
        remedy.id = "remedy-" + std::to_string(f);
        remedy.name = remedy.id;
        remedy.minutes = between(5.0, 60.0);
        remedy.parts_low = uniform(random) < 0.4 ? 0.0 : between(5.0, 40.0);
        remedy.parts_high = 2.0 * remedy.parts_low;
        if (shape.areas > 0 && uniform(random) < 0.3) remedy.areas = {library.areas[0].id};
    }
    return library;
}

}  // namespace frostread::test
