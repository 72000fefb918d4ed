#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cmath>
#include <deque>
#include <memory>
#include <ostream>

#include "base/text.hpp"
#include "cli/app.hpp"
#include "cli/case_store.hpp"
#include "cli/commands.hpp"
#include "cli/file_clash.hpp"
#include "cli/options.hpp"
#include "cli/suggest.hpp"
#include "frostread/bench_calc.hpp"
#include "frostread/files.hpp"
#include "present/calc_writers.hpp"

/// Sub-commands, options and help are made from the table of calculators.
namespace frostread::cli {
namespace {

/// What was typed for one input.
struct Typed {
    const CalcInput* input = nullptr;
    std::vector<std::string> values;
    bool flag = false;
};

struct CalcOptions {
    const Calculator* calculator = nullptr;
    const CLI::App* command = nullptr;
    std::deque<Typed> typed;  // the parser keeps pointers into it
    std::string units = "si";
    bool json = false;
    std::string into;
    LibraryChoice library;
};

struct Options {
    std::deque<CalcOptions> calculators;
};

std::string type_name(const CalcInput& input) {
    switch (input.kind) {
        case CalcInputKind::pressure:
        case CalcInputKind::barometer:
            return "PRESSURE";
        case CalcInputKind::resistance:
            return "OHMS";
        case CalcInputKind::hertz:
            return "HERTZ";
        case CalcInputKind::number:
            return "NUMBER";
        case CalcInputKind::word: {
            std::string words(input.choices);
            std::replace(words.begin(), words.end(), ' ', '|');
            return words.size() > 20 ? "NAME" : words;
        }
        case CalcInputKind::point:
            return "TEMP=OHMS";
        case CalcInputKind::flag:
            return "";
        case CalcInputKind::quantity:
            break;
    }
    switch (input.dimension) {
        case Dimension::temperature:
            return "TEMP";
        case Dimension::resistance:
            return "OHMS";
        case Dimension::power:
            return "WATTS";
        case Dimension::pressure:
            return "PRESSURE";
        case Dimension::percent:
            return "PERCENT";
        case Dimension::time:
            return "TIME";
        case Dimension::voltage:
            return "VOLTS";
        case Dimension::current:
            return "AMPS";
        case Dimension::mass:
            return "MASS";
        case Dimension::capacitance:
            return "MICROFARAD";
        case Dimension::length:
            return "LENGTH";
        case Dimension::area:
            return "AREA";
        case Dimension::conductance:
            return "W/K";
        case Dimension::temperature_difference:
        case Dimension::frequency:
        case Dimension::temperature_rate:
        case Dimension::money:
        case Dimension::count:
            break;
    }
    return "NUMBER";
}

std::string help_of(const CalcInput& input) {
    std::string help(input.help);
    if (input.kind == CalcInputKind::word && input.choices.size() > 20) {
        const auto words = text::split(input.choices, ' ');
        help += ": " + text::join(std::vector<std::string>(words.begin(), words.end()), ", ");
    }
    return help + (input.required ? " (needed)" : "");
}

void add_input(CLI::App& command, Typed& typed) {
    const CalcInput& input = *typed.input;
    const std::string name = "--" + std::string(input.name);
    if (input.kind == CalcInputKind::flag) {
        command.add_flag(name, typed.flag, help_of(input))->group("Values");
        return;
    }
    add_list_option(command, name, typed.values, type_name(input), help_of(input), "Values");
}

/// A long command line goes on after a backslash, as a shell takes it.
std::string folded(const std::string& line) {
    std::string out;
    std::size_t used = 0;
    std::size_t at = 0;
    while (at < line.size()) {
        std::size_t next = line.find(" --", at + 1);
        next = next == std::string::npos ? line.size() : next;
        const std::string part = line.substr(at, next - at);
        if (used > 0 && used + part.size() > 74) {
            out += " \\\n   ";
            used = 3;
        }
        out += part;
        used += part.size();
        at = next;
    }
    return out;
}

std::string examples_of(const Calculator& calculator) {
    std::string lines;
    for (const auto example : calculator.examples) {
        lines += (lines.empty() ? "" : "\n") + folded("frostread bench-calc " + std::string(example));
    }
    return lines;
}

/// Summary, then what can hurt, then how to measure.
std::string description_of(const Calculator& calculator) {
    std::string text = std::string(calculator.summary) + "\n";
    for (const auto& caution : calculator.cautions) {
        text += "\n! " + std::string(caution.text);
    }
    text += calculator.cautions.empty() ? "" : "\n";
    return text + "\n" + std::string(calculator.purpose) + "\n\nFormula: " + std::string(calculator.formula) +
           "\nSource: " + std::string(calculator.source) + "\nRange: " + std::string(calculator.range);
}

void add_calculator(CLI::App& parent, const Calculator& calculator, CalcOptions& options) {
    CLI::App* command = parent.add_subcommand(std::string(calculator.name), std::string(calculator.summary));
    command->group("Calculators");
    command->description(description_of(calculator));
    command->footer(examples_of(calculator));
    options.calculator = &calculator;
    options.command = command;
    for (const auto& input : calculator.inputs) {
        options.typed.push_back({&input, {}, false});
        add_input(*command, options.typed.back());
    }
    add_units_option(*command, options.units);
    command->add_flag("--json", options.json, "print the result as JSON (docs/bench-calc.md)")->group("Output");
    command->add_option("--into", options.into, "also put the verdict into this case file")
        ->type_name("CASE")
        ->check(a_name())
        ->group("Output");
    add_library_options(*command, options.library);
}

CalcArguments arguments_of(const CalcOptions& options) {
    CalcArguments arguments;
    for (const auto& typed : options.typed) {
        if (typed.flag) {
            arguments.emplace_back(std::string(typed.input->name), "");
        }
        for (const auto& value : typed.values) {
            arguments.emplace_back(std::string(typed.input->name), value);
        }
    }
    return arguments;
}

/// The inputs in one line, so that the reading can be checked later.
std::string note_of(const CalcResult& result) {
    std::string note;
    for (const auto& figure : result.given) {
        if (!figure.label.empty()) {
            note += (note.empty() ? "" : ", ") + figure.label + " " + figure.text;
        }
    }
    return note;
}

/// Adds what the unit's description lacks; what it says already is left alone and compared.
Diagnostics add_traits(const CalcResult& result, const Library& library, const std::string& file, Case& the_case,
                       std::vector<std::string>& put) {
    Diagnostics problems;
    for (const auto& [trait, value] : result.traits) {
        UnitTraits fresh;
        const Diagnostics refused = parse_trait(trait, value, library, fresh);
        Diagnostic warning;
        warning.severity = Severity::warning;
        warning.id = "trait-left-alone";
        warning.place.file = file;
        if (has_errors(refused)) {
            warning.what = fmt::format("{} {} is not known to the rules and was not put in", trait, value);
            problems.push_back(warning);
            continue;
        }
        const auto word = the_case.unit.words.find(trait);
        const auto number = the_case.unit.numbers.find(trait);
        if (word != the_case.unit.words.end()) {
            if (word->second != fresh.words.at(trait)) {
                warning.what = fmt::format("the case says {} {}, the calculation {}", trait, word->second, value);
                problems.push_back(warning);
            }
        } else if (number != the_case.unit.numbers.end()) {
            if (std::abs(number->second - fresh.numbers.at(trait)) > 0.01 * std::abs(number->second)) {
                warning.what = fmt::format("the case says another {} than the calculation ({})", trait, value);
                problems.push_back(warning);
            }
        } else {
            the_case.unit.words.insert(fresh.words.begin(), fresh.words.end());
            the_case.unit.numbers.insert(fresh.numbers.begin(), fresh.numbers.end());
            put.push_back(fmt::format("{} {}", trait, value));
        }
    }
    return problems;
}

void put_into_case(const CalcOptions& options, const CalcResult& result, Context& context) {
    if (result.readings.empty() && result.traits.empty()) {
        throw Stop(ExitCode::bad_input, "nothing was put into " + options.into + ": " + result.no_reading);
    }
    const Library library = load_chosen_library(context, options.library);
    CaseStore store(options.into, context);
    store.hold();
    const std::string text = read_input(context, options.into);
    Result<Case> read = read_case(text, options.into, library);
    if (!read) {
        throw Stop(ExitCode::bad_input, read.diagnostics(), "the case is as it was");
    }
    Diagnostics problems = read.diagnostics();
    std::vector<std::string> put;
    append(problems, add_traits(result, library, options.into, *read, put));
    for (const auto& entry : result.readings) {
        // The values are ours, so their units stand in them.
        auto reading = parse_reading(entry.check, entry.value, library, UnitPreference::si);
        append(problems, reading.diagnostics());
        if (reading) {
            reading->at = context.now();
            reading->origin = "bench-calc " + result.calculator;
            reading->note = note_of(result);
            read->readings.push_back(std::move(*reading));
            put.push_back(entry.check + " " + entry.value);
        }
    }
    if (has_errors(problems)) {
        throw Stop(ExitCode::bad_input, std::move(problems), "the case is as it was");
    }
    print_diagnostics(context, problems);
    if (put.empty()) {
        throw Stop(ExitCode::bad_input, "nothing was put into " + options.into + ": " + result.no_reading);
    }
    write_output(options.into, write_case(*read));
    context.err << "put into " << options.into << ": " << text::join(put, ", ") << "\n";
}

ExitCode run_calculator(const CalcOptions& options, Context& context) {
    if (options.into == "-") {
        throw Stop(ExitCode::usage, "--into takes a case file, not standard input");
    }
    refuse_clash(context, {{"--into", options.into}}, {options.library.folder, options.library.extra});
    const auto result = calculate(*options.calculator, arguments_of(options), unit_preference(options.units));
    if (!result) {
        throw Stop(ExitCode::bad_input, result.diagnostics(), "nothing was calculated");
    }
    print_diagnostics(context, result.diagnostics());
    context.out << (options.json ? present::calc_json(*result) : present::calc_text(*result, context.out_style));
    if (!options.into.empty()) {
        context.out.flush();
        put_into_case(options, *result, context);
    }
    return ExitCode::done;
}

ExitCode run_bench_calc(const Options& options, const CLI::App& command, Context& context) {
    for (const auto& calculator : options.calculators) {
        if (calculator.command->parsed()) {
            return run_calculator(calculator, context);
        }
    }
    context.out << help_page(command, context.out_style.width);
    return ExitCode::done;
}

}  // namespace

Run set_up_bench_calc(CLI::App& command) {
    auto options = std::make_shared<Options>();
    command.description(command.get_description() +
                        "\n\nEvery value takes its unit: 15F, '-18 C', '2 psi', 4.7kohm. Each calculator prints its "
                        "caution first, then the result, then formula, source and range. With --into CASE the verdict "
                        "becomes a reading of that case.");
    command.footer(
        "# what temperature is inside the coil?\n"
        "frostread bench-calc saturation --refrigerant R-600a --pressure '0.4 bar'\n"
        "# is this heater good? put the answer into the case\n"
        "frostread bench-calc heater --volts 120V --watts 400W --ohms '35 ohm' \\\n  --into case.json");
    command.require_subcommand(0, 1);
    for (const auto& calculator : calculators()) {
        options->calculators.emplace_back();
        add_calculator(command, calculator, options->calculators.back());
    }
    const CLI::App* self = &command;
    return [options, self](Context& context) { return run_bench_calc(*options, *self, context); };
}

}  // namespace frostread::cli
