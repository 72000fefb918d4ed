#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>
#include <string>

#include "cli/batch_output.hpp"
#include "cli/commands.hpp"
#include "cli/file_clash.hpp"
#include "cli/options.hpp"
#include "cli/prompt_practice.hpp"
#include "frostread/batch.hpp"
#include "frostread/files.hpp"

/// frostread practice: a hidden fault to find, or invented cases in bulk, both out of the library's own model.
namespace frostread::cli {

namespace {

struct Options {
    PracticeChoice game;
    std::string out;
    std::uint64_t draw = 0;
    std::optional<std::size_t> readings;
};

constexpr std::uint64_t kFirstSeed = 1;
constexpr std::size_t kReadings = 20;

void describe(CLI::App& command) {
    command.description(
        command.get_description() +
        "\n\nShows an invented unit and what its owner complains of. You name checks (frost, fan, fz) and are told "
        "what "
        "is found; minutes, opened panels and waiting are counted. Say what is to be done (repair FAULT, refer, "
        "retire, "
        "finish), and see what it was, how the planner went over the same unit, what your checks told and how the cure "
        "is proved. \"help\" shows what else can be typed.\n\n"
        "Such cases come out of the library's own numbers: they test the arithmetic and your method, not whether the "
        "rules are true. The same seed gives the same case everywhere. --draw N prints N invented cases instead, one "
        "on "
        "each line, closed with the fault that was hidden in them.");
    command.footer(
        "# a fault by chance\n"
        "frostread practice\n"
        "# the same unit once more, kept as a closed case\n"
        "frostread practice --seed 4711 --save mine.json\n"
        "# a fault of the defrost, on a unit of a kind\n"
        "frostread practice --system defrost -u layout=freezer-top\n"
        "# a thousand invented cases, and how well they are diagnosed\n"
        "frostread practice --draw 1000 --seed 7 > drawn.jsonl\n"
        "frostread batch drawn.jsonl --no-next --score");
}

ExitCode draw(const Options& options, Context& context) {
    const PracticeChoice& game = options.game;
    if (game.json || !game.save.empty() || !game.system.empty() || !game.fault.empty() || !game.traits.empty() ||
        !game.may.empty())
        throw Stop(ExitCode::usage,
                   "--draw prints cases of all kinds; it goes with --seed, --readings and --out, not with the options "
                   "of the game");
    refuse_clash(context, {{"--out", options.out}}, {game.library.folder, game.library.extra});
    const auto library = std::make_shared<const Library>(load_chosen_library(context, game.library));
    const auto compiled = compile(library);
    const std::uint64_t seed = game.seed.value_or(kFirstSeed);
    BatchOutput output(context, options.out);
    for (std::uint64_t number = 0; number < options.draw && !output.broken(); ++number)
        output.line(write_case(draw_closed_case(compiled, seed, number, options.readings.value_or(kReadings)), -1));
    output.commit();
    context.err << fmt::format("{} invented case{}, seed {}: they test the arithmetic, not the truth of the rules\n",
                               options.draw, options.draw == 1 ? "" : "s", seed);
    return ExitCode::done;
}

ExitCode run(const Options& options, Context& context) {
    if (options.draw > 0) return draw(options, context);
    if (options.readings || !options.out.empty())
        throw Stop(ExitCode::usage, "--readings and --out go with --draw; the game keeps its case with --save CASE");
    return run_practice(context, options.game);
}

void add_game_options(CLI::App& command, PracticeChoice& game) {
    const char* group = "The case";
    command
        .add_option("--seed", game.seed,
                    "which case; the same seed gives the same one. Without it one by chance, or 1 with --draw")
        ->type_name("S")
        ->check(number_between(0, 1e15))
        ->group(group);
    command.add_option("--system", game.system, "a fault of this system: defrost, airflow, sealed-system …")
        ->type_name("SYSTEM")
        ->group(group);
    command.add_option("--fault", game.fault, "this fault, FAULT or FAULT:GRADE, perhaps with another one")
        ->type_name("FAULT")
        ->group(group);
    add_list_option(command, "-u,--unit", game.traits, "TRAIT=VALUE",
                    "a unit of this kind: layout=freezer-top, age_years=11; what is not given is drawn", group);
    command
        .add_option("--may", game.may,
                    "the highest work you may do: anyone (no mains, no refrigerant), technician or licensed")
        ->type_name("WHO")
        ->check(one_of({"anyone", "technician", "licensed"}))
        ->group(group);
    command.add_option("--save", game.save, "keep the ended case in this new file, closed and marked as invented")
        ->type_name("CASE")
        ->check(a_name())
        ->group("Output");
    command
        .add_flag("--json", game.json, "print the score as JSON (docs/practice.md); the talk goes to standard error")
        ->group("Output");
}

}  // namespace

Run set_up_practice(CLI::App& command) {
    auto options = std::make_shared<Options>();
    describe(command);
    add_game_options(command, options->game);
    command.add_option("--draw", options->draw, "print this many invented, closed cases instead")
        ->type_name("N")
        ->check(number_between(1, 1e9))
        ->group("Drawing");
    command.add_option("--readings", options->readings, "about how many readings a drawn case has [default: 20]")
        ->type_name("N")
        ->check(number_between(1, 1000))
        ->group("Drawing");
    command.add_option("--out", options->out, "write drawn cases to this file, whole or not at all")
        ->type_name("FILE")
        ->check(a_name())
        ->group("Drawing");
    add_units_option(command, options->game.units);
    add_library_options(command, options->game.library);
    add_plan_options(command, options->game.plan);
    return [options](Context& context) { return run(*options, context); };
}

}  // namespace frostread::cli
