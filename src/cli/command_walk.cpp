#include "cli/command_walk.hpp"

#include <CLI/CLI.hpp>
#include <algorithm>

namespace frostread::cli {

namespace {

std::vector<std::string> choices_of(const std::string& type) {
    std::vector<std::string> out;
    if (type.find('|') == std::string::npos) return out;
    std::string word;
    for (const char c : type + "|") {
        if (c == '|') {
            if (!word.empty()) out.push_back(word);
            word.clear();
        } else {
            word += c;
        }
    }
    return out;
}

OptionFact option_fact(const CLI::Option& option) {
    OptionFact fact;
    for (const std::string& name : option.get_snames()) fact.names.push_back("-" + name);
    for (const std::string& name : option.get_lnames()) fact.names.push_back("--" + name);
    // A flag has no name for its value; every other option of ours carries one.
    if (option.get_type_size() != 0) fact.type = option.get_type_name();
    if (option.get_positional()) fact.positional = option.get_name(true);
    fact.help = option.get_description();
    fact.preset = option.get_default_str();
    fact.choices = choices_of(fact.type);
    if (fact.type == "WHEN") fact.choices = {"auto", "always", "never"};
    return fact;
}

void walk(const CLI::App& app, const std::vector<std::string>& path, std::vector<CommandFact>& out) {
    CommandFact fact;
    fact.path = path;
    const std::string description = app.get_description();
    const std::size_t end = description.find('\n');
    fact.summary = description.substr(0, end);
    if (end != std::string::npos) fact.more = description.substr(description.find_first_not_of('\n', end));
    fact.examples = app.get_footer();
    for (const CLI::Option* option : app.get_options([](const CLI::Option*) { return true; })) {
        if (option->get_group().empty()) continue;
        (option->get_positional() ? fact.positionals : fact.options).push_back(option_fact(*option));
    }
    const auto subcommands = app.get_subcommands([](const CLI::App*) { return true; });
    for (const CLI::App* sub : subcommands) fact.subcommands.push_back(sub->get_name());
    out.push_back(std::move(fact));
    for (const CLI::App* sub : subcommands) {
        std::vector<std::string> below = path;
        below.push_back(sub->get_name());
        walk(*sub, below, out);
    }
}

}  // namespace

std::vector<CommandFact> walk_commands(const CLI::App& root) {
    std::vector<CommandFact> out;
    walk(root, {}, out);
    return out;
}

}  // namespace frostread::cli
