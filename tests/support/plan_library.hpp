#pragma once

#include "support/random_library.hpp"

/// Made-up libraries with a price on everything, for the planner.
namespace frostread::test {

struct PlanLibraryShape {
    RandomLibraryShape base;
    std::size_t areas = 2;      ///< closed panels
    double behind_panel = 0.5;  ///< share of checks behind one of them
    double open_low = 4.0, open_high = 15.0;
    double shared_remedy = 0.15;  ///< share of faults that share the remedy of an earlier one
};

/// random_library with minutes, areas, power, remedies and the usual economy.
[[nodiscard]] Library plan_library(std::mt19937_64& random, const PlanLibraryShape& shape);

}  // namespace frostread::test
