#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <memory>
#include <ostream>

#include "cli/case_input.hpp"
#include "cli/commands.hpp"
#include "cli/file_clash.hpp"
#include "cli/options.hpp"
#include "cli/plan_choice.hpp"
#include "frostread/present.hpp"
#include "present/report_words.hpp"

namespace frostread::cli {

namespace {

struct Options {
    CaseInput input;
    LibraryChoice library;
    PlanChoice plan;
    bool json = false;
    std::string html;
    std::string why;
    int max_faults = 2;
    std::size_t rows = 5;
};

void describe(CLI::App& command) {
    command.description(command.get_description() +
                        "\n\nReads a case file, readings given on the command line, or both: readings given with -r "
                        "count as later than those of the file. Checks, outcomes and traits may be typed by alias or "
                        "by the first letters, as long as only one fits.");
    command.footer(
        "# a case that was saved, and one more reading\n"
        "frostread diagnose demo/short-frost.json -r equal=normal\n"
        "# without a file; a \"?\" behind a value says that you are not sure\n"
        "frostread diagnose -u layout=top -u gas=R-600a -r fz=15F -r frost=inlet-only?\n"
        "# for a script\n"
        "frostread diagnose --json - < case.json");
}

void add_options(CLI::App& command, const std::shared_ptr<Options>& options) {
    add_case_input(command, options->input);
    add_library_options(command, options->library);
    command.add_flag("--json", options->json, "print the result as JSON (docs/result.md)")->group("Output");
    command.add_option("--html", options->html, "also write a printable page to this file")
        ->type_name("FILE")
        ->check(a_name())
        ->group("Output");
    command.add_option("--why", options->why, "also list the reasons for and against this fault")
        ->type_name("FAULT")
        ->group("Output");
    command.add_option("--rows", options->rows, "how many faults the text lists")
        ->type_name("N")
        ->check(number_between(1, 99))
        ->capture_default_str()
        ->group("Output");
    command
        .add_option("--max-faults", options->max_faults,
                    "how many faults may be present together: 1, 2 or 3; 3 takes longer")
        ->type_name("1..3")
        ->check(number_between(1, 3))
        ->capture_default_str()
        ->group("Method");
    add_plan_options(command, options->plan);
}

/// The fault that --why names; "" when it was not given.
std::string asked_fault(const Library& library, const std::string& typed) {
    if (typed.empty()) {
        return "";
    }
    const NameMatch match = match_fault(library, typed);
    if (match.unique()) {
        return match.matches.front();
    }
    Diagnostic diagnostic;
    diagnostic.id = match.matches.empty() ? "unknown-fault" : "ambiguous-name";
    diagnostic.what = match.matches.empty() ? fmt::format("no fault is named \"{}\"", typed)
                                            : fmt::format("\"{}\" fits {} faults", typed, match.matches.size());
    for (std::size_t i = 0; i < match.matches.size() && i < 6; ++i) {
        diagnostic.expected += (i == 0 ? "one of " : ", ") + match.matches[i];
    }
    diagnostic.suggestion = match.nearest;
    throw Stop(ExitCode::bad_input, Diagnostics{diagnostic}, "nothing was diagnosed");
}

ExitCode run_diagnose(const Options& options, Context& context) {
    refuse_clash(context, {{"--html", options.html}},
                 {options.input.file, options.library.folder, options.library.extra});
    auto library = std::make_shared<const Library>(load_chosen_library(context, options.library));
    Diagnostics input_warnings;
    Case the_case = read_case_input(context, options.input, *library, options.plan.can_not, input_warnings);
    if (options.plan.worth) {
        the_case.unit.numbers["worth"] = *options.plan.worth;
    }
    const std::string why = asked_fault(*library, options.why);
    const UnitModel model = fit_to_unit(compile(library), the_case.unit);

    ReportOptions report_options;
    report_options.units = unit_preference(options.input.units);
    report_options.why_fault = why;
    const PlanOptions plan = plan_options(*library, options.plan);
    report_options.confidence = plan.economy.confidence;
    InferOptions infer_options;
    infer_options.max_faults = options.max_faults;
    const Report report = diagnose(model, the_case, plan, infer_options, report_options);

    // Text goes to a person who has just seen the warnings; a page and a result are read later.
    Report kept = report;
    for (const Diagnostic& warning : input_warnings) {
        kept.warnings.push_back(present::input_warning(warning));
    }
    if (!options.html.empty()) {
        write_output(options.html, to_html(kept));
    }
    if (options.json) {
        context.out << to_json(kept);
    } else {
        context.out << to_text(report, {context.out_style, options.rows, why});
    }
    return ExitCode::done;
}

}  // namespace

Run set_up_diagnose(CLI::App& command) {
    auto options = std::make_shared<Options>();
    describe(command);
    add_options(command, options);
    return [options](Context& context) { return run_diagnose(*options, context); };
}

}  // namespace frostread::cli
