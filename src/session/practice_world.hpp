#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "frostread/practice.hpp"
#include "session/facts.hpp"
#include "session/simulate.hpp"
#include "session/walk.hpp"

/// The hidden unit and the going from check to check on it. The learner and the planner go over the same
/// one: a reading depends on the unit, on the seed and on how often the check was made, never on which
/// other checks were made before.
namespace frostread::session {

class PracticeWorld {
public:
    PracticeWorld(UnitModel model, const FaultSet& hidden, std::uint64_t seed, UnitPreference units);

    /// `times`: how often this check was read before. A reading again is the same, but for wrong ones.
    [[nodiscard]] DrawnReading answer(CheckIndex check, unsigned times) const;
    /// Whether a condition holds when the person comes.
    [[nodiscard]] bool holds_on_arrival(const Condition& condition) const;

    [[nodiscard]] const UnitModel& model() const { return model_; }
    [[nodiscard]] const FaultSet& hidden() const { return hidden_; }
    [[nodiscard]] std::uint64_t seed() const { return seed_; }
    [[nodiscard]] UnitPreference units() const { return units_; }

private:
    [[nodiscard]] DrawnReading drawn(CheckIndex check, std::uint64_t salt, Slip slip, int depth) const;

    UnitModel model_;
    FaultSet hidden_;
    std::uint64_t seed_;
    UnitPreference units_;
};

/// A unit whose traits go together, with `given` among them; the words of traits that no such unit has
/// (what starts the defrost of a unit that is defrosted by hand) are left out.
[[nodiscard]] UnitTraits draw_likely_unit(const Library& library, const UnitTraits& given, SimRandom& random);

/// The check by which owners complain; none when the library has none.
[[nodiscard]] std::optional<CheckIndex> complaint_check(const Library& library);

/// One way over the unit: readings, minutes, what is open.
class PracticeVisit {
public:
    PracticeVisit(const PracticeWorld& world, const PracticeOptions& options);

    [[nodiscard]] PracticeStep prepare(CheckIndex check) const;
    const PracticeRow& take(CheckIndex check);

    [[nodiscard]] const Case& the_case() const { return case_; }
    [[nodiscard]] const std::vector<PracticeRow>& rows() const { return rows_; }
    [[nodiscard]] double minutes() const { return minutes_; }
    [[nodiscard]] double wait_minutes() const { return wait_minutes_; }
    [[nodiscard]] std::size_t opened() const { return walk_.open().size(); }

private:
    [[nodiscard]] double wait_for(const Check& check, std::vector<std::string>* names) const;
    void put(CheckIndex check);

    const PracticeWorld* world_;
    const PracticeOptions* options_;
    const Library* library_;
    Walk walk_;
    Case case_;
    std::vector<PracticeRow> rows_;
    double minutes_ = 0.0, wait_minutes_ = 0.0;
};

}  // namespace frostread::session
