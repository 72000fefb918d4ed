#include <fmt/format.h>

#include <algorithm>

#include "cli/command_walk.hpp"

/// Scripts for the shells, made from the tree of commands: nothing in them is kept by hand.
namespace frostread::cli {

namespace {

std::string joined(const std::vector<std::string>& words, const char* between = " ") {
    std::string out;
    for (const std::string& word : words) out += (out.empty() ? "" : between) + word;
    return out;
}

/// Whether values are names of checks: CHECK=VALUE, FAULT, ID.
bool takes_name(const OptionFact& option) {
    const std::string& type = option.positional.empty() ? option.type : option.positional;
    return type.starts_with("CHECK") || type == "FAULT" || type == "ID";
}

bool takes_folder(const OptionFact& option) {
    return option.type == "DIR";
}

bool takes_file(const OptionFact& option) {
    const std::string& type = option.positional.empty() ? option.type : option.positional;
    return type.starts_with("FILE") || type.starts_with("CASE") || type.starts_with("INPUT");
}

std::string single_quoted(const std::string& text) {
    std::string out = "'";
    for (const char c : text) out += c == '\'' ? std::string("'\\''") : std::string(1, c);
    return out + "'";
}

std::vector<std::string> all_names(const CommandFact& command) {
    std::vector<std::string> out;
    for (const OptionFact& option : command.options)
        for (const std::string& name : option.names) out.push_back(name);
    return out;
}

std::string bash(const std::vector<CommandFact>& commands, const std::vector<std::string>& names) {
    std::string out =
        "# Completion of frostread for bash. Made by: frostread completion bash\n"
        "_frostread() {\n"
        "    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} path= i\n"
        "    local subcommands= options= values= files=\n"
        "    COMPREPLY=()\n"
        "    for ((i = 1; i < COMP_CWORD; i++)); do\n"
        "        case \"$path ${COMP_WORDS[i]}\" in\n";
    for (const CommandFact& command : commands)
        if (!command.path.empty())
            out += fmt::format("            \" {}\") path=\" {}\" ;;\n", joined(command.path), joined(command.path));
    out += "        esac\n    done\n    case $path in\n";
    for (const CommandFact& command : commands) {
        const std::string path = command.path.empty() ? "" : " " + joined(command.path);
        out += fmt::format("        \"{}\")\n            subcommands={}\n            options={}\n", path,
                           single_quoted(joined(command.subcommands)), single_quoted(joined(all_names(command))));
        for (const OptionFact& positional : command.positionals) {
            if (takes_name(positional)) out += "            values=$_frostread_names\n";
            if (takes_file(positional)) out += "            files=1\n";
        }
        out += "            case $before in\n";
        for (const OptionFact& option : command.options) {
            if (!option.takes_value()) continue;
            std::string what = "values= files=";
            if (!option.choices.empty()) what = fmt::format("values={} files=", single_quoted(joined(option.choices)));
            if (takes_name(option)) what = "values=$_frostread_names files=";
            if (takes_file(option)) what = "values= files=1";
            if (takes_folder(option)) what = "values= files=2";
            out += fmt::format("                {}) subcommands= options= {} ;;\n", joined(option.names, "|"), what);
        }
        out += "            esac ;;\n";
    }
    out +=
        "    esac\n"
        "    mapfile -t COMPREPLY < <(compgen -W \"$subcommands $values\" -- \"$word\"\n"
        "        [[ $word == -* ]] && compgen -W \"$options\" -- \"$word\"\n"
        "        [[ $files == 1 && $word != -* ]] && compgen -f -- \"$word\"\n"
        "        [[ $files == 2 ]] && compgen -d -- \"$word\")\n"
        "}\n";
    out += fmt::format("_frostread_names={}\n", single_quoted(joined(names)));
    return out + "complete -o filenames -F _frostread frostread\n";
}

/// Characters that end or split a description in zsh's _arguments.
std::string zsh_text(const std::string& text) {
    std::string out;
    for (const char c : text) {
        if (c == '[' || c == ']' || c == ':' || c == '\\') out += '\\';
        out += c;
    }
    return out;
}

std::string zsh_action(const OptionFact& option) {
    if (!option.choices.empty()) return "(" + joined(option.choices) + ")";
    if (takes_name(option)) return "($_frostread_names)";
    if (takes_folder(option)) return "_files -/";
    return takes_file(option) ? "_files" : " ";
}

std::string zsh_function(const CommandFact& command) {
    std::string out = fmt::format("_frostread{}() {{\n    local -a subcommands\n",
                                  command.path.empty() ? "" : "_" + joined(command.path, "_"));
    out += "    _arguments -C \\\n";
    for (const OptionFact& option : command.options)
        for (const std::string& name : option.names) {
            std::string spec = fmt::format("*{}[{}]", name, zsh_text(option.help));
            if (option.takes_value()) spec += fmt::format(":value:{}", zsh_action(option));
            const std::string line = "        " + single_quoted(spec);
            out += line + " \\\n";
        }
    if (!command.subcommands.empty()) {
        out += fmt::format("        '1: :({})' '*:: :->rest'\n", joined(command.subcommands));
        out += "    [[ $state == rest ]] && case $words[1] in\n";
        for (const std::string& sub : command.subcommands)
            out += fmt::format("        {}) _frostread{}_{} ;;\n", sub,
                               command.path.empty() ? "" : "_" + joined(command.path, "_"), sub);
        out += "    esac\n";
    } else if (!command.positionals.empty()) {
        out += fmt::format("        {}\n", single_quoted("*: :" + zsh_action(command.positionals.front())));
    } else {
        out += "        '*: :'\n";
    }
    return out + "}\n";
}

std::string zsh(const std::vector<CommandFact>& commands, const std::vector<std::string>& names) {
    std::string out = "#compdef frostread\n# Completion of frostread for zsh. Made by: frostread completion zsh\n";
    out += fmt::format("local -a _frostread_names=({})\n", joined(names));
    for (auto command = commands.rbegin(); command != commands.rend(); ++command) out += zsh_function(*command);
    return out + "_frostread \"$@\"\n";
}

std::string fish(const std::vector<CommandFact>& commands, const std::vector<std::string>& names) {
    std::string out = "# Completion of frostread for fish. Made by: frostread completion fish\n";
    out += fmt::format("set -g __frostread_names {}\n", joined(names));
    out += "complete -c frostread -f\n";
    for (const CommandFact& command : commands) {
        std::string when = "__fish_use_subcommand";
        if (!command.path.empty()) {
            when.clear();
            for (const std::string& word : command.path)
                when += fmt::format("{}__fish_seen_subcommand_from {}", when.empty() ? "" : "; and ", word);
        }
        const std::string head = fmt::format("complete -c frostread -n {}", single_quoted(when));
        for (const CommandFact& sub : commands)
            if (sub.path.size() == command.path.size() + 1 &&
                std::equal(command.path.begin(), command.path.end(), sub.path.begin()))
                out += fmt::format("{} -a {} -d {}\n", head, sub.path.back(), single_quoted(sub.summary));
        for (const OptionFact& positional : command.positionals) {
            if (takes_file(positional)) out += head + " -F\n";
            if (takes_name(positional)) out += head + " -a '$__frostread_names'\n";
        }
        for (const OptionFact& option : command.options) {
            std::string line = head;
            for (const std::string& name : option.names)
                line += name.starts_with("--") ? " -l " + name.substr(2) : " -s " + name.substr(1);
            line += " -d " + single_quoted(option.help);
            if (option.takes_value()) line += takes_file(option) || takes_folder(option) ? " -r -F" : " -x";
            if (!option.choices.empty()) line += " -a " + single_quoted(joined(option.choices));
            if (takes_name(option)) line += " -a '$__frostread_names'";
            out += line + "\n";
        }
    }
    return out;
}

}  // namespace

std::string completion_script(const std::string& shell, const std::vector<CommandFact>& commands,
                              const std::vector<std::string>& names) {
    if (shell == "bash") return bash(commands, names);
    return shell == "zsh" ? zsh(commands, names) : fish(commands, names);
}

}  // namespace frostread::cli
