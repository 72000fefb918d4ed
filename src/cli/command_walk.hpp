#pragma once

#include <string>
#include <vector>

namespace CLI {
class App;
}

/// The tree of commands as plain values, for the scripts and pages that are made from it.
namespace frostread::cli {

struct OptionFact {
    std::vector<std::string> names;  ///< "-r", "--reading"; empty for a positional
    std::string type;                ///< "FILE", "us|si"; "" for a flag
    std::string positional;          ///< "CASE"
    std::string help;
    std::string preset;                ///< default as text; may be empty
    std::vector<std::string> choices;  ///< out of a type such as "us|si"
    [[nodiscard]] bool takes_value() const { return !type.empty(); }
};

struct CommandFact {
    std::vector<std::string> path;  ///< "rules", "lint"; empty for the program itself
    std::string summary;
    std::string more;      ///< paragraphs behind the summary
    std::string examples;  ///< "# comment" and command lines
    std::vector<OptionFact> options;
    std::vector<OptionFact> positionals;
    std::vector<std::string> subcommands;
};

/// Every command, the program itself first, each before its sub-commands.
[[nodiscard]] std::vector<CommandFact> walk_commands(const CLI::App& root);

/// Completion script of a shell: "bash", "zsh" or "fish". `names`: ids of checks, faults and cautions.
[[nodiscard]] std::string completion_script(const std::string& shell, const std::vector<CommandFact>& commands,
                                            const std::vector<std::string>& names);

/// frostread(1) as roff.
[[nodiscard]] std::string manual_page(const std::vector<CommandFact>& commands);

}  // namespace frostread::cli
