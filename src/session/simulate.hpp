#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <random>
#include <span>
#include <string>
#include <vector>

#include "frostread/engine.hpp"
#include "frostread/quantity.hpp"

/// Made-up calls from a seed: a hidden fault set out of the unit's own prior, and the readings such a
/// unit would give, wrong ones included. Used by the practice mode, the tests and the measurement of
/// the planner. The numbers are the same on every platform: the standard library's distributions are
/// not, so the draws are our own.
namespace frostread {

class SimRandom {
public:
    explicit SimRandom(std::uint64_t seed) : engine_(seed) {}
    /// In [0, 1).
    [[nodiscard]] double uniform() { return static_cast<double>(engine_() >> 11) * 0x1.0p-53; }
    /// Standard normal, by Marsaglia's polar method.
    [[nodiscard]] double normal();
    /// Student t with 4 degrees of freedom, by Bailey's polar method (Math. Comp. 62, 1994, from memory).
    [[nodiscard]] double student_t4();
    /// Index in proportion to weights >= 0; the last one with weight when rounding runs over.
    [[nodiscard]] std::size_t pick(std::span<const double> weights);

private:
    std::mt19937_64 engine_;
};

/// A seed for one thing out of the seed for all (SplitMix64 finaliser, Steele, Lea & Flood 2014), so that
/// the answer to one check does not depend on which others were asked.
[[nodiscard]] std::uint64_t mixed_seed(std::uint64_t seed, std::uint64_t salt);

/// A unit as somebody wrote it down: words and numbers by the library's mix, each one stated with the
/// probability `stated`. Traits without a mix are left out.
[[nodiscard]] UnitTraits draw_unit(const Library& library, SimRandom& random, double stated = 1.0);

/// What is hidden: at most two faults at a grade, in proportion to the unit's prior; nothing wrong and
/// something else among them when asked for.
struct DrawOptions {
    bool nothing_wrong = true;
    bool something_else = false;
    std::function<bool(const FaultSet&)> wanted;  ///< only such sets; empty: any
};
[[nodiscard]] FaultSet draw_faults(const UnitModel& model, SimRandom& random, const DrawOptions& options = {});

/// What a person would read. With probability 1 - trust the reading is wrong: anything at all.
struct DrawnReading {
    Reading reading;
    bool wrong = false;
};

/// Answers one check on a unit with `hidden` faults. Trust, references and limits are those that the
/// reading would have in `so_far`. Conditions in `after` are put into the reading. A check that would be no
/// evidence (superseded, void, not on this unit) is answered as if nothing were wrong.
/// `slip` decides instead of chance whether the reading is wrong; the same numbers are drawn either way.
enum class Slip { by_trust, right, wrong };
[[nodiscard]] DrawnReading draw_reading(const UnitModel& model, const Case& so_far, CheckIndex check,
                                        const FaultSet& hidden, SimRandom& random,
                                        const std::map<std::string, bool>& after = {}, Slip slip = Slip::by_trust);

/// As a person notes a quantity: four figures at most, in the preferred measure. The value becomes what is
/// read back from the text, so that a case holds no more figures than it shows.
void write_like_a_person(Reading& reading, const Check& check, UnitPreference units = UnitPreference::si);

/// A whole call.
struct DrawnCase {
    FaultSet hidden;
    Case the_case;                   ///< unit and the readings asked for, in the order given
    std::vector<std::string> wrong;  ///< ids of checks whose reading is wrong
};

/// Deterministic in (model, seed, checks).
[[nodiscard]] DrawnCase draw_case(const UnitModel& model, std::uint64_t seed, std::span<const CheckIndex> checks,
                                  const DrawOptions& options = {});

}  // namespace frostread
