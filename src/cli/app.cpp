#include "cli/app.hpp"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <exception>
#include <iostream>
#include <map>
#include <utility>

#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "cli/suggest.hpp"
#include "cli/terminal.hpp"
#include "frostread/files.hpp"
#include "frostread/version.hpp"
#include "present/writers.hpp"

namespace frostread::cli {

namespace {

constexpr const char* kEverywhere = "Everywhere";

struct Tree {
    std::unique_ptr<CLI::App> root;
    std::map<const CLI::App*, Run> runs;
    std::shared_ptr<std::string> colour = std::make_shared<std::string>("auto");
    std::shared_ptr<bool> version = std::make_shared<bool>(false);
};

/// -h and --color on every command, also those of commands.
void add_common_options(CLI::App& app, const std::shared_ptr<std::string>& colour) {
    app.set_help_flag("-h,--help", "show this page")->group(kEverywhere);
    app.add_option("--color,--colour", *colour, "colour in the text: auto, always or never")
        ->type_name("WHEN")
        ->check(one_of({"auto", "always", "never"}))
        ->group(kEverywhere);
    for (CLI::App* sub : app.get_subcommands([](CLI::App*) { return true; })) {
        add_common_options(*sub, colour);
    }
}

Tree build_tree() {
    Tree tree;
    tree.root = std::make_unique<CLI::App>("finds why a refrigerator does not hold its temperature", "frostread");
    CLI::App& root = *tree.root;
    root.set_help_flag();
    root.allow_extras();  // what is left over gets our own wording
    root.require_subcommand(0, 1);
    for (const CommandRow& row : command_table()) {
        CLI::App* command = root.add_subcommand(row.name, row.summary);
        command->group(row.group);
        tree.runs.emplace(command, row.set_up(*command));
    }
    add_common_options(root, tree.colour);
    root.add_flag("-V,--version", *tree.version, "show the versions of the program, the rules and the formats")
        ->group(kEverywhere);
    root.description(
        "finds why a refrigerator does not hold its temperature\n\n"
        "Give it what you saw and measured. It ranks the likely faults, says why, names the next test and what that "
        "test would settle, and tells you what can hurt before you touch it.");
    root.footer(
        "# three readings of a freezer that is too warm\n"
        "frostread diagnose -r freezer-temp=-9C -r fridge-temp=4C -r freezer-fan=blows\n"
        "# how to judge the frost on the coil\n"
        "frostread card evaporator-frost");
    return tree;
}

/// `frostread help X` is `frostread X --help`.
std::vector<std::string> with_help_word(std::vector<std::string> arguments) {
    if (!arguments.empty() && arguments.front() == "help") {
        arguments.erase(arguments.begin());
        arguments.emplace_back("--help");
    }
    return arguments;
}

void apply_colour(Context& context, const std::string& choice) {
    if (choice != "auto") {
        const bool on = choice == "always";
        context.out_style.colour = on;
        context.err_style.colour = on && context.err_is_terminal;
    }
}

ExitCode usage_error(Context& context, const std::string& sentence) {
    context.err << present::wrapped(sentence, context.err_style.width, "", "  ");
    return ExitCode::usage;
}

ExitCode report_stop(Context& context, const Stop& stop) {
    print_diagnostics(context, stop.diagnostics());
    if (!stop.sentence().empty()) {
        context.err << present::wrapped("frostread: " + stop.sentence(), context.err_style.width, "", "  ");
    }
    if (!stop.outcome().empty()) {
        const std::size_t errors = count(stop.diagnostics(), Severity::error);
        context.err << fmt::format("{} error{}; {}\n", errors, errors == 1 ? "" : "s", stop.outcome());
    }
    return stop.code();
}

ExitCode run_parsed(Tree& tree, std::vector<std::string> arguments, Context& context) {
    CLI::App& root = *tree.root;
    std::vector<std::string> reversed(arguments.rbegin(), arguments.rend());
    try {
        root.parse(std::move(reversed));
    } catch (const CLI::CallForHelp&) {
        // Help for a command that does not exist is no help.
        if (const std::string leftovers = explain_leftovers(root); !leftovers.empty()) {
            return usage_error(context, leftovers);
        }
        context.out << help_page(selected_command(root), context.out_style.width);
        return ExitCode::done;
    } catch (const CLI::ParseError& error) {
        return usage_error(context, explain_parse_error(root, error));
    }
    if (const std::string leftovers = explain_leftovers(root); !leftovers.empty()) {
        return usage_error(context, leftovers);
    }
    apply_colour(context, *tree.colour);
    if (*tree.version) {
        context.out << version_text();
        return ExitCode::done;
    }
    if (root.get_subcommands().empty()) {
        context.out << help_page(root, context.out_style.width);
        return ExitCode::done;
    }
    return tree.runs.at(root.get_subcommands().front())(context);
}

ExitCode own_bug(Context& context, const std::vector<std::string>& arguments, const std::string& what) {
    std::string line = "frostread";
    for (const std::string& argument : arguments) {
        line += " " + argument;
    }
    context.err << "frostread: this is a mistake in frostread itself, not in what you gave it.\n"
                << "  Please report it with the lines below and the case file, if there was one:\n"
                << "  frostread " << kVersion << ": " << what << "\n"
                << "  " << line << "\n";
    return ExitCode::own_bug;
}

}  // namespace

void print_diagnostics(Context& context, const Diagnostics& diagnostics) {
    context.err << to_text(diagnostics, context.err_style);
}

std::unique_ptr<CLI::App> command_tree() {
    return std::move(build_tree().root);
}

std::string version_text() {
    std::string rules = "not readable";
    if (const Result<Library> library = load_embedded_library()) {
        rules = fmt::format("{} {}", library->name, library->version);
    }
    return fmt::format("frostread {}\nrule library {}\nformats: rules {}, case {}, result {}\n", kVersion, rules,
                       kRulesFormat, kCaseFormat, kResultFormat);
}

int run(const std::vector<std::string>& arguments, Context& context) {
    ExitCode code = ExitCode::own_bug;
    try {
        Tree tree = build_tree();
        code = run_parsed(tree, with_help_word(arguments), context);
        context.out.flush();
        if (!context.out) {
            context.err << "frostread: the result could not be written to standard output\n";
            code = ExitCode::not_written;
        }
    } catch (const Stop& stop) {
        code = report_stop(context, stop);
    } catch (const std::exception& error) {
        code = own_bug(context, arguments, error.what());
    } catch (...) {
        code = own_bug(context, arguments, "unknown exception");
    }
    return static_cast<int>(code);
}

int run(const std::vector<std::string>& arguments, std::istream& in, std::ostream& out, std::ostream& err) {
    Context context = real_context(in, out, err);
    return run(arguments, context);
}

}  // namespace frostread::cli
