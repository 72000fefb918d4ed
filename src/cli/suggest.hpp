#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace CLI {
class App;
class ParseError;
}  // namespace CLI

/// Our own wording for everything a command line can get wrong, with the nearest name.
namespace frostread::cli {

/// One sentence on what is wrong, a hint when a name is close, and where to read on. Empty when the
/// parsed tree holds nothing that was not understood.
[[nodiscard]] std::string explain_leftovers(const CLI::App& root);

/// The same for an error that the parser threw.
[[nodiscard]] std::string explain_parse_error(const CLI::App& root, const CLI::ParseError& error);

/// The command that was being parsed: the deepest one that was named.
[[nodiscard]] const CLI::App& selected_command(const CLI::App& root);

/// "frostread rules lint" for that command.
[[nodiscard]] std::string full_name(const CLI::App& command);

}  // namespace frostread::cli
