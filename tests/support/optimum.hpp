#pragma once

#include "frostread/planner.hpp"
#include "plan/look_ahead.hpp"

/// The exact optimum of small jobs, by dynamic programming over everything that can be known.
namespace frostread::test {

/// Expected money of one job from nothing read to its end, right repair included.
struct JobCosts {
    double optimum = 0.0;  ///< of the best policy there is
    double planner = 0.0;  ///< of decide(), asked at every step
    double needed = 0.0;   ///< of the right repairs alone
    std::size_t decisions = 0;
};

/// Requires: looks only, no conditions, no cautions, power that never matters, second_fault and
/// something_else 0, every fault with a remedy of its own, at most 8 faults and 8 checks: then what is open
/// follows from what was read, and a state is the answers so far and the repairs tried.
[[nodiscard]] JobCosts job_costs(const UnitModel& model, const PlanOptions& options, const plan::Tuning& tuning = {});

/// A made-up library that fulfils it.
[[nodiscard]] Library small_library(std::uint64_t seed, std::size_t faults, std::size_t checks);

}  // namespace frostread::test
