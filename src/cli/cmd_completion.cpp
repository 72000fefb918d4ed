#include <CLI/CLI.hpp>
#include <algorithm>
#include <memory>
#include <ostream>

#include "cli/app.hpp"
#include "cli/command_walk.hpp"
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "frostread/files.hpp"

namespace frostread::cli {

namespace {

/// Ids of the rules in the program, as `card` and -r take them.
std::vector<std::string> known_names() {
    std::vector<std::string> names;
    const Result<Library> library = load_embedded_library();
    if (!library) return names;
    for (const Check& check : library->checks) names.push_back(check.id);
    for (const Fault& fault : library->faults) names.push_back(fault.id);
    for (const Caution& caution : library->cautions) names.push_back(caution.id);
    std::sort(names.begin(), names.end());
    names.erase(std::unique(names.begin(), names.end()), names.end());
    return names;
}

}  // namespace

Run set_up_completion(CLI::App& command) {
    auto what = std::make_shared<std::string>();
    command.description(command.get_description() +
                        "\n\nPrints a script that lets the shell complete commands, options and the names of checks, "
                        "or the manual page. Both are made from the same table as the help and come installed.");
    command.footer(
        "# for this shell only\n"
        "source <(frostread completion bash)\n"
        "# the manual page without installing it\n"
        "frostread completion man > frostread.1");
    command.add_option("WHAT", *what, "bash, zsh, fish or man")
        ->type_name("bash|zsh|fish|man")
        ->check(one_of({"bash", "zsh", "fish", "man"}))
        ->required();
    return [what](Context& context) {
        const std::vector<CommandFact> commands = walk_commands(*command_tree());
        context.out << (*what == "man" ? manual_page(commands) : completion_script(*what, commands, known_names()));
        return ExitCode::done;
    };
}

}  // namespace frostread::cli
