#pragma once

#include <functional>
#include <span>

#include "cli/context.hpp"
#include "cli/exit_codes.hpp"

namespace CLI {
class App;
}

/// The table of commands. A command is one row here and one file cmd_<name>.cpp: its set-up function
/// adds options to the given parser and returns what is to be done with them. Dispatch, help, spelling
/// hints and completion all read this table.
namespace frostread::cli {

/// Runs the command; everything it needs from the command line was captured by set_up.
using Run = std::function<ExitCode(Context&)>;

/// Adds options, positionals and sub-commands to `command`. Conventions:
/// - command.description(): the summary is there already; append paragraphs after a blank line;
/// - command.footer(): examples, each a "# comment" line and a command line below it;
/// - options carry ->type_name("FILE") and ->group("Output"); -h, --help and --color are added for you.
using SetUp = Run (*)(CLI::App& command);

struct CommandRow {
    const char* name;
    const char* group;    ///< heading in the help: what the person wants to do
    const char* summary;  ///< one line, no full stop
    SetUp set_up;
};

/// All commands in the order of the help.
[[nodiscard]] std::span<const CommandRow> command_table();

[[nodiscard]] Run set_up_call(CLI::App& command);
[[nodiscard]] Run set_up_completion(CLI::App& command);
[[nodiscard]] Run set_up_guide(CLI::App& command);
[[nodiscard]] Run set_up_diagnose(CLI::App& command);
[[nodiscard]] Run set_up_card(CLI::App& command);
[[nodiscard]] Run set_up_rules(CLI::App& command);
[[nodiscard]] Run set_up_close(CLI::App& command);
[[nodiscard]] Run set_up_batch(CLI::App& command);
[[nodiscard]] Run set_up_practice(CLI::App& command);
[[nodiscard]] Run set_up_bench_calc(CLI::App& command);
[[nodiscard]] Run set_up_templog(CLI::App& command);

}  // namespace frostread::cli
