#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <memory>
#include <ostream>
#include <span>

#include "base/text.hpp"
#include "cli/case_store.hpp"
#include "cli/commands.hpp"
#include "cli/file_clash.hpp"
#include "cli/options.hpp"
#include "frostread/files.hpp"
#include "present/report_words.hpp"
#include "present/writers.hpp"

namespace frostread::cli {

namespace {

struct Options {
    std::string file;
    std::vector<std::string> found;
    std::string remedy;
    std::vector<std::string> proof;
    std::string note;
    std::string units = "si";
    bool again = false;
    LibraryChoice library;
};

Diagnostic problem(const char* id, std::string what, std::string cure = "") {
    Diagnostic diagnostic;
    diagnostic.id = id;
    diagnostic.what = std::move(what);
    diagnostic.suggestion = std::move(cure);
    return diagnostic;
}

/// FAULT or FAULT:GRADE as typed, to ids. Problems are appended.
std::string resolve_found(const Library& library, const std::string& typed, Diagnostics& problems) {
    const std::size_t colon = typed.find(':');
    const NameMatch match = match_fault(library, typed.substr(0, colon));
    if (!match.unique()) {
        problems.push_back(problem("unknown-fault",
                                   match.matches.empty()
                                       ? fmt::format("no fault is named \"{}\"", typed)
                                       : fmt::format("\"{}\" fits {}", typed, text::join_or(match.matches)),
                                   match.nearest));
        return "";
    }
    const Fault* fault = find_fault(library, match.matches.front());
    if (colon == std::string::npos) {
        return fault->id;
    }
    const std::string grade = typed.substr(colon + 1);
    std::vector<std::string> grades;
    for (const Grade& entry : fault->grades) {
        if (entry.id == grade) {
            return fault->id + ":" + grade;
        }
        grades.push_back(entry.id);
    }
    problems.push_back(
        problem("unknown-grade", fmt::format("{} has no grade \"{}\"", fault->id, grade),
                grades.empty() ? "it has no grades" : fmt::format("its grades are {}", text::join_or(grades))));
    return "";
}

/// Work that the rules do not know may well have been done; a slip is told all the same.
void warn_of_unknown_remedy(const Library& library, const std::string& remedy, Diagnostics& problems) {
    std::vector<std::string> known{"retired", "none"};
    for (const Fault& fault : library.faults) known.push_back(fault.remedy.id);
    if (std::find(known.begin(), known.end(), remedy) != known.end()) return;
    Diagnostic warning =
        problem("unknown-remedy", fmt::format("no remedy is named \"{}\"; it is kept as it is", remedy),
                std::string(text::nearest(remedy, std::span<const std::string>(known))));
    warning.severity = Severity::warning;
    problems.push_back(std::move(warning));
}

Closed make_closing(const Options& options, const Library& library, Context& context) {
    Diagnostics problems;
    Closed closed;
    const bool nothing = options.found.size() == 1 && options.found.front() == "nothing";
    for (const std::string& typed : options.found) {
        if (!nothing) {
            closed.found.push_back(resolve_found(library, typed, problems));
        }
    }
    closed.remedy = options.remedy;
    warn_of_unknown_remedy(library, options.remedy, problems);
    closed.note = options.note;
    closed.at = context.now();
    for (const std::string& typed : options.proof) {
        const NameAndValue part = split_assignment(typed, "--proof", "CHECK=VALUE");
        Result<Reading> reading = parse_reading(part.name, part.value, library, unit_preference(options.units));
        append(problems, reading.diagnostics());
        if (reading) {
            reading->at = closed.at;
            closed.proof.push_back(std::move(*reading));
        }
    }
    if (has_errors(problems)) {
        throw Stop(ExitCode::bad_input, std::move(problems), "the case was not closed and is as it was");
    }
    print_diagnostics(context, problems);
    return closed;
}

/// How far a gauge's reading may lie from what a cure gives: "within 2 K of …" of the rules, 2 of its unit.
double tolerance_of(const Library& library, const Closed& closed, const Check& check) {
    double most = 0.0;
    for (const std::string& id : closed.found)
        if (const Fault* fault = find_fault(library, id.substr(0, id.find(':'))))
            for (const Proof& proof : fault->remedy.proof) {
                constexpr std::string_view kWithin = "within ";
                if (proof.check != check.id || !proof.expect.starts_with(kWithin)) continue;
                const std::string number = proof.expect.substr(kWithin.size());
                most = std::max(most, std::strtod(number.c_str(), nullptr));
            }
    return most;
}

/// What stands for the check on a sound unit of this case, in its own unit; a setting that was read with the proof
/// counts before that of the fault.
double sound_value(const Library& library, Case the_case, const Check& check) {
    if (check.normal.relative_to.empty()) return check.normal.mean;
    if (the_case.closed)
        the_case.readings.insert(the_case.readings.end(), the_case.closed->proof.begin(), the_case.closed->proof.end());
    return check.normal.mean +
           reference_value(library, check.normal.relative_to, the_case).value_or(check.normal.assumed.value_or(0.0));
}

/// Whether a reading that is given as proof shows something else than what the cure should give.
bool shows_no_cure(const Library& library, const Case& the_case, const Check& check, const Reading& reading) {
    for (const std::string& id : reading.outcomes)
        if (const Outcome* outcome = find_outcome(check, id); outcome != nullptr && !outcome->normal) return true;
    if (check.kind != CheckKind::gauge || !reading.value || check.normal.percent || !the_case.closed) return false;
    const double most = tolerance_of(library, *the_case.closed, check);
    constexpr double kRounding = 0.3;  // of a thermometer that shows whole degrees Fahrenheit
    const auto fits = [&](double sound) { return std::abs(*reading.value - sound) <= most + kRounding; };
    // Where the setting was the fault, the cure leaves it as recommended.
    const bool as_recommended = check.normal.assumed && fits(check.normal.mean + *check.normal.assumed);
    return most > 0.0 && !as_recommended && !fits(sound_value(library, the_case, check));
}

/// What the library asks for as proof of these faults' cure and nobody gave.
std::vector<std::string> missing_proof(const Library& library, const Case& the_case, const Closed& closed) {
    std::vector<std::string> missing;
    for (const std::string& id : closed.found) {
        const Fault* fault = find_fault(library, id.substr(0, id.find(':')));
        if (fault == nullptr) {
            continue;
        }
        for (const Proof& proof : fault->remedy.proof) {
            const Check* check = find_check(library, proof.check);
            const bool given = std::any_of(closed.proof.begin(), closed.proof.end(), [&](const Reading& reading) {
                return reading.check == proof.check && check != nullptr &&
                       !shows_no_cure(library, the_case, *check, reading);
            });
            if (!given && check != nullptr && holds(check->where, the_case.unit) != Truth::no) {
                const Outcome* outcome = find_outcome(*check, proof.expect);
                missing.push_back(fmt::format("{}: {}{}{}", check->name,
                                              outcome == nullptr ? proof.expect : outcome->name,
                                              proof.when.empty() ? "" : ", ", proof.when));
            }
        }
    }
    return missing;
}

/// Proof readings that show something else than what the cure should give.
std::vector<std::string> failed_proof(const Library& library, const Case& the_case, const Closed& closed,
                                      UnitPreference units) {
    std::vector<std::string> failed;
    for (const Reading& reading : closed.proof) {
        const Check* check = find_check(library, reading.check);
        if (check == nullptr || !shows_no_cure(library, the_case, *check, reading)) continue;
        std::string text = fmt::format("{}: {}", check->name, present::reading_words(*check, reading, units).words);
        if (reading.value) {
            const double sound = sound_value(library, the_case, *check);
            text += fmt::format(", and a sound one stands near {}", present::check_quantity(*check, sound, units));
        }
        failed.push_back(std::move(text));
    }
    return failed;
}

ExitCode run_close(const Options& options, Context& context) {
    refuse_clash(context, {{"CASE", options.file}}, {options.library.folder, options.library.extra});
    const Library library = load_chosen_library(context, options.library);
    CaseStore store(options.file, context);
    if (options.file != "-") store.hold();
    Result<Case> read = read_case(read_input(context, options.file), options.file, library);
    if (!read) {
        throw Stop(ExitCode::bad_input, std::move(read.diagnostics()), "the case was not closed");
    }
    print_diagnostics(context, read.diagnostics());
    if (read->closed && !options.again) {
        throw Stop(ExitCode::bad_input, fmt::format("{} is closed already; --again replaces what was recorded",
                                                    options.file == "-" ? "the case" : options.file));
    }
    const Closed closed = make_closing(options, library, context);
    Case the_case = std::move(*read);
    if (the_case.closed) {
        // What this version does not know of the older closing stays.
        const std::string unknown = the_case.closed->unknown;
        the_case.closed = closed;
        the_case.closed->unknown = unknown;
    } else {
        the_case.closed = closed;
    }
    if (options.file == "-") {
        context.out << write_case(the_case);
    } else {
        write_output(options.file, write_case(the_case));
    }
    const std::size_t width = context.err_style.width;
    const std::string found = closed.found.empty() ? "nothing wrong" : present::join_words(closed.found);
    std::ostream& told = options.file == "-" ? context.err : context.out;
    told << present::wrapped(fmt::format("Closed {}: found {}; remedy: {}; {} proof reading{}.",
                                         options.file == "-" ? "the case" : options.file, found, closed.remedy,
                                         closed.proof.size(), closed.proof.size() == 1 ? "" : "s"),
                             width, "", "  ");
    for (const std::string& text : failed_proof(library, the_case, closed, unit_preference(options.units))) {
        context.err << present::wrapped("warning: this proof does not show a cure: " + text, width, "", "  ");
    }
    if (closed.remedy != "retired") {
        for (const std::string& text : missing_proof(library, the_case, closed)) {
            context.err << present::wrapped("note: still to prove: " + text, width, "", "  ");
        }
    }
    return ExitCode::done;
}

}  // namespace

Run set_up_close(CLI::App& command) {
    auto options = std::make_shared<Options>();
    command.description(command.get_description() +
                        "\n\nWrites what was really wrong, what was done and the readings that prove it into the case "
                        "file. Everything else in the file stays. A case read from - is printed instead.");
    command.footer(
        "# the charge was low and the unit was not worth the repair\n"
        "frostread close mill-lane.json --found refrigerant-low:slight --remedy retired\n"
        "# a cleaned condenser, and the proof\n"
        "frostread close case.json --found condenser-dirty --remedy clean-condenser \\\n"
        "  --proof condenser-coil=clean --proof freezer-temp=-18C");
    command.add_option("CASE", options->file, "the case file to close; - reads it and prints the result")->required();
    add_list_option(command, "--found", options->found, "FAULT",
                    "what was wrong, FAULT or FAULT:GRADE; once for each; \"nothing\" when nothing was",
                    "What was found");
    command.get_option("--found")->required();
    command.add_option("--remedy", options->remedy, "what was done: a remedy of the library, or \"retired\"")
        ->type_name("WHAT")
        ->required()
        ->group("What was found");
    add_list_option(command, "--proof", options->proof, "CHECK=VALUE",
                    "a reading that shows that it works; once for each", "What was found");
    command.add_option("--note", options->note, "anything else worth keeping")
        ->type_name("TEXT")
        ->group("What was found");
    command.add_flag("--again", options->again, "replace an earlier closing")->group("What was found");
    add_units_option(command, options->units);
    add_library_options(command, options->library);
    return [options](Context& context) { return run_close(*options, context); };
}

}  // namespace frostread::cli
