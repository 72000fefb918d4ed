#pragma once

#include <string>
#include <vector>

#include "cli/context.hpp"
#include "frostread/case.hpp"
#include "frostread/library.hpp"

namespace CLI {
class App;
}

/// A case out of a file, out of options, or both: shared by every command that starts from one.
namespace frostread::cli {

struct CaseInput {
    std::string file;                   ///< "-" is standard input; empty: none
    std::vector<std::string> readings;  ///< CHECK=VALUE
    std::vector<std::string> traits;    ///< TRAIT=VALUE
    std::string units = "si";
};

/// [CASE], -r, -u and --units.
void add_case_input(CLI::App& command, CaseInput& input);

/// Reads the file, then adds what was typed; every problem of both is reported at once. `can_not` is
/// added to what the person cannot do. Stops with usage when there is nothing to read. Warnings are printed, and
/// handed over for results that keep them.
[[nodiscard]] Case read_case_input(Context& context, const CaseInput& input, const Library& library,
                                   const std::vector<std::string>& can_not, Diagnostics& warnings);

/// Adds readings and traits as typed; problems come back, nothing is thrown.
[[nodiscard]] Diagnostics add_typed(const CaseInput& input, const Library& library, Case& the_case);

}  // namespace frostread::cli
