#pragma once

#include <functional>
#include <string>
#include <vector>

#include "cli/context.hpp"
#include "cli/io.hpp"
#include "frostread/quantity.hpp"

namespace CLI {
class App;
}

/// Options that several commands share, so that the same flag means the same everywhere.
namespace frostread::cli {

/// --rules DIR and --rules-extra FILE.
void add_library_options(CLI::App& command, LibraryChoice& choice);

/// --units us|si: what bare numbers mean and how results are shown.
void add_units_option(CLI::App& command, std::string& units);
[[nodiscard]] UnitPreference unit_preference(const std::string& units);

/// For Option::check: one of these words, or a number between two. Say what is allowed in type_name;
/// the message to the person is made from it.
[[nodiscard]] std::function<std::string(const std::string&)> one_of(std::vector<std::string> words);
[[nodiscard]] std::function<std::string(const std::string&)> number_between(double low, double high);

/// For Option::check of a file or folder: an empty name, such as an unset variable gives, is no name.
[[nodiscard]] std::function<std::string(const std::string&)> a_name();

/// A list option that takes one value each time it is given (-r A -r B), never two at once.
void add_list_option(CLI::App& command, const std::string& names, std::vector<std::string>& values,
                     const std::string& type_name, const std::string& help, const std::string& group);

/// Splits NAME=VALUE at the first "="; stops with usage when there is none.
struct NameAndValue {
    std::string name;
    std::string value;
};
[[nodiscard]] NameAndValue split_assignment(const std::string& typed, const std::string& option,
                                            const std::string& shape);

}  // namespace frostread::cli
