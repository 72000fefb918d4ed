#include <CLI/CLI.hpp>
#include <memory>

#include "cli/commands.hpp"
#include "cli/prompt.hpp"

namespace frostread::cli {

Run set_up_guide(CLI::App& command) {
    auto choice = std::make_shared<SessionChoice>();
    command.description(command.get_description() +
                        "\n\nAsks about the unit and the complaint, then one check at a time in a safe order. Answer "
                        "by number, by word or with what you measured; \"how\" tells how to do it, \"why\" what it "
                        "separates. It ends with a recap: the way, the evidence, what would have been faster, what to "
                        "do and how to prove that it worked. Every answer is on disk before the next question.");
    command.footer(
        "# a new case\n"
        "frostread guide first.json\n"
        "# without the question on what you are trained for\n"
        "frostread guide first.json --may technician");
    add_session_options(command, *choice);
    return [choice](Context& context) { return run_guide(context, *choice); };
}

}  // namespace frostread::cli
