#include <CLI/CLI.hpp>
#include <memory>

#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "cli/rules_commands.hpp"

namespace frostread::cli {

Run set_up_rules(CLI::App& command) {
    command.description(command.get_description() +
                        "\n\nThe rules are JSON files (docs/rules.md). Copy the folder rules/, change it, and point "
                        "every command to it with --rules; or keep your own entries in one file for --rules-extra.");
    command.footer(
        "# is a changed library fit for use?\n"
        "frostread rules lint --rules my-rules\n"
        "# all checks behind the freezer panel\n"
        "frostread rules list --kind checks --place freezer");
    command.require_subcommand(1);
    auto runs = std::make_shared<std::vector<std::pair<CLI::App*, Run>>>();
    const auto add = [&](const char* name, const char* summary, Run (*set_up)(CLI::App&)) {
        CLI::App* sub = command.add_subcommand(name, summary);
        sub->group("Commands");
        runs->emplace_back(sub, set_up(*sub));
    };
    add("lint", "find what is wrong or weak in the library", set_up_rules_lint);
    add("list", "list checks, faults, cautions, areas or traits", set_up_rules_list);
    add("table", "every weight of every answer for every fault", set_up_rules_table);
    add("schema", "the JSON Schema of a kind of rule file, for your editor", set_up_rules_schema);
    return [runs](Context& context) {
        for (const auto& [sub, run] : *runs) {
            if (sub->parsed()) {
                return run(context);
            }
        }
        return ExitCode::usage;
    };
}

}  // namespace frostread::cli
