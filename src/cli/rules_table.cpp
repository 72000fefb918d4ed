#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cmath>
#include <memory>
#include <ostream>

#include "base/text.hpp"
#include "cli/options.hpp"
#include "cli/rules_commands.hpp"
#include "frostread/review.hpp"
#include "present/writers.hpp"

namespace frostread::cli {

namespace {

struct Options {
    LibraryChoice library;
    std::string system;
    std::vector<std::string> traits;
    bool csv = false;
    double least = 1.0;
};

/// "check=outcome", "check=no:item" or "check=+8" (gauge, deviation from normal).
std::string column_name(const Library& library, const Question& question, const Answer& answer) {
    const Check& check = library.checks[question.check];
    if (answer.deviation) {
        return fmt::format("{}={:+.3g}", check.id, *answer.deviation);
    }
    return fmt::format("{}={}{}", check.id, answer.absent ? "no:" : "", check.outcomes[answer.outcome].id);
}

double weight(const std::vector<double>& probability, AlternativeIndex alternative) {
    return 10.0 * std::log10(std::max(probability[alternative + 1], 1e-12) / std::max(probability[0], 1e-12));
}

std::string row_name(const CompiledLibrary& compiled, AlternativeIndex index) {
    const Alternative& alternative = compiled.alternative(index);
    const Fault& fault = compiled.library().faults[alternative.fault];
    return fault.grades.empty() ? fault.id : fault.id + ":" + fault.grades[alternative.grade].id;
}

/// Gauges have many cells; a spreadsheet gets every fifth.
bool in_table(const Question& question, std::size_t answer) {
    return !question.answers[answer].deviation || answer % 5 == 2;
}

void print_csv(const CompiledLibrary& compiled, const std::vector<Question>& table,
               const std::vector<AlternativeIndex>& rows, Context& context) {
    context.out << "fault";
    for (const Question& question : table) {
        for (std::size_t a = 0; a < question.answers.size(); ++a) {
            if (in_table(question, a)) {
                context.out << "," << column_name(compiled.library(), question, question.answers[a]);
            }
        }
    }
    context.out << "\n";
    for (const AlternativeIndex row : rows) {
        context.out << row_name(compiled, row);
        for (const Question& question : table) {
            for (std::size_t a = 0; a < question.answers.size(); ++a) {
                if (in_table(question, a)) {
                    const double value = std::round(weight(question.probability[a], row) * 10.0) / 10.0;
                    context.out << "," << (value == 0.0 ? "0" : fmt::format("{:.1f}", value));
                }
            }
        }
        context.out << "\n";
    }
}

void print_text(const CompiledLibrary& compiled, const std::vector<Question>& table,
                const std::vector<AlternativeIndex>& rows, double least, Context& context) {
    for (const AlternativeIndex row : rows) {
        context.out << present::inked(row_name(compiled, row), present::Ink::bold, context.out_style) << "\n";
        std::vector<std::pair<double, std::string>> cells;
        for (const Question& question : table) {
            for (std::size_t a = 0; a < question.answers.size(); ++a) {
                const double value = weight(question.probability[a], row);
                if (in_table(question, a) && std::abs(value) >= least) {
                    cells.emplace_back(value, column_name(compiled.library(), question, question.answers[a]));
                }
            }
        }
        std::stable_sort(cells.begin(), cells.end(),
                         [](const auto& a, const auto& b) { return std::abs(a.first) > std::abs(b.first); });
        for (const auto& [value, name] : cells) {
            context.out << fmt::format("  {:+6.1f}  {}\n", value, name);
        }
    }
}

ExitCode run_table(const Options& options, Context& context) {
    const auto compiled = compile(std::make_shared<const Library>(load_chosen_library(context, options.library)));
    const Library& library = compiled->library();
    UnitTraits unit;
    Diagnostics problems;
    for (const std::string& typed : options.traits) {
        const NameAndValue part = split_assignment(typed, "--unit", "TRAIT=VALUE");
        append(problems, parse_trait(part.name, part.value, library, unit));
    }
    if (has_errors(problems)) {
        throw Stop(ExitCode::bad_input, std::move(problems));
    }
    std::vector<AlternativeIndex> rows;
    for (AlternativeIndex a = 0; a < compiled->alternative_count(); ++a) {
        const Fault& fault = library.faults[compiled->alternative(a).fault];
        if ((options.system.empty() || fault.system == options.system) && holds(fault.where, unit) != Truth::no) {
            rows.push_back(a);
        }
    }
    if (rows.empty()) {
        throw Stop(ExitCode::usage, fmt::format("no fault is in system \"{}\" on such a unit", options.system));
    }
    const std::vector<Question> table = evidence_table(fit_to_unit(compiled, unit));
    if (options.csv) {
        print_csv(*compiled, table, rows, context);
    } else {
        print_text(*compiled, table, rows, options.least, context);
    }
    return ExitCode::done;
}

}  // namespace

Run set_up_rules_table(CLI::App& command) {
    auto options = std::make_shared<Options>();
    command.description(command.get_description() +
                        "\n\nEach number is the weight in decibans of one answer for one fault, alone, against a sound "
                        "unit, with the trust of a usual reading: +10 makes the fault ten times likelier. Gauges are "
                        "shown by their deviation from normal.");
    command.footer(
        "# for a spreadsheet\n"
        "frostread rules table --csv > weights.csv\n"
        "# what the airflow faults do, strongest first\n"
        "frostread rules table --system airflow --least 5");
    command.add_flag("--csv", options->csv, "one row per fault, one column per answer")->group("Output");
    command.add_option("--least", options->least, "text: leave out weights smaller than this, in decibans")
        ->type_name("DB")
        ->check(number_between(0, 200))
        ->capture_default_str()
        ->group("Output");
    command.add_option("--system", options->system, "only faults of this system")->type_name("SYSTEM")->group("Which");
    add_list_option(command, "-u,--unit", options->traits, "TRAIT=VALUE", "weights on such a unit", "Which");
    add_library_options(command, options->library);
    return [options](Context& context) { return run_table(*options, context); };
}

}  // namespace frostread::cli
