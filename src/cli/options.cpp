#include "cli/options.hpp"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <charconv>
#include <utility>

namespace frostread::cli {

std::function<std::string(const std::string&)> one_of(std::vector<std::string> words) {
    return [words = std::move(words)](const std::string& typed) -> std::string {
        return std::find(words.begin(), words.end(), typed) == words.end() ? "not one of the words" : "";
    };
}

std::function<std::string(const std::string&)> number_between(double low, double high) {
    return [low, high](const std::string& typed) -> std::string {
        double value = 0.0;
        const auto [end, error] = std::from_chars(typed.data(), typed.data() + typed.size(), value);
        const bool whole = error == std::errc{} && end == typed.data() + typed.size();
        return whole && value >= low && value <= high ? "" : "out of range";
    };
}

std::function<std::string(const std::string&)> a_name() {
    return [](const std::string& typed) -> std::string { return typed.empty() ? "empty" : ""; };
}

void add_library_options(CLI::App& command, LibraryChoice& choice) {
    command.add_option("--rules", choice.folder, "use the rules of this folder instead of the ones built in")
        ->type_name("DIR")
        ->check(a_name())
        ->group("Rules");
    command
        .add_option("--rules-extra", choice.extra,
                    "add your shop's own entries, or replace entries with the same id; every result says so")
        ->type_name("FILE")
        ->check(a_name())
        ->group("Rules");
}

void add_units_option(CLI::App& command, std::string& units) {
    command
        .add_option("--units", units,
                    "what a bare number means and how results are shown: si (°C, kPa) or us (°F, psi)")
        ->type_name("us|si")
        ->check(one_of({"us", "si"}))
        ->group("Input");
}

UnitPreference unit_preference(const std::string& units) {
    return units == "us" ? UnitPreference::us : UnitPreference::si;
}

void add_list_option(CLI::App& command, const std::string& names, std::vector<std::string>& values,
                     const std::string& type_name, const std::string& help, const std::string& group) {
    command.add_option(names, values, help)
        ->type_name(type_name)
        ->type_size(1)
        ->allow_extra_args(false)
        ->multi_option_policy(CLI::MultiOptionPolicy::TakeAll)
        ->group(group);
}

NameAndValue split_assignment(const std::string& typed, const std::string& option, const std::string& shape) {
    const std::size_t equals = typed.find('=');
    if (equals == std::string::npos || equals == 0 || equals + 1 == typed.size()) {
        throw Stop(ExitCode::usage, option + " takes " + shape + ", not \"" + typed + "\"");
    }
    return {typed.substr(0, equals), typed.substr(equals + 1)};
}

}  // namespace frostread::cli
