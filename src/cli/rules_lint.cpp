#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <cmath>
#include <memory>
#include <nlohmann/json.hpp>
#include <ostream>

#include "cli/options.hpp"
#include "cli/rules_commands.hpp"
#include "cli/rules_place.hpp"
#include "frostread/review.hpp"
#include "present/writers.hpp"

namespace frostread::cli {

namespace {

using Json = nlohmann::ordered_json;

struct Options {
    LibraryChoice library;
    bool json = false;
    bool notes = false;
    std::size_t pairs = 8;
};

/// What lint knows: the library when it loads, and everything that was said.
struct Findings {
    std::shared_ptr<const CompiledLibrary> library;
    Diagnostics problems;
    std::vector<PairSeparation> pairs;
};

Findings look(const Options& options) {
    Findings found;
    Result<Library> library = read_chosen_library(options.library);
    found.problems = library.diagnostics();
    if (library) {
        found.library = compile(std::make_shared<const Library>(std::move(*library)));
        Diagnostics more = lint(found.library);
        find_places(more, library_sources(options.library));
        append(found.problems, std::move(more));
        const UnitModel model = fit_to_unit(found.library, {});
        found.pairs = separations(model, evidence_table(model));
    }
    sort_by_place(found.problems);
    return found;
}

/// Pairs that need telling apart, hardest first.
std::vector<PairSeparation> hardest(const Findings& found, std::size_t count) {
    std::vector<PairSeparation> out;
    for (const PairSeparation& pair : found.pairs) {
        if (!pair.same_remedy && out.size() < count) {
            out.push_back(pair);
        }
    }
    return out;
}

void print_text(const Findings& found, const Options& options, Context& context) {
    const std::size_t width = context.out_style.width;
    Diagnostics told = found.problems;
    if (!options.notes) {
        std::erase_if(told, [](const Diagnostic& diagnostic) { return diagnostic.severity == Severity::note; });
    }
    context.out << to_text(told, context.out_style);
    const std::size_t errors = count(found.problems, Severity::error);
    const std::size_t warnings = count(found.problems, Severity::warning);
    const std::size_t notes = count(found.problems, Severity::note);
    if (found.library) {
        const Library& library = found.library->library();
        if (!told.empty()) {
            context.out << "\n";
        }
        context.out << "Faults that are hardest to tell apart, in expected decibans over all checks\n"
                    << "(in brackets: over the checks that anyone may do)\n";
        for (const PairSeparation& pair : hardest(found, options.pairs)) {
            context.out << present::wrapped(
                fmt::format("{} and {}; best check: {}", library.faults[pair.first].id, library.faults[pair.second].id,
                            library.checks[pair.best_check].id),
                width, present::pad_right(fmt::format("{:7.1f} ({:.1f})", pair.all_db, pair.anyone_db), 18),
                std::string(18, ' '));
        }
        context.out << present::wrapped(
            fmt::format("\n{} {}: {} checks, {} faults, {} cautions; {} error{}, {} warning{}, {} note{}{}",
                        library.name, library.version, library.checks.size(), library.faults.size(),
                        library.cautions.size(), errors, errors == 1 ? "" : "s", warnings, warnings == 1 ? "" : "s",
                        notes, notes == 1 ? "" : "s", notes > 0 && !options.notes ? " (--notes shows them)" : ""),
            width);
    } else {
        context.out << fmt::format("{} error{}; the library does not load\n", errors, errors == 1 ? "" : "s");
    }
}

void print_json(const Findings& found, const Options& options, Context& context) {
    Json out;
    out["frostread_lint"] = 1;
    out["loads"] = found.library != nullptr;
    out["errors"] = count(found.problems, Severity::error);
    out["warnings"] = count(found.problems, Severity::warning);
    out["problems"] = Json::parse(to_json(found.problems, -1));
    out["pairs"] = Json::array();
    for (const PairSeparation& pair : hardest(found, options.pairs)) {
        const Library& library = found.library->library();
        const auto rounded = [](double value) { return std::round(value * 1000.0) / 1000.0; };
        out["pairs"].push_back({{"first", library.faults[pair.first].id},
                                {"second", library.faults[pair.second].id},
                                {"all_db", rounded(pair.all_db)},
                                {"anyone_db", rounded(pair.anyone_db)},
                                {"best_check", library.checks[pair.best_check].id},
                                {"best_db", rounded(pair.best_db)}});
    }
    context.out << out.dump(2) << "\n";
}

ExitCode run_lint(const Options& options, Context& context) {
    const Findings found = look(options);
    if (options.json) {
        print_json(found, options, context);
    } else {
        print_text(found, options, context);
    }
    return has_errors(found.problems) ? ExitCode::bad_library : ExitCode::done;
}

}  // namespace

Run set_up_rules_lint(CLI::App& command) {
    auto options = std::make_shared<Options>();
    command.description(command.get_description() +
                        "\n\nErrors make a library unfit for use (exit code 3): entries without steps, source, remedy "
                        "or caution, rules that can never apply, aliases that clash, faults that no check tells apart. "
                        "Warnings are weak spots: checks without a rule, outcomes that no fault produces. Notes name "
                        "faults whose confirming checks, from the prior alone, do not bring them past 0.9.");
    command.footer(
        "# the rules in the program\n"
        "frostread rules lint\n"
        "# your own, for a script\n"
        "frostread rules lint --rules my-rules --json");
    add_library_options(command, options->library);
    command.add_flag("--json", options->json, "print what was found as JSON")->group("Output");
    command
        .add_flag("--notes", options->notes,
                  "also print notes: faults that their confirming checks do not settle alone")
        ->group("Output");
    command.add_option("--pairs", options->pairs, "how many of the hardest pairs to name")
        ->type_name("N")
        ->check(number_between(0, 10000))
        ->capture_default_str()
        ->group("Output");
    return [options](Context& context) { return run_lint(*options, context); };
}

}  // namespace frostread::cli
