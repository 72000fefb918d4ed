#include "cli/practice_choice.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "base/text.hpp"
#include "cli/options.hpp"
#include "cli/prompt_words.hpp"
#include "frostread/files.hpp"

namespace frostread::cli {

namespace {

Who who_of_word(const std::string& word) {
    if (word == "licensed") return Who::licensed;
    return word == "anyone" ? Who::anyone : Who::technician;
}

/// As typed to an id of a fault, with its grade.
std::string resolve_fault(const Library& library, const std::string& typed) {
    const std::size_t colon = typed.find(':');
    const Meant meant = meant_fault(library, typed.substr(0, colon), [](const Fault&) { return true; });
    if (meant.id.empty()) throw Stop(ExitCode::bad_input, "--fault " + meant.problem);
    return colon == std::string::npos ? meant.id : meant.id + typed.substr(colon);
}

std::string resolve_system(const Library& library, const std::string& typed) {
    std::vector<std::string> fits, known;
    for (const System& system : library.systems) {
        const bool used = std::any_of(library.faults.begin(), library.faults.end(),
                                      [&](const Fault& fault) { return fault.system == system.id; });
        if (!used) continue;
        if (system.id == typed) return typed;
        known.push_back(system.id);
        if (text::starts_with_ignoring_case(system.id, typed)) fits.push_back(system.id);
    }
    if (fits.size() == 1) return fits.front();
    throw Stop(ExitCode::bad_input, fmt::format("--system {}? {}", typed,
                                                fits.empty() ? fmt::format("there are {}", text::join_or(known))
                                                             : fmt::format("that fits {}", text::join_or(fits))));
}

}  // namespace

PracticeOptions practice_options(const PracticeChoice& choice, const Library& library, std::uint64_t seed) {
    PracticeOptions options;
    options.seed = seed;
    if (!choice.system.empty()) options.system = resolve_system(library, choice.system);
    if (!choice.fault.empty()) options.fault = resolve_fault(library, choice.fault);
    Diagnostics problems;
    for (const std::string& typed : choice.traits) {
        const NameAndValue part = split_assignment(typed, "-u", "TRAIT=VALUE");
        append(problems, parse_trait(part.name, part.value, library, options.unit));
    }
    if (has_errors(problems)) throw Stop(ExitCode::bad_input, std::move(problems), "no case was drawn");
    options.plan = plan_options(library, choice.plan);
    options.units = unit_preference(choice.units);
    options.may = who_of_word(choice.may);
    options.cannot = missing_things(library, choice.plan.can_not);
    return options;
}

std::string same_again(const PracticeChoice& choice, std::uint64_t seed) {
    std::string out = fmt::format("frostread practice --seed {}", seed);
    if (!choice.system.empty()) out += " --system " + choice.system;
    if (!choice.fault.empty()) out += " --fault " + choice.fault;
    for (const std::string& trait : choice.traits) out += " -u " + trait;
    if (!choice.may.empty()) out += " --may " + choice.may;
    if (choice.units != "si") out += " --units " + choice.units;
    if (!choice.library.folder.empty()) out += " --rules " + choice.library.folder;
    if (!choice.library.extra.empty()) out += " --rules-extra " + choice.library.extra;
    return out;
}

}  // namespace frostread::cli
