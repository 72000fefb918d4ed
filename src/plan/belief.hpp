#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "frostread/engine.hpp"

/// The belief the planner works on: the likeliest sets of the posterior, laid out so that what one
/// imagined answer does to it is a handful of dot products.
namespace frostread::plan {

using RemedyIndex = std::int32_t;

/// A remedy that may be needed on this unit.
struct RemedyEntry {
    const Remedy* remedy = nullptr;  ///< of the likeliest fault that it cures
    FaultIndex fault = 0;            ///< the likeliest fault that it cures
    double probability = 0.0;        ///< that one of the unit's faults is cured by it
};

/// Sets that ask for the same remedies lie together: [first, last).
struct Group {
    std::uint32_t first = 0, last = 0;
    HypothesisKind kind = HypothesisKind::nothing_wrong;
    std::uint8_t count = 0;  ///< remedies needed, all of them
    std::array<RemedyIndex, 3> remedies{};
    std::uint32_t remedy_class = 0;  ///< what information is about: the remedy to be done first
};

struct Belief {
    std::vector<FaultSet> sets;  ///< in the order of their groups
    std::vector<double> weight;  ///< parallel to sets, sums to 1
    std::vector<Group> groups;
    std::vector<RemedyEntry> remedies;
    double covered = 0.0;  ///< posterior probability of the sets kept, before scaling to 1
    /// Remedies, then nothing wrong, something else, and what is not worth repairing.
    [[nodiscard]] std::size_t class_count() const { return remedies.size() + 3; }
    [[nodiscard]] std::size_t nothing_class() const { return remedies.size(); }
    [[nodiscard]] std::size_t stranger_class() const { return remedies.size() + 1; }
    [[nodiscard]] std::size_t hopeless_class() const { return remedies.size() + 2; }
};

/// In JobState::tried: the unit was declared sound, and was not.
inline constexpr std::string_view kNothingWrongTried = "nothing-wrong";

inline constexpr std::size_t kMostSets = 320;
inline constexpr double kCoverage = 0.999;

/// Ensures: never empty; deterministic; a set of several faults stands in the class of the remedy that is
/// likelier on its own, since that one is done first and the other one shows afterwards.
/// `tried`: remedies done without ending the trouble; sets that they would have cured are out.
[[nodiscard]] Belief make_belief(const UnitModel& model, const Posterior& posterior,
                                 std::span<const std::string> tried = {}, std::size_t most = kMostSets,
                                 double coverage = kCoverage);

/// Mass per group of `weights` (parallel to Belief::sets); returns the total.
double group_masses(const Belief& belief, std::span<const double> weights, std::vector<double>& masses);
/// The same for weights times a row of likelihoods.
double group_masses(const Belief& belief, std::span<const double> weights, std::span<const double> row,
                    std::vector<double>& masses);

/// Mass per remedy class out of the masses per group.
void class_masses(const Belief& belief, std::span<const double> groups, std::vector<double>& classes);

/// Entropy in bits of masses that need not be normalised; 0 for an empty total.
[[nodiscard]] double entropy_bits(std::span<const double> masses, double total);

}  // namespace frostread::plan
