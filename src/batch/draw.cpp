#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "frostread/batch.hpp"
#include "session/simulate.hpp"

/// Invented closed cases. They come out of the library's own model, so they test the arithmetic: whether
/// the library is true of real refrigerators they cannot tell, and every one says so in its note.
namespace frostread {

namespace {

constexpr const char* kNote =
    "invented by frostread practice --draw from the library's own model: tests the arithmetic, not the truth of the "
    "rules";
constexpr double kStated = 0.85;        ///< share of traits that somebody stated
constexpr double kConditionSaid = 0.9;  ///< share of readings whose conditions are known to hold
constexpr double kSpread = 0.3;         ///< of the number of readings, either way

/// The checks of one call, in the order of the library: the complaint always, others at random, none of
/// those that only a licensed handler may do.
std::vector<CheckIndex> draw_checks(const UnitModel& model, SimRandom& random, std::size_t wanted) {
    const Library& library = model.compiled().library();
    std::vector<CheckIndex> chosen, others;
    for (CheckIndex check = 0; check < library.checks.size(); ++check) {
        if (!model.exists(check) || library.checks[check].who == Who::licensed) continue;
        (library.checks[check].kind == CheckKind::several ? chosen : others).push_back(check);
    }
    const double factor = 1.0 + kSpread * (2.0 * random.uniform() - 1.0);
    const auto count = static_cast<std::size_t>(std::lround(static_cast<double>(wanted) * factor));
    while (chosen.size() < count && !others.empty()) {
        const auto at = std::min(others.size() - 1,
                                 static_cast<std::size_t>(random.uniform() * static_cast<double>(others.size())));
        chosen.push_back(others[at]);
        others.erase(others.begin() + static_cast<std::ptrdiff_t>(at));
    }
    std::sort(chosen.begin(), chosen.end());
    return chosen;
}

}  // namespace

Case draw_closed_case(const std::shared_ptr<const CompiledLibrary>& library, std::uint64_t seed, std::uint64_t number,
                      std::size_t readings) {
    SimRandom random(mixed_seed(seed, number));
    const UnitModel model = fit_to_unit(library, draw_unit(library->library(), random, kStated));
    const FaultSet hidden = draw_faults(model, random);
    Case drawn;
    drawn.id = fmt::format("drawn-{}-{:05}", seed, number);
    drawn.unit = model.unit();
    for (const CheckIndex index : draw_checks(model, random, readings)) {
        const Check& check = library->library().checks[index];
        std::map<std::string, bool> after;
        for (const std::string& condition : check.after)
            if (random.uniform() < kConditionSaid) after[condition] = true;
        Reading reading = draw_reading(model, drawn, index, hidden, random, after).reading;
        write_like_a_person(reading, check);
        drawn.readings.push_back(std::move(reading));
    }
    drawn.closed.emplace().note = kNote;
    for (std::size_t i = 0; i < hidden.size; ++i) {
        const Alternative& member = library->alternative(hidden.members.at(i));
        const Fault& fault = library->library().faults[member.fault];
        drawn.closed->found.push_back(fault.grades.empty() ? fault.id : fault.id + ":" + fault.grades[member.grade].id);
    }
    return drawn;
}

}  // namespace frostread
