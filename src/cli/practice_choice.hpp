#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "cli/io.hpp"
#include "cli/plan_choice.hpp"
#include "frostread/practice.hpp"

/// What a person chose of a practice, on the command line.
namespace frostread::cli {

struct PracticeChoice {
    std::optional<std::uint64_t> seed;
    std::string system, fault;        ///< as typed
    std::vector<std::string> traits;  ///< TRAIT=VALUE
    std::string units = "si";
    std::string may;
    std::string save;  ///< case file; empty: none
    bool json = false;
    LibraryChoice library;
    PlanChoice plan;
};

/// Names in full. Throws Stop (bad_input) for a fault, system or trait that there is not.
[[nodiscard]] PracticeOptions practice_options(const PracticeChoice& choice, const Library& library,
                                               std::uint64_t seed);

/// The command that gives the same case again.
[[nodiscard]] std::string same_again(const PracticeChoice& choice, std::uint64_t seed);

}  // namespace frostread::cli
