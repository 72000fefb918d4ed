#include <CLI/CLI.hpp>
#include <memory>

#include "cli/commands.hpp"
#include "cli/prompt.hpp"

namespace frostread::cli {

Run set_up_call(CLI::App& command) {
    auto choice = std::make_shared<SessionChoice>();
    command.description(command.get_description() +
                        "\n\nType readings in any order and shorthand: fz 15F, frost inlet, ohm heater 22. After each "
                        "line it shows the leaders, how they moved and the next test. Every reading is on disk before "
                        "the prompt comes back; started again on the same file it goes on where it was. \"help\" "
                        "shows what else can be typed.");
    command.footer(
        "# a new case\n"
        "frostread call mill-lane.json -u layout=top -u gas=R-600a\n"
        "# from a pipe\n"
        "printf 'fz 15F fr 36F\\nfan blows\\n' | frostread call mill-lane.json");
    add_session_options(command, *choice);
    return [choice](Context& context) { return run_call(context, *choice); };
}

}  // namespace frostread::cli
