#include <filesystem>
#include <sstream>
#include <utility>

#include "interactive/program.hpp"
#include "support/catch.hpp"

// What people type wrong, against the rules in the program: each is answered with what to do about it,
// none is recorded, and none ends the session.

namespace {

using namespace frostread::test;

Launch command(const char* name, const ScratchFolder& folder, std::vector<std::string> more = {}) {
    std::vector<std::string> arguments = {name, "case.json"};
    arguments.insert(arguments.end(), more.begin(), more.end());
    return {arguments, folder.path().string(), {}, -1};
}

/// What came after the echo of the last line but "quit".
std::string answer_to(const std::string& out, const std::string& line) {
    const std::size_t at = out.find("> " + line + "\n");
    REQUIRE(at != std::string::npos);
    const std::size_t from = at + line.size() + 3;
    return out.substr(from, out.find("\n> ", from) - from);
}

}  // namespace

TEST_CASE("Wrong lines in a call are answered and record nothing", "[interactive]") {
    const std::vector<std::pair<std::string, std::string>> rows = {
        {"frots inlet", "did you mean"},
        {"frost inlte", "did you mean inlet"},
        {"frost", "that is evaporator-frost; say what you found"},
        {"fz 12 ohm", "freezer-temp takes a temperature"},
        {"fz 900C", "-50"},
        {"amps 1.2A", "over the running current on the rating plate: 1.2 A where it says 1.5 A is 80 %"},
        {"complaint it hums oddly, none", "\"none\" after \"complaint it hums oddly\": complaint cannot be none and"},
        {"fz", "a quantity"},
        {"blurb", "no check is named so"},
        {"condenser 12C", "that fits"},
        {",,,;", "nothing recorded"},
        {"if", "such as: if frost even"},
        {"if frots inlet", "did you mean"},
        {"skip run time capacitor, none fitted", "the reason stands behind a comma"},
        {"skip frots", "did you mean"},
        {"open", "such as: open panel"},
        {"open sesame", "There are"},
        {"shut", "such as: shut panel"},
        {"power", "nothing recorded"},
        {"held", "such as: held"},
        {"held ran-42h", "did you mean ran-24h"},
        {"unit", "such as: unit"},
        {"unit layout=attic", "freezer-top"},
        {"unit colour=red", "no trait is named"},
        {"unit age_years=900", "80"},
        {"note", "note what?"},
        {"no patience", "say meter, helper, licence"},
        {"card", "such as: card"},
        {"card nonsense-here", "no check is named so"},
        {"why nonsense-here", "no fault is named so"},
        {"undo", "nothing to take back"},
        {"\xff\xfe", "not text in UTF-8"},
    };
    const ScratchFolder folder;
    std::string input;
    for (const auto& row : rows) input += row.first + "\n";
    const Finished end = run_piped(command("call", folder), input + "quit\n");
    CHECK(end.code == 0);
    CHECK(end.err.empty());
    for (const auto& [line, expected] : rows) {
        const std::string answer = answer_to(end.out, line);
        INFO(line << " → " << answer);
        std::string one_line = answer;  // a wrapped answer is still the same words
        for (std::size_t at = one_line.find("\n  "); at != std::string::npos; at = one_line.find("\n  "))
            one_line.replace(at, 3, " ");
        CHECK(one_line.find(expected) != std::string::npos);
    }
    CHECK_FALSE(std::filesystem::exists(folder.path("case.json")));
}

TEST_CASE("What answers the proposed test needs no name, and what begins like a check is one", "[interactive]") {
    const ScratchFolder folder;
    const Finished end =
        run_piped(command("call", folder), "ok\nsweating\nnext to nothing\ncontrol mechanical\nquit\n");
    CHECK(end.code == 0);
    CHECK(answer_to(end.out, "ok").find("nothing recorded") != std::string::npos);
    CHECK(answer_to(end.out, "sweating").find("complaint") == 0);
    CHECK(answer_to(end.out, "next to nothing").find("nothing recorded") != std::string::npos);
    const ScratchFolder other;
    const Finished more =
        run_piped(command("call", other), "unit layout=freezer-top\nfreezer-warm fridge-warm\nquit\n");
    CHECK(answer_to(more.out, "freezer-warm fridge-warm").find("complaint") == 0);
    CHECK(answer_to(end.out, "control mechanical").find("unit: control mechanical") == 0);
}

TEST_CASE("Danger typed into a session is answered at once", "[interactive]") {
    const ScratchFolder folder;
    for (const char* mode : {"call", "guide"}) {
        INFO(mode);
        const Finished end = run_piped(command(mode, folder), "there are sparks\nquit\n");
        CHECK(answer_to(end.out, "there are sparks").find("! Smoke, sparks") == 0);
        CHECK(slurp(folder.path("case.json")).find("danger: there are sparks") != std::string::npos);
    }
}

TEST_CASE("A danger is held up until it is declared over", "[interactive]") {
    const ScratchFolder folder;
    const Finished end = run_piped(
        command("call", folder),
        "card gas-smelled\nI smell gas\nnext\nfan blows\nsafe\ncond clean\ncard smoke-or-sparks\nair steady\nquit\n");
    CHECK(answer_to(end.out, "I smell gas").find("did you mean") == std::string::npos);
    CHECK(answer_to(end.out, "next").find("! You spoke of this: smell or hiss of gas") == 0);
    CHECK(answer_to(end.out, "fan blows").find("You spoke of this") != std::string::npos);
    CHECK(answer_to(end.out, "safe").find("Going on") != std::string::npos);
    CHECK(answer_to(end.out, "cond clean").find("You spoke of this") == std::string::npos);
    CHECK(answer_to(end.out, "air steady").find("You spoke of this") == std::string::npos);  // a card is no alarm
}

TEST_CASE("Danger is heard in other words, and not where it is denied or a trait is meant", "[interactive]") {
    const ScratchFolder folder;
    for (const char* typed : {"it sparked", "something smells burnt", "plastic is melting", "a smell of propane",
                              "no cooling and sparks at the back", "unit smells of gas", "no, smoke!"}) {
        INFO(typed);
        const Finished end = run_piped(command("call", folder), std::string(typed) + "\nquit\n");
        CHECK(answer_to(end.out, typed).find("! ") == 0);
    }
    for (const char* typed : {"no smoke", "no smell of gas", "unit gas R-600a", "heater burnt"}) {
        INFO(typed);
        const Finished end = run_piped(command("call", folder), std::string(typed) + "\nquit\n");
        CHECK(end.out.find("Put down as a note") == std::string::npos);
        CHECK(slurp(folder.path("case.json")).find(std::string("danger: ") + typed) == std::string::npos);
    }
}

TEST_CASE("A skip takes the reason behind a comma, and alone skips what was proposed", "[interactive]") {
    const ScratchFolder folder;
    const Finished end = run_piped(command("call", folder), "skip freezer fan, cannot see it\nskip\nquit\n");
    CHECK(answer_to(end.out, "skip freezer fan, cannot see it").find("freezer fan: skipped, cannot see it") == 0);
    CHECK(answer_to(end.out, "skip").find("skipped, cannot be done here") != std::string::npos);
    CHECK(slurp(folder.path("case.json")).find("\"freezer-fan\", \"skipped\": \"cannot see it\"") != std::string::npos);
}

TEST_CASE("A danger stands when the session goes on, until it is declared over", "[interactive]") {
    const ScratchFolder folder;
    static_cast<void>(run_piped(command("call", folder), "cond clean\nwait; it sparked\nquit\n"));
    const Finished again = run_piped(command("call", folder), "next\nsafe\nnext\nquit\n");
    CHECK(answer_to(again.out, "next").find("! You spoke of this: ") == 0);
    const Finished later = run_piped(command("call", folder), "next\nquit\n");
    CHECK(later.out.find("You spoke of this") == std::string::npos);
}

TEST_CASE("A denial picks no answer that begins alike", "[interactive]") {
    const ScratchFolder folder;
    const Finished end = run_piped(command("guide", folder), "no\nn\nnot\nquit\n");
    for (const char* typed : {"no", "n", "not"})
        CHECK(answer_to(end.out, typed).find("none of the answers") != std::string::npos);
}

TEST_CASE("A part that is wrong keeps the other parts of the line", "[interactive]") {
    const ScratchFolder folder;
    const Finished end = run_piped(command("call", folder), "fan blows, frots inlet, cond clean\nquit\n");
    CHECK(end.out.find("frots? did you mean") != std::string::npos);
    CHECK(end.out.find("not recorded.") != std::string::npos);
    CHECK(end.out.find("freezer fan blows") != std::string::npos);
    CHECK(slurp(folder.path("case.json")).find("condenser-coil") != std::string::npos);
}

TEST_CASE("Wrong answers in the guide ask again and record nothing", "[interactive]") {
    const ScratchFolder folder;
    const std::string wrong = "\n0\n9\n-1\nbanana\n99999999999999999999\n1 2 3 4\n?\nhow\nwhy\n";
    const Finished end = run_piped(command("guide", folder, {"--may", "anyone"}), wrong + "back\n" + wrong + "stop\n");
    CHECK(end.code == 0);
    CHECK(end.err.empty());
    CHECK(end.out.find("There is no answer 9. Type a number from 1 to 6") != std::string::npos);
    CHECK(end.out.find("\"banana\" is none of the answers.") != std::string::npos);
    CHECK_FALSE(std::filesystem::exists(folder.path("case.json")));
}

TEST_CASE("A file that is no case is left alone", "[interactive]") {
    const ScratchFolder folder;
    const Finished missing = run_piped(command("call", folder, {"--rules", "nowhere"}), "");
    CHECK(missing.code == 3);
    const Finished dash = run_piped({{"call", "-"}, folder.path().string(), {}, -1}, "fz -9C\n");
    CHECK(dash.code == 1);
    CHECK(dash.err.find("give a file name, not -") != std::string::npos);
    std::ostringstream text;
    text << "{ \"frostread\": 1, \"readings\": [ { \"check\": \"evaporator-forst\", \"value\": \"bare\" } ] }";
    {
        FILE* file = std::fopen(folder.path("case.json").c_str(), "w");
        REQUIRE(file != nullptr);
        std::fputs(text.str().c_str(), file);
        std::fclose(file);
    }
    const Finished bad = run_piped(command("call", folder), "fz -9C\n");
    CHECK(bad.code == 2);
    CHECK(bad.err.find("case.json:1:") != std::string::npos);
    CHECK(bad.err.find("did you mean evaporator-frost?") != std::string::npos);
    CHECK(slurp(folder.path("case.json")) == text.str());
    CHECK_FALSE(std::filesystem::exists(folder.path("case.json.lock")));
}

TEST_CASE("Without a name a new case gets one by date and time", "[interactive]") {
    const ScratchFolder folder;
    CHECK(run_piped({{"call"}, folder.path().string(), {}, -1}, "fan blows\n").code == 0);
    CHECK(run_piped({{"call"}, folder.path().string(), {}, -1}, "fan blows\n").code == 0);
    std::size_t cases = 0;
    for (const auto& entry : std::filesystem::directory_iterator(folder.path())) {
        CHECK(entry.path().filename().string().starts_with("case-2"));
        ++cases;
    }
    CHECK(cases == 2);
}

TEST_CASE("Who cannot answer question after question is told how to end", "[interactive]") {
    const ScratchFolder folder;
    const Finished end = run_piped(command("guide", folder, {"--may", "anyone"}),
                                   "don't know\n1\ncan't\ndon't know\nbanana\ndon't know\nstop\n");
    CHECK(end.code == 0);
    CHECK(end.out.find("That makes 4 in a row without an answer.") == std::string::npos);
    const Finished more = run_piped(command("guide", folder, {"--may", "anyone"}),
                                    "don't know\ndon't know\ndon't know\ndon't know\nstop\n");
    CHECK(more.out.find("That makes 4 in a row without an answer. \"stop\" ends with") != std::string::npos);
}
