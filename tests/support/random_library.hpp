#pragma once

#include <cstdint>
#include <random>

#include "frostread/engine.hpp"

/// Made-up libraries and findings from a seed, for comparing the engine with a judge.
namespace frostread::test {

/// Uniform in [0, 1), the same on every platform (standard distributions are not).
[[nodiscard]] double uniform(std::mt19937_64& random);

struct RandomLibraryShape {
    std::size_t faults = 6, checks = 8;
    bool grades = true, gauges = true, several = true, decides = true;
    std::size_t outcomes = 3;  ///< most outcomes of a look; 2 makes it noisy-OR
    double touch = 0.5;        ///< share of fault-check pairs with a rule
};

[[nodiscard]] Library random_library(std::mt19937_64& random, const RandomLibraryShape& shape);

/// One finding per chosen check, values and trusts drawn without regard to any fault.
[[nodiscard]] Findings random_findings(std::mt19937_64& random, const Library& library, std::size_t count);

}  // namespace frostread::test
