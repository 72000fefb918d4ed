#include "session/practice_world.hpp"

#include <algorithm>
#include <array>
#include <string_view>

/// What is hidden and what it answers.
namespace frostread::session {

namespace {

constexpr int kDeepest = 4;               ///< of what a reading is relative to; the loader allows no circles
constexpr std::uint64_t kAnswers = 1000;  ///< salt of the first reading, as in draw_case
constexpr std::uint64_t kAgain = 97000;   ///< and of each later one
constexpr int kMostUnits = 400;           ///< draws until the traits go together
/// Conditions between these take the night before: whoever comes in the morning finds them so.
constexpr double kMadeOnTheSpot = 60.0, kHoldsOrNot = 720.0;

/// Which words go together on household units; common practice, no source. A trait or word that the
/// library does not know binds nothing.
struct Together {
    std::string_view trait, word;
    std::string_view other;
    std::array<std::string_view, 2> words;
};
constexpr std::array<Together, 10> kTogether = {{
    {"layout", "chest-freezer", "cooling", {"plate", ""}},
    {"layout", "single-door", "cooling", {"plate", "one-evaporator"}},
    {"layout", "upright-freezer", "cooling", {"plate", "one-evaporator"}},
    {"layout", "chest-freezer", "defrost", {"manual", ""}},
    {"cooling", "plate", "defrost", {"manual", "cycling"}},
    {"cooling", "one-evaporator", "defrost", {"automatic", ""}},
    {"cooling", "two-evaporators", "defrost", {"automatic", ""}},
    {"compressor", "variable-speed", "control", {"electronic", ""}},
    {"control", "mechanical", "defrost-control", {"timer", ""}},
    {"refrigerant", "R-12", "compressor", {"fixed-speed", ""}},
}};

/// left household units long ago: only the old ones have them. Common practice, no source.
constexpr std::array<std::string_view, 2> kOldGases = {"R-12", "R-22"};
constexpr double kOld = 15.0;

bool is(const UnitTraits& unit, std::string_view trait, std::string_view word) {
    const auto found = unit.words.find(std::string(trait));
    return found != unit.words.end() && found->second == word;
}

bool goes_together(const UnitTraits& unit) {
    for (const Together& rule : kTogether) {
        const auto other = unit.words.find(std::string(rule.other));
        if (!is(unit, rule.trait, rule.word) || other == unit.words.end()) continue;
        if (std::find(rule.words.begin(), rule.words.end(), other->second) == rule.words.end()) return false;
    }
    const auto age = unit.numbers.find("age_years");
    return age == unit.numbers.end() || age->second >= kOld ||
           std::none_of(kOldGases.begin(), kOldGases.end(),
                        [&](std::string_view gas) { return is(unit, "refrigerant", gas); });
}

/// Ids of the gauges that a check's normal and limits hang on.
std::vector<std::string_view> references_of(const Check& check) {
    return {check.normal.relative_to, check.low_limit.relative_to, check.high_limit.relative_to, check.reference};
}

}  // namespace

UnitTraits draw_likely_unit(const Library& library, const UnitTraits& given, SimRandom& random) {
    UnitTraits unit;
    for (int attempt = 0; attempt < kMostUnits; ++attempt) {
        unit = draw_unit(library, random);
        for (const auto& [trait, word] : given.words) unit.words[trait] = word;
        for (const auto& [trait, number] : given.numbers) unit.numbers[trait] = number;
        if (!is(unit, "defrost", "automatic") && given.words.count("defrost-control") == 0)
            unit.words.erase("defrost-control");
        if (goes_together(unit)) break;
    }
    return unit;
}

std::optional<CheckIndex> complaint_check(const Library& library) {
    for (CheckIndex check = 0; check < library.checks.size(); ++check)
        if (library.checks[check].kind == CheckKind::several && library.checks[check].areas.empty()) return check;
    return std::nullopt;
}

PracticeWorld::PracticeWorld(UnitModel model, const FaultSet& hidden, std::uint64_t seed, UnitPreference units)
    : model_(std::move(model)), hidden_(hidden), seed_(seed), units_(units) {}

DrawnReading PracticeWorld::drawn(CheckIndex index, std::uint64_t salt, Slip slip, int depth) const {
    const CompiledLibrary& compiled = model_.compiled();
    const Check& check = compiled.library().checks[index];
    // What it is relative to is as it is, whether or not anybody has read it.
    Case around;
    around.unit = model_.unit();
    for (const std::string_view id : references_of(check))
        if (const auto other = compiled.check_index(std::string(id)); other && depth < kDeepest)
            around.readings.push_back(drawn(*other, kAnswers + *other, Slip::right, depth + 1).reading);
    std::map<std::string, bool> after;
    for (const std::string& id : check.after) after[id] = true;
    SimRandom random(mixed_seed(seed_, salt));
    DrawnReading out = draw_reading(model_, around, index, hidden_, random, after, slip);
    write_like_a_person(out.reading, check, units_);
    return out;
}

DrawnReading PracticeWorld::answer(CheckIndex check, unsigned times) const {
    if (times == 0) return drawn(check, kAnswers + check, Slip::by_trust, 0);
    // Chance decides anew only whether this reading is a wrong one.
    DrawnReading again = drawn(check, kAnswers + kAgain * times + check, Slip::by_trust, 0);
    return again.wrong ? again : drawn(check, kAnswers + check, Slip::right, 0);
}

bool PracticeWorld::holds_on_arrival(const Condition& condition) const {
    if (const auto by = model_.compiled().check_index(condition.known_by)) {
        const Reading reading = drawn(*by, kAnswers + *by, Slip::right, 0).reading;
        if (reading.value)
            return *reading.value >= condition.known_range.min.value_or(*reading.value) &&
                   *reading.value <= condition.known_range.max.value_or(*reading.value);
        const auto& good = condition.known_outcomes;
        return !reading.outcomes.empty() && std::find(good.begin(), good.end(), reading.outcomes.front()) != good.end();
    }
    return condition.wait_minutes > kMadeOnTheSpot && condition.wait_minutes < kHoldsOrNot;
}

}  // namespace frostread::session
