#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <memory>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "batch/case_runner.hpp"
#include "cli/batch_input.hpp"
#include "cli/batch_old_results.hpp"
#include "cli/batch_output.hpp"
#include "cli/batch_reports.hpp"
#include "cli/commands.hpp"
#include "cli/file_clash.hpp"
#include "cli/options.hpp"
#include "cli/plan_choice.hpp"

/// frostread batch: a script re-diagnoses a shop's saved cases.
namespace frostread::cli {

namespace {

constexpr std::size_t kMostMessages = 20;  ///< of errors, and of warnings, printed on standard error

struct Options {
    std::vector<std::string> inputs;
    LibraryChoice library;
    PlanChoice plan;
    std::string units = "si";
    std::string out, compare;
    std::size_t jobs = 0;
    int max_faults = 2;
    double floor = 0.001;
    bool no_next = false, next_closed = false, all_faults = false, csv = false, strict = false, score = false,
         fail_on_change = false, json = false;
    [[nodiscard]] bool reports() const { return score || !compare.empty(); }
};

void describe(CLI::App& command) {
    command.description(
        command.get_description() +
        "\n\nAn input is a case file, a folder (every *.json and *.jsonl below it, by name), a file with one case on "
        "each line, or - for standard input. One result comes out for each case, on one line, in the order of the "
        "input. A case that is wrong gets an error in its place and the rest goes on; the exit code is then 4."
        "\n\nA line leaves out faults below a floor and gives reasons for the leading fault only. The next test takes "
        "most of the time: leave it out with --no-next when you only want the ranking. A closed case needs none and "
        "gets none, unless you ask with --next-closed."
        "\n\nWith --compare or --score a report is printed in place of the results; --out keeps the results as well.");
    command.footer(
        "# all cases of a year again, with the rules of today\n"
        "frostread batch cases/ --out today.jsonl\n"
        "# compressed input comes through a pipe\n"
        "zcat cases.jsonl.gz | frostread batch - --no-next > ranks.jsonl\n"
        "# what did an edit of the rules change?\n"
        "frostread batch cases/ --rules rules --compare today.jsonl --fail-on-change");
}

void add_options(CLI::App& command, const std::shared_ptr<Options>& options) {
    command.add_option("INPUT", options->inputs, "case files, folders, files with a case on each line, or -")
        ->type_name("INPUT");
    command.add_flag("--strict", options->strict, "stop at the first bad case; exit code 2")->group("Input");
    add_units_option(command, options->units);
    add_library_options(command, options->library);
    command.add_option("--out", options->out, "write the results to this file, whole or not at all")
        ->type_name("FILE")
        ->check(a_name())
        ->group("Output");
    command.add_flag("--csv", options->csv, "one row of a table for each case, with a heading")->group("Output");
    command.add_flag("--all-faults", options->all_faults, "every fault, and the reasons of every likely one")
        ->group("Output");
    command.add_option("--floor", options->floor, "leave out faults less likely than this")
        ->type_name("0..1")
        ->check(number_between(0, 1))
        ->capture_default_str()
        ->group("Output");
    command.add_flag("--no-next", options->no_next, "rank only; \"next\" is null, and it is far faster")
        ->group("Output");
    command.add_flag("--next-closed", options->next_closed, "plan on closed cases too, as if they were still open")
        ->group("Output");
    command.add_option("--compare", options->compare, "say what changed since this earlier run")
        ->type_name("OLD.jsonl")
        ->check(a_name())
        ->group("Reports");
    command.add_flag("--fail-on-change", options->fail_on_change, "exit code 6 when --compare found a change")
        ->group("Reports");
    command.add_flag("--score", options->score, "score closed cases against what was found")->group("Reports");
    command.add_flag("--json", options->json, "print the report as JSON")->group("Reports");
    command
        .add_option("-j,--jobs", options->jobs,
                    "threads; 0 is one for each core; at most four for each core, or 8; the output is the same")
        ->type_name("0..1024")
        ->check(number_between(0, 1024))
        ->capture_default_str()
        ->group("Method");
    command.add_option("--max-faults", options->max_faults, "how many faults may be present together: 1, 2 or 3")
        ->type_name("1..3")
        ->check(number_between(1, 3))
        ->capture_default_str()
        ->group("Method");
    add_plan_options(command, options->plan);
}

/// Takes the answers in order and sends each where it belongs.
class Sink : public BatchSink {
public:
    Sink(Context& context, const Options& options, const Library& library, const BatchInput& input)
        : context_(context),
          options_(options),
          input_(input),
          results_(context, options.out),
          report_(context, ""),
          progress_(context),
          score_(library) {
        keeps_results_ = !options.reports() || !options.out.empty();
        if (options.csv && keeps_results_) results_.line(batch_csv_header());
    }

    bool take(const CaseText& /*item*/, const BatchEntry& entry) override {
        ++cases_;
        bad_ += entry.bad ? 1U : 0U;
        if (!entry.diagnostics.empty()) say(entry.diagnostics);
        if (keeps_results_) results_.line(options_.csv ? entry.csv : entry.line);
        if (options_.score) score_.take(entry);
        if (!options_.compare.empty()) take_change(entry);
        progress_.show(cases_, input_.bytes_read(), input_.bytes_total());
        return !(entry.bad && options_.strict) && !results_.broken() && !report_.broken();
    }

    void idle() override {
        results_.show();
        report_.show();
    }

    ExitCode finish(const OldRun* old) {
        progress_.clear();
        say_more(errors_, "error", "each stands in its place in the results");
        say_more(warnings_, "warning", options_.csv ? "the lines of JSON hold each" : "each stands with its case");
        const bool stopped = options_.strict && bad_ > 0;
        if (stopped && !options_.out.empty()) {
            context_.err << fmt::format("{} cases, then a bad one; stopped, nothing written to {}\n", cases_ - 1,
                                        options_.out);
            return ExitCode::bad_input;
        }
        results_.commit();
        if (old != nullptr) compare_.set_old_count(old->count_lines());
        if (!options_.compare.empty()) print_report(options_.json ? compare_.json() : compare_.text());
        if (options_.score) print_report(options_.json ? score_.json() : score_.text());
        report_.commit();
        context_.err << fmt::format("{} case{}: {} diagnosed, {} bad{}\n", cases_, cases_ == 1 ? "" : "s",
                                    cases_ - bad_, bad_, stopped ? "; stopped at it" : "");
        if (input_.passed_over() > 0)
            context_.err << fmt::format("{} file{} passed over: neither *.json nor *.jsonl\n", input_.passed_over(),
                                        input_.passed_over() == 1 ? "" : "s");
        // What weighs most comes first: cases nobody saw, then the change that was asked about, then bad cases.
        if (stopped || input_.unreadable() > 0) return ExitCode::bad_input;
        if (options_.fail_on_change && compare_.changed() > 0) return ExitCode::changed;
        return bad_ > 0 ? ExitCode::bad_cases : ExitCode::done;
    }

private:
    void say(const Diagnostics& diagnostics) {
        for (const Diagnostic& one : diagnostics) {
            const bool is_error = one.severity == Severity::error;
            if (++(is_error ? errors_ : warnings_) > kMostMessages) continue;
            progress_.clear();
            const char* kind = is_error ? "error" : "warning";
            context_.err << fmt::format("{}: {}: {} [{}]\n", batch::where_words(one), kind, batch::what_words(one),
                                        one.id);
        }
    }

    void say_more(std::size_t count, const char* kind, const char* where) {
        if (count <= kMostMessages) return;
        const std::size_t more = count - kMostMessages;
        context_.err << fmt::format("… and {} more {}{}; {}\n", more, kind, more == 1 ? "" : "s", where);
    }

    void take_change(const BatchEntry& entry) {
        const std::string text = compare_.take(entry);
        if (text.empty()) return;
        report_.line(options_.json ? compare_.json_line(entry) : text.substr(0, text.size() - 1));
    }

    void print_report(const std::string& text) {
        if (!text.empty()) report_.line(std::string_view(text).substr(0, text.size() - 1));
    }

    Context& context_;
    const Options& options_;
    const BatchInput& input_;
    BatchOutput results_, report_;
    BatchProgress progress_;
    ScoreReport score_;
    CompareReport compare_;
    bool keeps_results_ = true;
    std::size_t cases_ = 0, bad_ = 0, errors_ = 0, warnings_ = 0;
};

/// More threads than that answer no sooner, and each takes memory of its own.
unsigned threads(std::size_t asked) {
    const unsigned cores = std::max(1U, std::thread::hardware_concurrency());
    const unsigned most = std::max(4 * cores, 8U);
    return asked == 0 ? cores : static_cast<unsigned>(std::min<std::size_t>(asked, most));
}

ExitCode run(const Options& options, Context& context) {
    if (options.fail_on_change && options.compare.empty())
        throw Stop(ExitCode::usage, "--fail-on-change says what to do about a change: give --compare OLD.jsonl too");
    if (options.no_next && options.next_closed)
        throw Stop(ExitCode::usage, "--no-next and --next-closed ask for opposite things: leave one out");
    if (options.json && !options.reports())
        throw Stop(ExitCode::usage, "--json is for the reports of --compare and --score; results are JSON already");
    std::vector<std::string> read = options.inputs;
    if (read.empty()) read.emplace_back("-");
    for (const std::string& file : {options.compare, options.library.folder, options.library.extra})
        read.push_back(file);
    refuse_clash(context, {{"--out", options.out}}, read);
    refuse_clash_of_stdout(context, read);
    BatchInput input(context, options.inputs);
    const auto library = std::make_shared<const Library>(load_chosen_library(context, options.library));
    const auto compiled = compile(library);

    BatchOptions batch;
    batch.jobs = threads(options.jobs);
    batch.next = !options.no_next;
    batch.closed_next = options.next_closed;
    batch.all_faults = options.all_faults;
    batch.floor = options.floor;
    batch.csv = options.csv;
    batch.lines = !options.csv && (!options.reports() || !options.out.empty());
    batch.score = options.score;
    batch.compare = !options.compare.empty();
    batch.plan = plan_options(*library, options.plan);
    batch.infer.max_faults = options.max_faults;
    batch.units = unit_preference(options.units);
    std::optional<OldRun> old;
    if (batch.compare) {
        old.emplace(context, options.compare);
        input.pair_with(&old->lines());
        batch.old_results = &*old;
    }
    Sink sink(context, options, *library, input);
    run_batch(compiled, input, batch, sink);
    return sink.finish(old ? &*old : nullptr);
}

}  // namespace

Run set_up_batch(CLI::App& command) {
    auto options = std::make_shared<Options>();
    describe(command);
    add_options(command, options);
    return [options](Context& context) { return run(*options, context); };
}

}  // namespace frostread::cli
