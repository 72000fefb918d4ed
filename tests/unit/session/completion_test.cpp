#include <CLI/CLI.hpp>

#include "cli/app.hpp"
#include "cli/command_walk.hpp"
#include "cli/exit_codes.hpp"
#include "support/catch.hpp"

// Scripts and page are made from the tree of commands; nothing of the tree may be missing in them.

using namespace frostread;

namespace {

bool holds(const std::string& text, const std::string& part) {
    return text.find(part) != std::string::npos;
}

std::string as_roff(const std::string& text) {
    std::string out;
    for (const char c : text) out += c == '-' ? std::string("\\-") : std::string(1, c);
    return out;
}

}  // namespace

TEST_CASE("Every command and option stands in every completion script and in the manual page", "[cli][completion]") {
    const std::vector<cli::CommandFact> commands = cli::walk_commands(*cli::command_tree());
    REQUIRE(commands.size() > 10);
    const std::vector<std::string> names = {"evaporator-frost"};
    const std::string bash = cli::completion_script("bash", commands, names);
    const std::string zsh = cli::completion_script("zsh", commands, names);
    const std::string fish = cli::completion_script("fish", commands, names);
    const std::string page = cli::manual_page(commands);
    for (const cli::CommandFact& command : commands) {
        std::string path = "frostread";
        for (const std::string& word : command.path) path += " " + word;
        INFO(path);
        CHECK(holds(page, as_roff(path)));
        if (!command.path.empty()) {
            CHECK(holds(bash, "path=\"" + path.substr(9) + "\""));
            CHECK(holds(fish, "-a " + command.path.back() + " "));
            CHECK(holds(zsh, command.path.back()));
        }
        for (const cli::OptionFact& option : command.options)
            for (const std::string& name : option.names) {
                INFO(name);
                CHECK(holds(bash, name));
                CHECK(holds(zsh, "'*" + name + "["));
                CHECK(holds(fish, name.starts_with("--") ? "-l " + name.substr(2) : "-s " + name.substr(1)));
                CHECK(holds(page, "\\fB" + as_roff(name) + "\\fR"));
                // A flag is not followed by anything.
                if (!option.takes_value()) CHECK_FALSE(holds(zsh, "'*" + name + "[" + option.help + "]:"));
            }
    }
    for (const std::string& script : {bash, zsh, fish}) CHECK(holds(script, "evaporator-frost"));
    for (const cli::ExitCodeRow& row : cli::kExitCodes)
        CHECK(holds(page, ".TP\n" + std::to_string(static_cast<int>(row.code)) + "\n"));
}
