#pragma once

#include <array>

/// The exit codes of every command: a contract with scripts. docs/exit-codes.md says the same and is
/// checked against this table.
namespace frostread::cli {

enum class ExitCode : int {
    done = 0,
    usage = 1,
    bad_input = 2,
    bad_library = 3,
    bad_cases = 4,
    not_written = 5,
    changed = 6,
    own_bug = 70,
    hung_up = 129,
    interrupted = 130,
    terminated = 143,
};

struct ExitCodeRow {
    ExitCode code;
    const char* meaning;
};

inline constexpr std::array<ExitCodeRow, 11> kExitCodes{{
    {ExitCode::done, "done; \"cannot tell from these readings\" is an answer too"},
    {ExitCode::usage, "the command line makes no sense"},
    {ExitCode::bad_input, "a file or a value is wrong or cannot be read"},
    {ExitCode::bad_library, "the rule library is wrong"},
    {ExitCode::bad_cases, "done, but some cases of a batch were bad"},
    {ExitCode::not_written, "a file could not be written"},
    {ExitCode::changed, "done, but answers changed since an earlier run and --fail-on-change was given"},
    {ExitCode::own_bug, "a mistake in frostread itself"},
    {ExitCode::hung_up, "the terminal was closed (SIGHUP)"},
    {ExitCode::interrupted, "interrupted"},
    {ExitCode::terminated, "told to end (SIGTERM)"},
}};

}  // namespace frostread::cli
