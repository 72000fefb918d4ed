#include "cli/app.hpp"

#include <CLI/CLI.hpp>
#include <sstream>

#include "cli/commands.hpp"
#include "cli/terminal.hpp"
#include "present/writers.hpp"
#include "support/catch.hpp"
#include "support/golden.hpp"
#include "support/paths.hpp"

using namespace frostread;

namespace {

struct Came {
    int code = 0;
    std::string out, err;
};

Came run(const std::vector<std::string>& arguments, const std::string& input = "") {
    std::istringstream in(input);
    std::ostringstream out;
    std::ostringstream err;
    cli::Context context{
        .in = in, .out = out, .err = err, .out_style = {}, .err_style = {}, .now = {}, .environment = {}};
    context.now = [] { return std::string("2031-05-01T10:00:00Z"); };
    const int code = cli::run(arguments, context);
    return {code, out.str(), err.str()};
}

/// Every command and command of a command.
void collect(const CLI::App& app, std::vector<const CLI::App*>& all) {
    all.push_back(&app);
    for (const CLI::App* sub : app.get_subcommands([](const CLI::App*) { return true; })) {
        collect(*sub, all);
    }
}

}  // namespace

TEST_CASE("no arguments and --help print help on standard output", "[cli]") {
    CHECK(run({}).code == 0);
    CHECK(run({}).out == run({"--help"}).out);
    CHECK(run({}).err.empty());
    CHECK(run({"help"}).out == run({"--help"}).out);
    CHECK(run({"help", "diagnose"}).out == run({"diagnose", "--help"}).out);
    CHECK(run({"help", "rules", "lint"}).out == run({"rules", "lint", "-h"}).out);
    CHECK(run({"diagnose", "--help"}).out.find("usage: frostread diagnose [CASE] [options]") != std::string::npos);
}

TEST_CASE("every help page fits 80 columns and shows usage, and every command an example", "[cli]") {
    const auto root = cli::command_tree();
    std::vector<const CLI::App*> all;
    collect(*root, all);
    REQUIRE(all.size() > 5);
    for (const CLI::App* app : all) {
        const std::string page = cli::help_page(*app);
        INFO(page);
        std::istringstream lines(page);
        for (std::string line; std::getline(lines, line);) {
            CHECK(present::display_width(line) <= 80);
        }
        CHECK(page.find("usage: frostread") != std::string::npos);
        CHECK(page.find("Examples:") != std::string::npos);
    }
}

TEST_CASE("a misspelt command or option is a usage error with the nearest name", "[cli]") {
    const Came command = run({"diagnoze"});
    CHECK(command.code == 1);
    CHECK(command.out.empty());
    CHECK(command.err == "frostread has no command \"diagnoze\"; did you mean diagnose?; see frostread\n  --help\n");
    const Came option = run({"diagnose", "--jsn", "-r", "fan=blows"});
    CHECK(option.code == 1);
    CHECK(option.err.find("has no option --jsn; did you mean --json?") != std::string::npos);
    const Came below = run({"rules", "lnt"});
    CHECK(below.code == 1);
    CHECK(below.err.find("did you mean lint?") != std::string::npos);
    CHECK(run({"help", "diagnoze"}).code == 1);
}

TEST_CASE("wrong use of options is told in our words, with code 1", "[cli]") {
    CHECK(run({"diagnose"}).code == 1);
    CHECK(run({"diagnose"}).err.find("nothing to diagnose") != std::string::npos);
    CHECK(run({"diagnose", "-r"}).err.find("needs a value: CHECK=VALUE") != std::string::npos);
    CHECK(run({"diagnose", "-r", "fan"}).err.find("-r takes CHECK=VALUE, not \"fan\"") != std::string::npos);
    CHECK(run({"diagnose", "-r", "fan=blows", "--max-faults", "7"}).err.find("--max-faults takes 1..3, not \"7\"") !=
          std::string::npos);
    CHECK(run({"diagnose", "-r", "fan=blows", "--units", "uk"}).err.find("--units takes us|si, not \"uk\"") !=
          std::string::npos);
    CHECK(run({"card"}).err.find("frostread card needs ID") != std::string::npos);
    CHECK(run({"rules"}).err.find("needs to be told what: lint, list, table or schema") != std::string::npos);
    CHECK(run({"diagnose", "a.json", "b.json"}).err.find("does not know what to do with \"b.json\"") !=
          std::string::npos);
    for (const std::vector<std::string>& arguments :
         {std::vector<std::string>{"diagnose", "-r"}, {"card"}, {"rules"}, {"diagnose", "a.json", "b.json"}}) {
        CHECK(run(arguments).code == 1);
    }
}

TEST_CASE("a case comes from standard input, from options, or both", "[cli]") {
    const std::string document =
        R"({"frostread":1,"case":"x","unit":{},"readings":[{"check":"freezer-fan","value":"stopped"}]})";
    const Came piped = run({"diagnose", "-", "--json"}, document);
    CHECK(piped.code == 0);
    CHECK(piped.out.find("\"case\": \"x\"") != std::string::npos);
    const Came both = run({"diagnose", "-", "--json", "-r", "fan=blows"}, document);
    CHECK(both.code == 0);
    CHECK(both.out.find("Freezer fan: an earlier reading (stands still) is replaced by a later one.") !=
          std::string::npos);
}

TEST_CASE("a check that was read twice alike is said to count once, for each of them", "[cli]") {
    const Came came = run({"diagnose", "--json", "-r", "fz=15F", "-r", "fz=15F", "-r", "fan=stopped", "-r",
                           "fan=stopped", "-r", "fan=stopped", "-r", "fan=blows"});
    CHECK(came.code == 0);
    CHECK(came.out.find("Freezer: read again with the same result (15F); counts once, as the later one.") !=
          std::string::npos);
    const std::string fan =
        "Freezer fan: read again with the same result (stands still); counts once, as the later one.";
    CHECK(came.out.find(fan) != std::string::npos);
    CHECK(came.out.find(fan) == came.out.rfind(fan));
    CHECK(came.out.find("Freezer fan: an earlier reading (stands still) is replaced by a later one.") !=
          std::string::npos);
    CHECK(came.out.find("Freezer: an earlier") == std::string::npos);
}

TEST_CASE("who types what the meter shows for a percentage is told of what it is one", "[cli]") {
    const Came came = run({"diagnose", "-r", "runcap=4uF", "-r", "amps=1.2A", "-r", "fzsens=12kohm"});
    CHECK(came.code == 2);
    CHECK(came.out.empty());
    std::string one_line;
    for (const char c : came.err)
        if (c != '\n' && (c != ' ' || one_line.empty() || one_line.back() != ' '))
            one_line += c;
        else if (!one_line.empty() && one_line.back() != ' ')
            one_line += ' ';
    CHECK(
        one_line.find("run-capacitor takes a percentage, not \"4uF\"; expected the reading over the capacitance on its "
                      "marking") != std::string::npos);
    CHECK(
        one_line.find("running-current takes a percentage, not \"1.2A\"; expected the reading over the running current "
                      "on the rating plate") != std::string::npos);
    CHECK(one_line.find("the unit's own table: 12 kohm where it says 10 kohm is +20 %") != std::string::npos);
    // As they are told to.
    CHECK(run({"diagnose", "-r", "runcap=80 %", "-r", "amps=80%", "-r", "fzsens=+20 %"}).code == 0);
}

TEST_CASE("bad readings are all named at once and nothing is diagnosed", "[cli]") {
    const Came came = run({"diagnose", "-r", "frezer-fan=blows", "-r", "freezer-temp=12ohm", "-u", "layuot=x"});
    CHECK(came.code == 2);
    CHECK(came.out.empty());
    CHECK(came.err.find("freezer-fan") != std::string::npos);
    CHECK(came.err.find("12ohm") != std::string::npos);
    CHECK(came.err.find("layout") != std::string::npos);
    CHECK(came.err.find("3 errors; nothing was diagnosed") != std::string::npos);
}

TEST_CASE("a library that cannot be loaded ends with code 3", "[cli]") {
    const Came came = run({"diagnose", "-r", "fan=blows", "--rules", "/nowhere/at/all"});
    CHECK(came.code == 3);
    CHECK(came.out.empty());
    CHECK(came.err.find("/nowhere/at/all") != std::string::npos);
}

TEST_CASE("an output file that cannot be written ends with code 5", "[cli]") {
    const Came came = run({"diagnose", "-r", "fan=blows", "--html", "/nowhere/at/all/page.html"});
    CHECK(came.code == 5);
    CHECK(came.err.find("/nowhere/at/all/page.html") != std::string::npos);
}

TEST_CASE("The option --version names program, rules and formats", "[cli]") {
    const Came came = run({"--version"});
    CHECK(came.code == 0);
    CHECK(came.out.rfind("frostread 0.", 0) == 0);
    CHECK(came.out.find("rule library household") != std::string::npos);
    CHECK(came.out.find("formats: rules 1, case 1, result 1") != std::string::npos);
}

TEST_CASE("colour goes to terminals only, and never against NO_COLOR", "[cli]") {
    std::istringstream in;
    std::ostringstream out;
    cli::Context context{
        .in = in, .out = out, .err = out, .out_style = {}, .err_style = {}, .now = {}, .environment = {}};
    std::map<std::string, std::string> settings;
    context.environment = [&](const std::string& name) {
        return settings.count(name) > 0 ? std::optional<std::string>(settings[name]) : std::nullopt;
    };
    using cli::ColourChoice;
    CHECK(cli::style_for(true, ColourChoice::automatic, context, 120).colour);
    CHECK(cli::style_for(true, ColourChoice::automatic, context, 120).width == 100);
    CHECK_FALSE(cli::style_for(false, ColourChoice::automatic, context, 0).colour);
    CHECK(cli::style_for(false, ColourChoice::automatic, context, 0).width == 80);
    settings["NO_COLOR"] = "0";
    CHECK_FALSE(cli::style_for(true, ColourChoice::automatic, context, 80).colour);
    CHECK(cli::style_for(true, ColourChoice::always, context, 80).colour);
    settings = {{"NO_COLOR", ""}, {"TERM", "dumb"}, {"COLUMNS", "60"}};
    CHECK_FALSE(cli::style_for(true, ColourChoice::automatic, context, 80).colour);
    CHECK(cli::style_for(true, ColourChoice::automatic, context, 80).width == 60);
    CHECK(run({"diagnose", "-r", "fan=stopped", "--color", "always"}).out.find("\x1b[") != std::string::npos);
    CHECK(run({"diagnose", "-r", "fan=stopped"}).out.find("\x1b[") == std::string::npos);
}

TEST_CASE("exit codes stand in their document", "[cli][documents]") {
    const std::string document = golden::read(test::source_dir() + "/docs/exit-codes.md");
    for (const cli::ExitCodeRow& row : cli::kExitCodes) {
        const std::string line = "| " + std::to_string(static_cast<int>(row.code)) + " | " + row.meaning + " |";
        INFO(line);
        CHECK(document.find(line) != std::string::npos);
    }
}

TEST_CASE("docs/commands.md holds the help page of every command", "[cli][documents]") {
    // With FROSTREAD_APPROVE=1 the page is written anew from the program's own help.
    std::string made =
        "# Commands\n\nThe help page of every command, as `frostread help COMMAND` prints it. This page is made from "
        "the "
        "program;\na test compares the two.\n";
    const auto root = cli::command_tree();
    std::vector<const CLI::App*> all;
    collect(*root, all);
    for (const CLI::App* app : all) {
        std::string name = app->get_name();
        for (const CLI::App* parent = app->get_parent(); parent != nullptr; parent = parent->get_parent()) {
            name = parent->get_name() + " " + name;
        }
        made += "\n## `" + name + "`\n\n```\n" + cli::help_page(*app) + "```\n";
    }
    const std::string path = test::source_dir() + "/docs/commands.md";
    if (golden::approving()) {
        golden::write(path, made);
    }
    CHECK(golden::read(path) == made);
}
