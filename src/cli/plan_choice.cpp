#include "cli/plan_choice.hpp"

#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "base/text.hpp"
#include "cli/options.hpp"

namespace frostread::cli {

void add_plan_options(CLI::App& command, PlanChoice& choice) {
    const char* group = "Next step";
    const auto number = [&](const char* name, std::optional<double>& value, const char* type, double low, double high,
                            const char* help) {
        command.add_option(name, value, help)->type_name(type)->check(number_between(low, high))->group(group);
    };
    number("--labour", choice.labour, "MONEY", 0, 1e6, "price of an hour of work");
    number("--worth", choice.worth, "MONEY", 0, 1e9, "what the unit is worth in working order");
    number("--part-factor", choice.part_factor, "FACTOR", 0, 1e3, "your part prices against those of the library");
    number("--confidence", choice.confidence, "0.5..0.999", 0.5, 0.999,
           "stop testing when the best repair is this likely");
    number("--patience", choice.patience, "0..10", 0, 10, "price of a minute of waiting against one of work");
    add_list_option(command, "--can-not", choice.can_not, "WHAT",
                    "what you cannot do or do not have: meter, helper, licence, a tool such as torch, or a check; once "
                    "for each",
                    group);
}

PlanOptions plan_options(const Library& library, const PlanChoice& choice) {
    PlanOptions options = frostread::plan_options(library);
    Economy& economy = options.economy;
    economy.labour_per_hour = choice.labour.value_or(economy.labour_per_hour);
    economy.worth = choice.worth.value_or(economy.worth);
    economy.part_factor = choice.part_factor.value_or(economy.part_factor);
    economy.confidence = choice.confidence.value_or(economy.confidence);
    economy.patience = choice.patience.value_or(economy.patience);
    return options;
}

std::string missing_problem(const Library& library, const std::string& typed, const NameMatch& match) {
    if (match.matches.size() > 1) return fmt::format("\"{}\" fits {}", typed, text::join_or(match.matches));
    std::string out = fmt::format("nothing is named \"{}\"", typed);
    if (!match.nearest.empty()) return out + fmt::format("; did you mean {}?", match.nearest);
    return out + fmt::format("; say {}, or a check", text::join(missing_words(library), ", "));
}

std::vector<std::string> missing_things(const Library& library, const std::vector<std::string>& typed) {
    std::vector<std::string> out;
    for (const std::string& word : typed) {
        NameMatch match = match_missing(library, word);
        if (!match.unique()) throw Stop(ExitCode::usage, "--can-not: " + missing_problem(library, word, match));
        out.push_back(std::move(match.matches.front()));
    }
    return out;
}

}  // namespace frostread::cli
