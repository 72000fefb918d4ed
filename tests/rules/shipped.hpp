#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "frostread/engine.hpp"
#include "frostread/files.hpp"

/// The rules that are built into the program, and what the engine makes of readings typed as a person
/// would type them.
namespace frostread::test {

/// Loaded and compiled once. Throws with the whole message when the library is refused.
[[nodiscard]] std::shared_ptr<const CompiledLibrary> shipped();

/// `unit` holds "trait=value", `readings` "check=value"; bare numbers are taken as SI. Throws when one is refused.
[[nodiscard]] Case typed_case(const std::vector<std::string>& unit, const std::vector<std::string>& readings);

/// What the engine says, by fault id.
struct Ranking {
    std::vector<std::pair<std::string, double>> faults;  ///< all that the unit can have, likeliest first
    double nothing_wrong = 0.0;
    double something_else = 0.0;

    [[nodiscard]] double of(std::string_view fault) const;  ///< 0 when the unit cannot have it
    [[nodiscard]] double of_grade(std::string_view fault, std::string_view grade) const;
    [[nodiscard]] std::size_t place(std::string_view fault) const;  ///< 1 is the first; 0 when it is not ranked
    [[nodiscard]] std::string leader() const;                       ///< "nothing-wrong", "something-else" or a fault id
    [[nodiscard]] std::string first(std::size_t count) const;       ///< for messages: "a 0.51, b 0.12"

    std::vector<std::pair<std::string, double>> grades;  ///< "fault:grade"
};

[[nodiscard]] Ranking diagnose(const Case& the_case);
[[nodiscard]] Ranking diagnose(const std::vector<std::string>& unit, const std::vector<std::string>& readings);

/// The text of a file below tests/rules. Throws when it cannot be read.
[[nodiscard]] std::string rules_test_file(const std::string& name);

}  // namespace frostread::test
