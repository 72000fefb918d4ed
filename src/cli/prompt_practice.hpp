#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "cli/context.hpp"
#include "cli/io.hpp"
#include "cli/plan_choice.hpp"

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

/// A hidden fault to find. Without a seed one is taken by chance and shown.
[[nodiscard]] ExitCode run_practice(Context& context, const PracticeChoice& choice);

}  // namespace frostread::cli
