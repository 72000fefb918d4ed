#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <memory>
#include <nlohmann/json.hpp>
#include <ostream>

#include "base/text.hpp"
#include "cli/options.hpp"
#include "cli/rules_commands.hpp"
#include "frostread/compiled_library.hpp"
#include "present/writers.hpp"

namespace frostread::cli {

namespace {

using Json = nlohmann::ordered_json;

struct Options {
    LibraryChoice library;
    std::string kind = "all";
    std::string system;
    std::string place;
    std::vector<std::string> traits;
    bool json = false;
};

/// One line of the list.
struct Entry {
    std::string kind;
    std::string id;
    std::string name;
    std::string group;  ///< system or place
    std::vector<std::string> aliases;
};

std::vector<Entry> collect(const Library& library, const Options& options, const UnitTraits& unit) {
    std::vector<Entry> entries;
    const auto wanted = [&](const char* kind) { return options.kind == "all" || options.kind == kind; };
    const bool filtered = !options.system.empty() || !options.place.empty() || !options.traits.empty();
    if (wanted("checks") && options.system.empty()) {
        for (const Check& check : library.checks) {
            if ((options.place.empty() || check.place == options.place) && holds(check.where, unit) != Truth::no) {
                entries.push_back({"check", check.id, check.name, check.place, check.aliases});
            }
        }
    }
    if (wanted("faults") && options.place.empty()) {
        for (const Fault& fault : library.faults) {
            if ((options.system.empty() || fault.system == options.system) && holds(fault.where, unit) != Truth::no) {
                entries.push_back({"fault", fault.id, fault.name, fault.system, fault.aliases});
            }
        }
    }
    if (filtered) {
        return entries;
    }
    if (wanted("cautions")) {
        for (const Caution& caution : library.cautions) {
            entries.push_back({"caution", caution.id, caution.name, "", {}});
        }
    }
    if (wanted("areas")) {
        for (const Area& area : library.areas) {
            entries.push_back({"area", area.id, area.name, "", {}});
        }
    }
    if (wanted("traits")) {
        for (const Trait& trait : library.traits) {
            std::vector<std::string> values;
            for (const TraitValue& value : trait.values) {
                values.push_back(value.id);
            }
            const std::string words = values.empty() ? trait.name : trait.name + ": " + text::join(values, ", ");
            entries.push_back({"trait", trait.id, words, "", trait.aliases});
        }
    }
    return entries;
}

void print_text(const std::vector<Entry>& entries, Context& context) {
    std::size_t id_width = 0;
    for (const Entry& entry : entries) {
        id_width = std::max(id_width, entry.id.size());
    }
    id_width = std::min<std::size_t>(id_width, 26);
    std::string heading;
    for (const Entry& entry : entries) {
        const std::string current =
            entry.group.empty() ? entry.kind + "s" : fmt::format("{}s: {}", entry.kind, entry.group);
        if (current != heading) {
            context.out << (heading.empty() ? "" : "\n")
                        << present::inked(current, present::Ink::bold, context.out_style) << "\n";
            heading = current;
        }
        std::string words = entry.name;
        if (!entry.aliases.empty()) {
            words += fmt::format(" [{}]", text::join(entry.aliases, ", "));
        }
        context.out << present::wrapped(words, context.out_style.width,
                                        present::pad_right("  " + entry.id, id_width + 4),
                                        std::string(id_width + 4, ' '));
    }
}

void print_json(const std::vector<Entry>& entries, Context& context) {
    Json list = Json::array();
    for (const Entry& entry : entries) {
        list.push_back({{"kind", entry.kind},
                        {"id", entry.id},
                        {"name", entry.name},
                        {"group", entry.group},
                        {"aliases", entry.aliases}});
    }
    context.out << list.dump(2) << "\n";
}

/// A filter that names nothing is a slip, not an empty list.
void check_filter(const std::string& typed, const std::vector<std::string>& known, const char* option) {
    if (typed.empty() || std::find(known.begin(), known.end(), typed) != known.end()) {
        return;
    }
    const std::string_view close = text::nearest(typed, known);
    throw Stop(ExitCode::usage, close.empty()
                                    ? fmt::format("{} \"{}\" is not one of {}", option, typed, text::join_or(known))
                                    : fmt::format("{} \"{}\" is not known; did you mean {}?", option, typed, close));
}

ExitCode run_list(const Options& options, Context& context) {
    const Library library = load_chosen_library(context, options.library);
    std::vector<std::string> systems;
    for (const System& system : library.systems) {
        systems.push_back(system.id);
    }
    std::vector<std::string> places;
    for (const Check& check : library.checks) {
        if (std::find(places.begin(), places.end(), check.place) == places.end()) {
            places.push_back(check.place);
        }
    }
    check_filter(options.system, systems, "--system");
    check_filter(options.place, places, "--place");
    UnitTraits unit;
    Diagnostics problems;
    for (const std::string& typed : options.traits) {
        const NameAndValue part = split_assignment(typed, "--unit", "TRAIT=VALUE");
        append(problems, parse_trait(part.name, part.value, library, unit));
    }
    if (has_errors(problems)) {
        throw Stop(ExitCode::bad_input, std::move(problems));
    }
    const std::vector<Entry> entries = collect(library, options, unit);
    if (options.json) {
        print_json(entries, context);
    } else {
        print_text(entries, context);
    }
    return ExitCode::done;
}

}  // namespace

Run set_up_rules_list(CLI::App& command) {
    auto options = std::make_shared<Options>();
    command.description(command.get_description() + "\n\nIn brackets stand the short names for quick typing.");
    command.footer(
        "# the faults of the defrost system\n"
        "frostread rules list --system defrost\n"
        "# everything that exists on a unit with cold plates\n"
        "frostread rules list --unit cooling=plate");
    command.add_option("--kind", options->kind, "checks, faults, cautions, areas, traits or all")
        ->type_name("KIND")
        ->check(one_of({"all", "checks", "faults", "cautions", "areas", "traits"}))
        ->capture_default_str()
        ->group("Which");
    command.add_option("--system", options->system, "only faults of this system")->type_name("SYSTEM")->group("Which");
    command.add_option("--place", options->place, "only checks done at this place")->type_name("PLACE")->group("Which");
    add_list_option(command, "-u,--unit", options->traits, "TRAIT=VALUE", "only what exists on such a unit", "Which");
    command.add_flag("--json", options->json, "print the list as JSON")->group("Output");
    add_library_options(command, options->library);
    return [options](Context& context) { return run_list(*options, context); };
}

}  // namespace frostread::cli
