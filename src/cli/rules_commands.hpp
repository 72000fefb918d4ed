#pragma once

#include "cli/commands.hpp"

/// The commands under `frostread rules`.
namespace frostread::cli {

[[nodiscard]] Run set_up_rules_lint(CLI::App& command);
[[nodiscard]] Run set_up_rules_list(CLI::App& command);
[[nodiscard]] Run set_up_rules_table(CLI::App& command);
[[nodiscard]] Run set_up_rules_schema(CLI::App& command);

}  // namespace frostread::cli
