#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>
#include <ostream>

#include "base/text.hpp"
#include "cli/options.hpp"
#include "cli/rules_commands.hpp"

namespace frostread::cli {

namespace {

struct Options {
    LibraryChoice library;
    std::string kind;
};

/// "schema/check.schema.json" is the kind "check".
std::string kind_of(std::string_view name) {
    name.remove_prefix(std::string_view("schema/").size());
    return std::string(name.substr(0, name.find('.')));
}

ExitCode run_schema(const Options& options, Context& context) {
    const LibrarySources sources = library_sources(options.library);
    std::vector<std::string> kinds;
    for (const SourceText& source : sources.files) {
        if (!source.name.starts_with("schema/")) {
            continue;
        }
        kinds.push_back(kind_of(source.name));
        if (!options.kind.empty() && kinds.back() == options.kind) {
            context.out << source.text;
            return ExitCode::done;
        }
    }
    if (options.kind.empty()) {
        for (const std::string& kind : kinds) {
            context.out << kind << "\n";
        }
        return ExitCode::done;
    }
    const std::string_view close = text::nearest(options.kind, kinds);
    throw Stop(ExitCode::bad_input,
               close.empty()
                   ? fmt::format("there is no schema \"{}\"; there are {}", options.kind, text::join_or(kinds))
                   : fmt::format("there is no schema \"{}\"; did you mean {}?", options.kind, close));
}

}  // namespace

Run set_up_rules_schema(CLI::App& command) {
    auto options = std::make_shared<Options>();
    command.description(command.get_description() + "\n\nWithout KIND it lists the kinds.");
    command.footer(
        "# let the editor complete and check fault files\n"
        "frostread rules schema faults > faults.schema.json");
    command.add_option("KIND", options->kind, "the kind of file");
    add_library_options(command, options->library);
    return [options](Context& context) { return run_schema(*options, context); };
}

}  // namespace frostread::cli
