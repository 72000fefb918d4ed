#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <string>
#include <vector>

#include "cli/app.hpp"
#include "cli/suggest.hpp"
#include "present/writers.hpp"

/// Help pages: purpose, usage, examples, options or commands by group, where to read on.
namespace frostread::cli {

namespace {

using present::pad_right;
using present::wrapped;

constexpr std::size_t kHelpColumn = 26;

std::string first_line(const std::string& text) {
    return text.substr(0, text.find('\n'));
}

std::string rest_of(const std::string& text) {
    const std::size_t at = text.find('\n');
    return at == std::string::npos ? "" : text.substr(text.find_first_not_of('\n', at));
}

std::string row(const std::string& left, const std::string& right, std::size_t width) {
    const std::string lead = "  " + left;
    if (present::display_width(lead) + 2 > kHelpColumn) {
        return lead + "\n" + wrapped(right, width, std::string(kHelpColumn, ' '), std::string(kHelpColumn, ' '));
    }
    return wrapped(right, width, pad_right(lead, kHelpColumn), std::string(kHelpColumn, ' '));
}

std::string option_left(const CLI::Option& option) {
    std::string left;
    for (const std::string& name : option.get_snames()) {
        left += (left.empty() ? "-" : ", -") + name;
    }
    if (!option.get_lnames().empty()) {
        left += (left.empty() ? "    --" : ", --") + option.get_lnames().front();
    }
    if (option.get_type_size() != 0 && !option.get_type_name().empty()) {
        left += " " + option.get_type_name();
    }
    return left;
}

std::string option_right(const CLI::Option& option) {
    std::string right = option.get_description();
    if (!option.get_default_str().empty()) {
        right += fmt::format(" [default: {}]", option.get_default_str());
    }
    return right;
}

std::vector<const CLI::Option*> positionals(const CLI::App& app) {
    return app.get_options([](const CLI::Option* o) { return o->get_positional() && !o->get_group().empty(); });
}

std::string usage(const CLI::App& app) {
    std::string line = full_name(app);
    for (const CLI::Option* option : positionals(app)) {
        std::string name = option->get_name(true);
        if (option->get_expected_max() > 1) {
            name += " …";
        }
        line += option->get_required() ? " " + name : " [" + name + "]";
    }
    const bool has_commands = !app.get_subcommands([](const CLI::App*) { return true; }).empty();
    return line + (has_commands ? " COMMAND" : "") + " [options]";
}

std::string commands_part(const CLI::App& app, std::size_t width) {
    std::string out;
    std::vector<std::string> groups;
    const auto commands = app.get_subcommands([](const CLI::App*) { return true; });
    for (const CLI::App* command : commands) {
        if (std::find(groups.begin(), groups.end(), command->get_group()) == groups.end()) {
            groups.push_back(command->get_group());
        }
    }
    for (const std::string& group : groups) {
        out += "\n" + group + ":\n";
        for (const CLI::App* command : commands) {
            if (command->get_group() == group) {
                out += wrapped(first_line(command->get_description()), width, pad_right("  " + command->get_name(), 14),
                               std::string(14, ' '));
            }
        }
    }
    return out;
}

std::string options_part(const CLI::App& app, std::size_t width) {
    std::string out;
    std::vector<std::string> groups = app.get_groups();
    // What every command has stands last.
    std::stable_partition(groups.begin(), groups.end(), [](const std::string& g) { return g != "Everywhere"; });
    for (const std::string& group : groups) {
        const auto options = app.get_options([&](const CLI::Option* o) {
            return o->nonpositional() && !o->get_group().empty() && o->get_group() == group;
        });
        if (options.empty()) {
            continue;
        }
        out += "\n" + group + ":\n";
        for (const CLI::Option* option : options) {
            out += row(option_left(*option), option_right(*option), width);
        }
    }
    return out;
}

}  // namespace

std::string help_page(const CLI::App& command, std::size_t width) {
    const std::string& description = command.get_description();
    std::string out = wrapped(fmt::format("{} - {}", full_name(command), first_line(description)), width);
    out += "\n" + wrapped("usage: " + usage(command), width, "", "       ");
    if (const std::string more = rest_of(description); !more.empty()) {
        out += "\n" + wrapped(more, width);
    }
    const auto values = positionals(command);
    if (!values.empty()) {
        out += "\n";
        for (const CLI::Option* option : values) {
            out += row(option->get_name(true), option->get_description(), width);
        }
    }
    if (const std::string examples = command.get_footer(); !examples.empty()) {
        out += "\nExamples:\n";
        for (const std::string& line : present::wrap(examples, 1000)) {
            out += "  " + line + "\n";
        }
    }
    out += commands_part(command, width);
    out += options_part(command, width);
    if (command.get_parent() == nullptr) {
        out += "\n" + wrapped(
                          "frostread help COMMAND tells more of a command. The advice gives way to local law, to "
                          "licensed practice and to the unit's own wiring diagram and rating plate.",
                          width);
    }
    return out;
}

}  // namespace frostread::cli
