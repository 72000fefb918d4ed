#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>
#include <string>

#include "cli/batch_output.hpp"
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "frostread/batch.hpp"
#include "frostread/files.hpp"

/// frostread practice: invented cases out of the library's own model.
namespace frostread::cli {

namespace {

struct Options {
    LibraryChoice library;
    std::string out;
    std::uint64_t draw = 0, seed = 1;
    std::size_t readings = 20;
};

void describe(CLI::App& command) {
    command.description(command.get_description() +
                        "\n\n--draw N prints N invented cases, one on each line, closed with the fault that was hidden "
                        "in them. They come out of the library's own numbers: they test the arithmetic and the speed, "
                        "not whether the rules are true. The same seed gives the same cases everywhere.");
    command.footer(
        "# a thousand invented cases, and how well they are diagnosed\n"
        "frostread practice --draw 1000 --seed 7 > drawn.jsonl\n"
        "frostread batch drawn.jsonl --no-next --score");
}

ExitCode run(const Options& options, Context& context) {
    if (options.draw == 0) throw Stop(ExitCode::usage, "say how many cases to draw: frostread practice --draw 100");
    const auto library = std::make_shared<const Library>(load_chosen_library(context, options.library));
    const auto compiled = compile(library);
    BatchOutput output(context, options.out);
    for (std::uint64_t number = 0; number < options.draw && !output.broken(); ++number)
        output.line(write_case(draw_closed_case(compiled, options.seed, number, options.readings), -1));
    output.commit();
    context.err << fmt::format("{} invented cases, seed {}: they test the arithmetic, not the truth of the rules\n",
                               options.draw, options.seed);
    return ExitCode::done;
}

}  // namespace

Run set_up_practice(CLI::App& command) {
    auto options = std::make_shared<Options>();
    describe(command);
    command.add_option("--draw", options->draw, "print this many invented, closed cases")
        ->type_name("N")
        ->check(number_between(1, 1e9))
        ->group("Drawing");
    command.add_option("--seed", options->seed, "which cases; the same seed gives the same ones")
        ->type_name("S")
        ->check(number_between(0, 1e15))
        ->capture_default_str()
        ->group("Drawing");
    command.add_option("--readings", options->readings, "about how many readings a case has")
        ->type_name("N")
        ->check(number_between(1, 1000))
        ->capture_default_str()
        ->group("Drawing");
    command.add_option("--out", options->out, "write to this file, whole or not at all")
        ->type_name("FILE")
        ->group("Drawing");
    add_library_options(command, options->library);
    return [options](Context& context) { return run(*options, context); };
}

}  // namespace frostread::cli
