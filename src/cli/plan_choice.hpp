#pragma once

#include <optional>
#include <string>
#include <vector>

#include "frostread/planner.hpp"

namespace CLI {
class App;
}

/// What the person says about money, time and what they cannot do.
namespace frostread::cli {

struct PlanChoice {
    std::optional<double> labour, worth, part_factor, confidence, patience;
    std::vector<std::string> can_not;
};

/// --labour, --worth, --part-factor, --confidence, --patience and --can-not.
void add_plan_options(CLI::App& command, PlanChoice& choice);

/// The library's economy with what was given on the command line.
[[nodiscard]] PlanOptions plan_options(const Library& library, const PlanChoice& choice);

}  // namespace frostread::cli
