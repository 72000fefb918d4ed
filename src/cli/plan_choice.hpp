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

/// --can-not as typed to words that the planner knows; stops with usage at one that nothing is named by.
[[nodiscard]] std::vector<std::string> missing_things(const Library& library, const std::vector<std::string>& typed);

/// "? there is no such thing …", for a word of match_missing that does not fit one.
[[nodiscard]] std::string missing_problem(const Library& library, const std::string& typed, const NameMatch& match);

}  // namespace frostread::cli
