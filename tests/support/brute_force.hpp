#pragma once

#include <map>
#include <set>
#include <string>

#include "frostread/engine.hpp"

/// The judge: all sets, straight from the written rules, in linear space, with no pruning and no
/// cleverness. It reads the symbolic library, not the compiled one.
namespace frostread::test {

struct BruteForce {
    /// "" nothing wrong, "?" something else, else "fault:grade" joined by "+" in library order.
    std::map<std::string, double> sets;
    std::map<std::string, double> faults;  ///< marginal by fault id
    double log_evidence = 0.0;
};

/// Multipliers, gates and variants are not covered: the library must have none.
[[nodiscard]] BruteForce brute_force(const Library& library, const Findings& findings, int max_faults);

/// The same naming for a set of the engine.
[[nodiscard]] std::string name_of(const CompiledLibrary& compiled, const FaultSet& set);

}  // namespace frostread::test
