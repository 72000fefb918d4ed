#pragma once

#include "cli/context.hpp"
#include "cli/practice_choice.hpp"

namespace frostread::cli {

/// A hidden fault to find. Without a seed one is taken by chance and shown.
[[nodiscard]] ExitCode run_practice(Context& context, const PracticeChoice& choice);

}  // namespace frostread::cli
