#include "cli/case_input.hpp"

#include <CLI/CLI.hpp>

#include "cli/io.hpp"
#include "cli/options.hpp"
#include "cli/plan_choice.hpp"
#include "frostread/files.hpp"

namespace frostread::cli {

void add_case_input(CLI::App& command, CaseInput& input) {
    command.add_option("CASE", input.file, "a case file (docs/case.md); - reads it from standard input");
    add_list_option(command, "-r,--reading", input.readings, "CHECK=VALUE",
                    "what you saw or measured: frost=inlet-only, fz=15F, heater=22ohm; give it once for each", "Input");
    add_list_option(command, "-u,--unit", input.traits, "TRAIT=VALUE",
                    "what is known of the unit: layout=freezer-top, refrigerant=R-600a, age_years=11", "Input");
    add_units_option(command, input.units);
}

Diagnostics add_typed(const CaseInput& input, const Library& library, Case& the_case) {
    Diagnostics problems;
    for (const std::string& typed : input.traits) {
        const NameAndValue part = split_assignment(typed, "-u", "TRAIT=VALUE");
        append(problems, parse_trait(part.name, part.value, library, the_case.unit));
    }
    for (const std::string& typed : input.readings) {
        const NameAndValue part = split_assignment(typed, "-r", "CHECK=VALUE");
        Result<Reading> reading = parse_reading(part.name, part.value, library, unit_preference(input.units));
        append(problems, reading.diagnostics());
        if (reading) {
            the_case.readings.push_back(std::move(*reading));
        }
    }
    return problems;
}

Case read_case_input(Context& context, const CaseInput& input, const Library& library,
                     const std::vector<std::string>& can_not, Diagnostics& warnings) {
    if (input.file.empty() && input.readings.empty() && input.traits.empty()) {
        throw Stop(ExitCode::usage, "nothing to diagnose: give a case file, readings with -r, or - for standard input");
    }
    Case the_case;
    Diagnostics problems;
    if (!input.file.empty()) {
        Result<Case> read = read_case(read_input(context, input.file), input.file, library);
        problems = read.diagnostics();
        if (read) {
            the_case = std::move(*read);
        }
    }
    append(problems, add_typed(input, library, the_case));
    if (has_errors(problems)) {
        throw Stop(ExitCode::bad_input, std::move(problems), "nothing was diagnosed");
    }
    print_diagnostics(context, problems);
    warnings = std::move(problems);
    for (std::string& what : missing_things(library, can_not)) the_case.job.cannot.push_back(std::move(what));
    return the_case;
}

}  // namespace frostread::cli
