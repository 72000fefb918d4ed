#pragma once

#include <iosfwd>
#include <memory>
#include <string>
#include <vector>

namespace CLI {
class App;
}

namespace frostread::cli {

struct Context;

/// Runs the program on its arguments (without the program name). Returns the exit code. Nothing is
/// thrown: a mistake of our own ends in code 70 with a line that says what to send.
int run(const std::vector<std::string>& arguments, std::istream& in, std::ostream& out, std::ostream& err);

/// The same on a given world, for tests.
int run(const std::vector<std::string>& arguments, Context& context);

/// The whole tree of commands and options, not yet parsed; completion, man page and tests read it.
[[nodiscard]] std::unique_ptr<CLI::App> command_tree();

/// The help page of one command of the tree, at most `width` columns wide.
[[nodiscard]] std::string help_page(const CLI::App& command, std::size_t width = 80);

/// "frostread 0.1.0", the rule library and the format numbers.
[[nodiscard]] std::string version_text();

}  // namespace frostread::cli
