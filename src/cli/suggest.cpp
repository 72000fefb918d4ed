#include "cli/suggest.hpp"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>

#include "base/text.hpp"

namespace frostread::cli {

namespace {

std::vector<std::string> subcommand_names(const CLI::App& app) {
    std::vector<std::string> names;
    for (const CLI::App* sub : app.get_subcommands([](const CLI::App*) { return true; })) {
        names.push_back(sub->get_name());
    }
    return names;
}

std::vector<std::string> option_names(const CLI::App& app) {
    std::vector<std::string> names;
    for (const CLI::Option* option : app.get_options([](const CLI::Option* o) { return o->nonpositional(); })) {
        for (const std::string& name : option->get_lnames()) {
            names.push_back("--" + name);
        }
    }
    return names;
}

std::string read_on(const CLI::App& app) {
    return fmt::format("; see {} --help", full_name(app));
}

std::string did_you_mean(const std::string& typed, const std::vector<std::string>& names) {
    const std::string_view close = text::nearest(typed, names);
    return close.empty() ? "" : fmt::format("; did you mean {}?", close);
}

/// "-r, --reading" of the option a parser message begins with, and the option itself.
struct NamedOption {
    std::string words;
    const CLI::Option* option = nullptr;
};

NamedOption option_named_in(const CLI::App& app, std::string_view message) {
    const std::string_view name = message.substr(0, std::min({message.find(':'), message.find(' '), message.size()}));
    NamedOption found{std::string(name), nullptr};
    for (const CLI::Option* option : app.get_options([](const CLI::Option*) { return true; })) {
        if (option->get_name() == name || option->check_name(std::string(name))) {
            found.option = option;
        }
    }
    return found;
}

std::string takes(const NamedOption& named) {
    const std::string type = named.option != nullptr ? named.option->get_type_name() : "";
    std::string typed;
    if (named.option != nullptr && !named.option->results().empty()) {
        typed = fmt::format(", not \"{}\"", named.option->results().back());
    }
    return fmt::format("{} takes {}{}", named.words, type.empty() ? "another value" : type, typed);
}

}  // namespace

const CLI::App& selected_command(const CLI::App& root) {
    const CLI::App* command = &root;
    while (!command->get_subcommands().empty()) {
        command = command->get_subcommands().back();
    }
    return *command;
}

std::string full_name(const CLI::App& command) {
    std::string name = command.get_name();
    for (const CLI::App* parent = command.get_parent(); parent != nullptr; parent = parent->get_parent()) {
        name = parent->get_name() + " " + name;
    }
    return name;
}

std::string explain_leftovers(const CLI::App& root) {
    for (const CLI::App* app = &root;;) {
        const std::vector<std::string> left = app->remaining();
        const auto dashed =
            std::find_if(left.begin(), left.end(), [](const std::string& s) { return s.size() > 1 && s[0] == '-'; });
        if (dashed != left.end()) {
            const std::string name = dashed->substr(0, dashed->find('='));
            return fmt::format("{} has no option {}{}{}", full_name(*app), name, did_you_mean(name, option_names(*app)),
                               read_on(*app));
        }
        const std::vector<std::string> names = subcommand_names(*app);
        if (!left.empty() && !names.empty() && app->get_subcommands().empty()) {
            return fmt::format("{} has no command \"{}\"{}{}", full_name(*app), left.front(),
                               did_you_mean(left.front(), names), read_on(*app));
        }
        if (!left.empty()) {
            return fmt::format("{} does not know what to do with \"{}\"{}", full_name(*app), left.front(),
                               read_on(*app));
        }
        if (app->get_subcommands().empty()) {
            return "";
        }
        app = app->get_subcommands().back();
    }
}

std::string explain_parse_error(const CLI::App& root, const CLI::ParseError& error) {
    // A misspelt option is often why another one seems to be missing.
    if (std::string leftovers = explain_leftovers(root); !leftovers.empty()) {
        return leftovers;
    }
    const CLI::App& command = selected_command(root);
    const std::string message = error.what();
    const std::string kind = error.get_name();
    const NamedOption named = option_named_in(command, message);
    if (kind == "ArgumentMismatch") {
        if (message.find("At Most") != std::string::npos) {
            return fmt::format("{} is given more than once{}", named.words, read_on(command));
        }
        const std::string type = named.option != nullptr ? named.option->get_type_name() : "";
        return fmt::format("{} needs a value{}{}", named.words, type.empty() ? "" : ": " + type, read_on(command));
    }
    if (kind == "ConversionError") {
        const std::size_t at = message.find(": ");
        const NamedOption converted =
            option_named_in(command, at == std::string::npos ? message : std::string_view(message).substr(at + 2));
        return takes(converted.option != nullptr ? converted : named) + read_on(command);
    }
    if (kind == "ValidationError") {
        return takes(named) + read_on(command);
    }
    if (kind == "RequiredError") {
        const std::vector<std::string> names = subcommand_names(command);
        if (!names.empty() && message.find("subcommand") != std::string::npos) {
            return fmt::format("{} needs to be told what: {}{}", full_name(command), text::join_or(names),
                               read_on(command));
        }
        return fmt::format("{} needs {}{}", full_name(command), named.words, read_on(command));
    }
    if (kind == "ExcludesError") {
        const std::size_t at = message.find(" excludes ");
        if (at != std::string::npos) {
            return fmt::format("{} and {} cannot be given together{}", message.substr(0, at), message.substr(at + 10),
                               read_on(command));
        }
    }
    if (kind == "RequiresError") {
        const std::size_t at = message.find(" requires ");
        if (at != std::string::npos) {
            return fmt::format("{} only makes sense with {}{}", message.substr(0, at), message.substr(at + 10),
                               read_on(command));
        }
    }
    return message + read_on(command);
}

}  // namespace frostread::cli
