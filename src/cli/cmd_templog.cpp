#include <CLI/CLI.hpp>
#include <algorithm>
#include <filesystem>
#include <memory>
#include <ostream>
#include <string>
#include <vector>

#include "cli/case_store.hpp"
#include "cli/commands.hpp"
#include "cli/file_clash.hpp"
#include "cli/io.hpp"
#include "cli/options.hpp"
#include "frostread/files.hpp"
#include "frostread/templog.hpp"

/// frostread templog: what a data logger saw overnight, as findings and as readings of a case.
namespace frostread::cli {

namespace {

struct Options {
    std::string file;
    std::vector<std::string> columns;
    std::string separator, time_unit;
    bool day_first = false, month_first = false, celsius = false, fahrenheit = false;
    std::string units = "si";
    bool json = false;
    std::string svg, html, into;
    LibraryChoice library;
};

void describe(CLI::App& command) {
    command.description(
        command.get_description() +
        "\n\nReads a table with a time and one or more of fridge, freezer, evaporator, room and power: comma, "
        "semicolon "
        "or tab; ISO, day-first or month-first times, or a counter; °C or °F. What the file does not say is worked out "
        "and said; what cannot be worked out is asked for. Bad rows are counted and named."
        "\n\nFinds compressor cycles, run time, swings, door openings, defrosts, time above the limits and trends. "
        "--into adds them to a case as readings.");
    command.footer(
        "# a night of logging, as a page for the customer\n"
        "frostread templog kitchen.csv --html kitchen.html\n"
        "# columns without usable names\n"
        "frostread templog log.txt --columns time=1,fridge=3,freezer=4 --fahrenheit\n"
        "# into a case, then diagnose it\n"
        "frostread templog kitchen.csv --into mill-lane.json\n"
        "frostread diagnose mill-lane.json");
}

void add_options(CLI::App& command, const std::shared_ptr<Options>& options) {
    command.add_option("FILE", options->file, "the log, or - for standard input")->type_name("FILE")->required();
    add_list_option(command, "--columns", options->columns, "ROLE=COLUMN,…",
                    "which column is what, by number from 1 or by name; roles: time, clock, fridge, freezer, "
                    "evaporator, room, watts",
                    "Input");
    command.add_option("--separator", options->separator, "what stands between cells")
        ->type_name("comma|semicolon|tab")
        ->check(one_of({"comma", "semicolon", "tab"}))
        ->group("Input");
    command.add_flag("--day-first", options->day_first, "dates are written day first: 17.04.2031")->group("Input");
    command.add_flag("--month-first", options->month_first, "dates are written month first: 4/17/2031")->group("Input");
    command.add_option("--time", options->time_unit, "the time column counts up in these")
        ->type_name("seconds|minutes|hours")
        ->check(one_of({"seconds", "minutes", "hours"}))
        ->group("Input");
    command.add_flag("--celsius", options->celsius, "temperatures are in °C, whatever the header says")->group("Input");
    command.add_flag("--fahrenheit", options->fahrenheit, "temperatures are in °F, whatever the header says")
        ->group("Input");
    command.add_option("--units", options->units, "how results are shown: si (°C) or us (°F)")
        ->type_name("us|si")
        ->check(one_of({"us", "si"}))
        ->capture_default_str()
        ->group("Output");
    command.add_flag("--json", options->json, "print the findings as JSON (docs/templog.md)")->group("Output");
    command.add_option("--svg", options->svg, "also draw the log with its events to this file")
        ->type_name("FILE")
        ->check(a_name())
        ->group("Output");
    command.add_option("--html", options->html, "also write a printable page to this file")
        ->type_name("FILE")
        ->check(a_name())
        ->group("Output");
    command.add_option("--into", options->into, "add the readings to this case; a new file makes a new case")
        ->type_name("CASE")
        ->check(a_name())
        ->group("Output");
    add_library_options(command, options->library);
}

void add_columns(const std::vector<std::string>& typed, LogOptions& log) {
    for (std::string_view rest : typed) {
        while (!rest.empty()) {
            const std::size_t comma = rest.find(',');
            const NameAndValue pair =
                split_assignment(std::string(rest.substr(0, comma)), "--columns", "ROLE=COLUMN, such as fridge=2");
            log.columns.emplace_back(pair.name, pair.value);
            rest = comma == std::string_view::npos ? std::string_view{} : rest.substr(comma + 1);
        }
    }
}

LogOptions log_options(const Options& options) {
    if (options.day_first && options.month_first) {
        throw Stop(ExitCode::usage, "--day-first and --month-first exclude each other");
    }
    if (options.celsius && options.fahrenheit) {
        throw Stop(ExitCode::usage, "--celsius and --fahrenheit exclude each other");
    }
    LogOptions log;
    add_columns(options.columns, log);
    log.separator = options.separator == "comma"       ? ','
                    : options.separator == "semicolon" ? ';'
                    : options.separator == "tab"       ? '\t'
                                                       : '\0';
    log.date_order = options.day_first     ? DateOrder::day_first
                     : options.month_first ? DateOrder::month_first
                                           : DateOrder::detect;
    log.time_unit = options.time_unit == "seconds"   ? LogTimeUnit::seconds
                    : options.time_unit == "minutes" ? LogTimeUnit::minutes
                    : options.time_unit == "hours"   ? LogTimeUnit::hours
                                                     : LogTimeUnit::detect;
    log.temperature = options.celsius      ? LogTemperature::celsius
                      : options.fahrenheit ? LogTemperature::fahrenheit
                                           : LogTemperature::detect;
    return log;
}

/// The text of the log is let go before the analysis: a month at one row a second takes a hundred
/// megabytes.
Log read_log(Context& context, const Options& options) {
    const LogOptions log = log_options(options);
    Result<Log> read = parse_log(read_input(context, options.file), options.file, log);
    if (!read) {
        throw Stop(ExitCode::bad_input, read.diagnostics(),
                   options.into.empty() ? "no log was read" : "no log was read and nothing was added");
    }
    return std::move(*read);
}

Case case_to_fill(Context& context, const std::string& path, const Library& library, bool& is_new) {
    std::error_code ignored;
    is_new = path != "-" && !std::filesystem::exists(path, ignored);
    if (is_new) {
        Case fresh;
        fresh.id = std::filesystem::path(path).stem().string();
        return fresh;
    }
    Result<Case> read = read_case(read_input(context, path), path, library);
    if (!read) {
        throw Stop(ExitCode::bad_input, read.diagnostics(), "nothing was added");
    }
    print_diagnostics(context, read.diagnostics());
    return std::move(*read);
}

/// The same reading of the same log: adding a log twice changes nothing.
bool is_there(const Case& the_case, const Reading& reading) {
    return std::any_of(the_case.readings.begin(), the_case.readings.end(), [&](const Reading& old) {
        return old.check == reading.check && old.origin == reading.origin && old.typed == reading.typed &&
               old.at == reading.at && old.note == reading.note;
    });
}

void add_to_case(Context& context, const Options& options, const std::vector<Reading>& found) {
    const Library library = load_chosen_library(context, options.library);
    CaseStore store(options.into, context);
    store.hold();
    bool is_new = false;
    Case the_case = case_to_fill(context, options.into, library, is_new);
    Diagnostics problems;
    std::string added;
    std::string missing;
    std::size_t count = 0;
    std::size_t twice = 0;
    for (const Reading& reading : found) {
        const Check* check = find_check(library, reading.check);
        if (check == nullptr) {
            missing += (missing.empty() ? "" : ", ") + reading.check;
            continue;
        }
        Place place;
        place.file = options.file;
        Result<Reading> parsed = parse_reading(check->id, reading.typed, library, UnitPreference::si, place);
        append(problems, parsed.diagnostics());
        if (!parsed) {
            continue;
        }
        parsed->note = reading.note;
        parsed->origin = reading.origin;
        parsed->at = reading.at;
        parsed->sure = reading.sure;
        for (const auto& [condition, holds] : reading.after) {
            if (std::find(check->after.begin(), check->after.end(), condition) != check->after.end()) {
                parsed->after[condition] = holds;
            }
        }
        if (is_there(the_case, *parsed)) {
            ++twice;
            continue;
        }
        added += (added.empty() ? "" : ", ") + check->id;
        ++count;
        the_case.readings.push_back(std::move(*parsed));
    }
    if (has_errors(problems)) {
        throw Stop(ExitCode::bad_input, std::move(problems), "nothing was added");
    }
    print_diagnostics(context, problems);
    if (!missing.empty()) {
        context.err << "these rules have no check for: " << missing << "\n";
    }
    if (count == 0) {
        context.err << (twice > 0 ? "the readings of this log stand in " + options.into + " already; nothing was added"
                                  : "the log gives no reading; nothing was added to " + options.into)
                    << "\n";
        return;
    }
    write_output(options.into, write_case(the_case));
    context.err << "added " << count << (count == 1 ? " reading" : " readings") << " to "
                << (is_new ? "the new case " : "") << options.into << ": " << added << "\n";
}

ExitCode run_templog(const Options& options, Context& context) {
    if (options.into == "-") {
        throw Stop(ExitCode::usage, "--into needs a file: the case is rewritten in its place");
    }
    refuse_clash(context, {{"--svg", options.svg}, {"--html", options.html}, {"--into", options.into}},
                 {options.file, options.library.folder, options.library.extra});
    const Log log = read_log(context, options);
    const LogFindings findings = analyse_log(log);
    const std::string origin =
        options.file == "-" ? "standard input" : std::filesystem::path(options.file).filename().string();
    const std::vector<Reading> readings = readings_from_log(log, findings, origin);
    LogStyle style;
    style.units = unit_preference(options.units);
    style.width = std::max<std::size_t>(40, context.out_style.width);
    style.colour = context.out_style.colour;

    context.out << (options.json ? log_to_json(log, findings, readings) : log_to_text(log, findings, readings, style));
    context.out.flush();
    if (!options.svg.empty()) {
        write_output(options.svg, log_to_svg(log, findings, style));
    }
    if (!options.html.empty()) {
        write_output(options.html, log_to_html(log, findings, readings, style));
    }
    if (!options.into.empty()) {
        add_to_case(context, options, readings);
    }
    return ExitCode::done;
}

}  // namespace

Run set_up_templog(CLI::App& command) {
    auto options = std::make_shared<Options>();
    describe(command);
    add_options(command, options);
    return [options](Context& context) { return run_templog(*options, context); };
}

}  // namespace frostread::cli
