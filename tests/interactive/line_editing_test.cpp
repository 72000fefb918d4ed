#include "cli/line_input.hpp"
#include "interactive/program.hpp"
#include "support/catch.hpp"

// Behind a terminal that can move its cursor. Without line editing in the build the keys mean nothing
// special, and there is nothing to test.

namespace {

using namespace frostread::test;

Launch editing(const ScratchFolder& folder) {
    return {{"call", "case.json", "--rules", small_rules()}, folder.path().string(), {"TERM=vt100"}, -1};
}

}  // namespace

TEST_CASE("With line editing, Tab completes, the arrow brings back, Ctrl-C ends", "[interactive]") {
    if (!frostread::cli::has_line_editing()) {
        SUCCEED("built without line editing");
        return;
    }
    const ScratchFolder folder;
    Terminal terminal(editing(folder));
    terminal.until("> ");
    // The editor writes only what is new on the line, so that is what is waited for.
    terminal.type("evap\t");
    terminal.until("orator-frost ");
    terminal.type("in\t");
    terminal.until("let-only ");
    terminal.type("\n");
    terminal.until("evaporator frost on the first passes only");
    terminal.until("next:");
    terminal.until("> ");
    // The arrow up brings the line back; it is said again.
    terminal.type("\x1b[A");
    terminal.until("only");
    terminal.type("\n");
    terminal.until("evaporator frost on the first passes only");
    terminal.until("> ");
    terminal.type("note 3 °C\n");
    terminal.until("noted with evaporator-frost");
    terminal.until("> ");
    terminal.type("half\x03");
    terminal.until("kept in case.json");
    terminal.until_end();
    CHECK(terminal.wait().code == 130);
    const std::string kept = slurp(folder.path("case.json"));
    CHECK(kept.find("\"note\": \"3 °C\"") != std::string::npos);
}

TEST_CASE("Without a terminal that can do it, lines are plain", "[interactive]") {
    const ScratchFolder folder;
    Launch launch = editing(folder);
    launch.environment = {"TERM=dumb"};
    Terminal terminal(launch);
    terminal.until_prompt();
    terminal.line("fz -9C");
    const std::string said = terminal.until_prompt();
    CHECK(said.find('\x1b') == std::string::npos);
    terminal.line("quit");
    terminal.until_end();
    CHECK(terminal.wait().code == 0);
}
