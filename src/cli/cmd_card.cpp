#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <memory>
#include <ostream>

#include "base/text.hpp"
#include "cli/commands.hpp"
#include "cli/file_clash.hpp"
#include "cli/options.hpp"
#include "frostread/present.hpp"

namespace frostread::cli {

namespace {

struct Options {
    std::string id;
    LibraryChoice library;
    std::string html;
};

/// The check, fault or caution that a person means; checks first, since they are typed most.
std::string resolve(const Library& library, const std::string& typed) {
    const NameMatch check = match_check(library, typed);
    const NameMatch fault = match_fault(library, typed);
    if (find_check(library, typed) != nullptr || find_fault(library, typed) != nullptr ||
        find_caution(library, typed) != nullptr) {
        return typed;
    }
    if (check.matches.size() == 1) {  // a short name that is typed at calls every day
        const auto& aliases = find_check(library, check.matches.front())->aliases;
        if (std::find(aliases.begin(), aliases.end(), typed) != aliases.end()) return check.matches.front();
    }
    std::vector<std::string> matches = check.matches;
    matches.insert(matches.end(), fault.matches.begin(), fault.matches.end());
    for (const Caution& caution : library.cautions) {
        if (text::starts_with_ignoring_case(caution.id, typed)) {
            matches.push_back(caution.id);
        }
    }
    if (matches.size() == 1) {
        return matches.front();
    }
    Diagnostic diagnostic;
    if (matches.empty()) {
        diagnostic.id = "unknown-name";
        diagnostic.what = fmt::format("no check, fault or caution is named \"{}\"", typed);
        diagnostic.suggestion = check.nearest.empty() ? fault.nearest : check.nearest;
        if (diagnostic.suggestion.empty()) {
            diagnostic.suggestion = "frostread rules list shows all names";
        }
    } else {
        diagnostic.id = "ambiguous-name";
        diagnostic.what = fmt::format("\"{}\" fits {} names", typed, matches.size());
        if (matches.size() > 8) {
            matches.resize(8);
        }
        diagnostic.expected = "one of " + text::join(matches, ", ");
    }
    throw Stop(ExitCode::bad_input, Diagnostics{diagnostic});
}

ExitCode run_card(const Options& options, Context& context) {
    refuse_clash(context, {{"--html", options.html}}, {options.library.folder, options.library.extra});
    const auto library = compile(std::make_shared<const Library>(load_chosen_library(context, options.library)));
    const std::string id = resolve(library->library(), options.id);
    if (!options.html.empty()) {
        write_output(options.html, card_html(library, id));
    } else {
        context.out << card_text(library, id, context.out_style);
    }
    return ExitCode::done;
}

}  // namespace

Run set_up_card(CLI::App& command) {
    auto options = std::make_shared<Options>();
    command.description(command.get_description() +
                        "\n\nFor a check: how it is done, what normal looks like, and what each answer speaks for and "
                        "against. For a fault: its signs, what it is mistaken for, the remedy and the proof.");
    command.footer(
        "# how to judge the frost on the coil\n"
        "frostread card evaporator-frost\n"
        "# a page for the notice board\n"
        "frostread card gasket-leak --html gasket.html");
    command.add_option("ID", options->id, "a check, fault or caution, by id, alias or first letters")->required();
    add_library_options(command, options->library);
    command.add_option("--html", options->html, "write a printable page to this file instead of printing text")
        ->type_name("FILE")
        ->check(a_name())
        ->group("Output");
    return [options](Context& context) { return run_card(*options, context); };
}

}  // namespace frostread::cli
