#include <fmt/format.h>

#include "cli/command_walk.hpp"
#include "cli/exit_codes.hpp"
#include "frostread/version.hpp"

/// frostread(1), made from the tree of commands and the table of exit codes.
namespace frostread::cli {

namespace {

/// Text that roff would take for its own is escaped.
std::string roff(const std::string& text) {
    std::string out;
    bool line_start = true;
    for (const char c : text) {
        if (line_start && (c == '.' || c == '\'')) out += "\\&";
        if (c == '\\') {
            out += "\\e";
        } else if (c == '-') {
            out += "\\-";
        } else {
            out += c;
        }
        line_start = c == '\n';
    }
    return out;
}

std::string name_of(const CommandFact& command) {
    std::string name = "frostread";
    for (const std::string& word : command.path) name += " " + word;
    return name;
}

/// Paragraphs behind blank lines.
std::string paragraphs(const std::string& text) {
    std::string out;
    std::string part;
    const auto flush = [&] {
        if (!part.empty()) out += ".PP\n" + roff(part) + "\n";
        part.clear();
    };
    std::size_t at = 0;
    while (at <= text.size()) {
        const std::size_t end = std::min(text.find('\n', at), text.size());
        const std::string line = text.substr(at, end - at);
        if (line.empty()) {
            flush();
        } else {
            part += (part.empty() ? "" : "\n") + line;
        }
        at = end + 1;
    }
    flush();
    return out;
}

std::string option_entry(const OptionFact& option) {
    std::string names;
    for (const std::string& name : option.names)
        names += fmt::format("{}\\fB{}\\fR", names.empty() ? "" : ", ", roff(name));
    if (names.empty()) names = fmt::format("\\fI{}\\fR", roff(option.positional));
    if (!option.names.empty() && option.takes_value()) names += fmt::format(" \\fI{}\\fR", roff(option.type));
    std::string help = roff(option.help);
    if (!option.preset.empty()) help += fmt::format(" [default: {}]", roff(option.preset));
    return fmt::format(".TP\n{}\n{}\n", names, help);
}

std::string usage(const CommandFact& command) {
    std::string out = fmt::format("\\fB{}\\fR", roff(name_of(command)));
    for (const OptionFact& positional : command.positionals)
        out += fmt::format(" [\\fI{}\\fR]", roff(positional.positional));
    if (!command.subcommands.empty()) out += " \\fICOMMAND\\fR";
    return out + " [\\fIoptions\\fR]";
}

std::string examples(const std::string& text) {
    return text.empty() ? "" : fmt::format(".PP\n.nf\n{}\n.fi\n", roff(text));
}

}  // namespace

std::string manual_page(const std::vector<CommandFact>& commands) {
    if (commands.empty()) return "";
    const CommandFact& program = commands.front();
    std::string out =
        fmt::format(".TH FROSTREAD 1 \"\" \"frostread {}\" \"User Commands\"\n", roff(std::string(kVersion)));
    out += fmt::format(".SH NAME\nfrostread \\- {}\n", roff(program.summary));
    out += fmt::format(".SH SYNOPSIS\n{}\n", usage(program));
    out += ".SH DESCRIPTION\n" + paragraphs(program.more);
    out += ".SH OPTIONS\n";
    for (const OptionFact& option : program.options) out += option_entry(option);
    out += ".SH COMMANDS\n";
    for (const CommandFact& command : commands) {
        if (command.path.empty()) continue;
        out += fmt::format(".SS {}\n{}\n.PP\n{}.\n", roff(name_of(command)), usage(command), roff(command.summary));
        out += paragraphs(command.more);
        for (const OptionFact& positional : command.positionals) out += option_entry(positional);
        for (const OptionFact& option : command.options) out += option_entry(option);
        out += examples(command.examples);
    }
    out += ".SH EXAMPLES\n" + examples(program.examples);
    out += ".SH EXIT STATUS\n";
    for (const ExitCodeRow& row : kExitCodes)
        out += fmt::format(".TP\n{}\n{}\n", static_cast<int>(row.code), roff(row.meaning));
    out +=
        ".SH ENVIRONMENT\n"
        ".TP\nNO_COLOR\nWhen set and not empty, no colour.\n"
        ".TP\nCOLUMNS\nWidth of the text, in place of the terminal's own.\n"
        ".TP\nTERM\nA dumb terminal gets plain lines without editing.\n";
    out +=
        ".SH CAUTION\n"
        "The advice gives way to local law, to licensed practice and to the unit's own wiring diagram and rating "
        "plate.\n";
    return out;
}

}  // namespace frostread::cli
