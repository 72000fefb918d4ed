#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

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

double mix_total(const Trait& trait) {
    double total = 0.0;
    for (const auto& [value, share] : trait.mix) total += share;
    return total;
}

/// A unit as somebody wrote it down: words and numbers by the library's mix, some left out.
UnitTraits draw_unit(const Library& library, SimRandom& random) {
    UnitTraits unit;
    for (const Trait& trait : library.traits) {
        const bool stated = random.uniform() < kStated;
        std::vector<double> shares;
        if (trait.is_number) {
            if (mix_total(trait) <= 0.0) continue;
            for (const auto& [value, share] : trait.mix) shares.push_back(share);
            const double value = trait.mix[random.pick(shares)].first;
            if (stated) unit.numbers[trait.id] = value;
        } else {
            for (const TraitValue& value : trait.values) shares.push_back(value.id == "unknown" ? 0.0 : value.share);
            const std::string& word = trait.values[random.pick(shares)].id;
            if (stated) unit.words[trait.id] = word;
        }
    }
    return unit;
}

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

/// As a person writes it: four figures at most, with the unit of measure.
void write_like_a_person(Reading& reading, const Check& check) {
    if (!reading.value) return;
    const Measure* measure = find_measure(check.unit);
    if (measure == nullptr) return;
    const double step = check.normal.spread >= 5.0 || std::abs(*reading.value) >= 100.0 ? 1.0 : 0.1;
    double value = std::round(*reading.value / step) * step;
    if (check.range.min) value = std::max(value, *check.range.min);
    if (check.range.max) value = std::min(value, *check.range.max);
    reading.typed = to_text(Quantity{value, measure});
    // What is read back is what counts, so the case holds no more figures than its text.
    if (const auto again = parse_quantity(reading.typed, measure->dimension)) reading.value = to_canonical(*again);
}

}  // namespace

Case draw_closed_case(const std::shared_ptr<const CompiledLibrary>& library, std::uint64_t seed, std::uint64_t number,
                      std::size_t readings) {
    SimRandom random(mixed_seed(seed, number));
    const UnitModel model = fit_to_unit(library, draw_unit(library->library(), random));
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
