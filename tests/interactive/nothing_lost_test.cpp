#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <filesystem>
#include <fstream>
#include <random>
#include <thread>

#include "frostread/files.hpp"
#include "interactive/program.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

// Nothing that was accepted is ever lost: real processes, killed, starved of disk and set on one file.

namespace {

using namespace frostread;
using namespace frostread::test;

Library small_library() {
    std::vector<SourceText> sources;
    for (const char* name : {"library.json", "cautions.json", "checks/bench.json", "faults/bench.json"})
        sources.push_back({name, slurp(small_rules() + "/" + name)});
    Result<Library> library = load_library(sources);
    REQUIRE(library.has_value());
    return std::move(library).value();
}

Case load(const Library& library, const std::filesystem::path& path) {
    Result<Case> read = read_case(slurp(path), path.string(), library);
    INFO(slurp(path));
    REQUIRE(read.has_value());
    return std::move(read).value();
}

Launch call(const ScratchFolder& folder, const std::string& file = "case.json") {
    return {{"call", file, "--rules", small_rules()}, folder.path().string(), {}, -1};
}

/// Lines that are each one more reading of the same check, so that the file's readings count them.
std::string numbered_line(int number) {
    return "fz " + std::to_string(-30 + number) + "C\n";
}

}  // namespace

TEST_CASE("kill -9 at any moment leaves a case with every accepted reading", "[interactive]") {
    const Library library = small_library();
    const unsigned seed = 20310417;
    std::mt19937 random(seed);
    const ScratchFolder folder;
    int accepted = 0;
    for (int round = 0; round < 25; ++round) {
        Piped program(call(folder));
        program.until("> ");
        // Some lines are seen through to the prompt, then one more is sent and the kill comes at any time in it.
        const int seen = static_cast<int>(random() % 3);
        for (int i = 0; i < seen; ++i) {
            program.write(numbered_line(accepted));
            program.until("\n> ");
            ++accepted;
        }
        program.write(numbered_line(accepted));
        std::this_thread::sleep_for(std::chrono::microseconds(random() % 30000));
        program.kill(SIGKILL);
        CHECK(program.wait().signal == SIGKILL);
        if (accepted == 0 && !std::filesystem::exists(folder.path("case.json"))) continue;
        const Case the_case = load(library, folder.path("case.json"));
        // The line under way is in or not; every one whose prompt came back is in.
        const int kept = static_cast<int>(the_case.readings.size());
        INFO("round " << round << ", seed " << seed);
        CHECK(kept >= accepted);
        CHECK(kept <= accepted + 1);
        for (int i = 0; i < kept; ++i) CHECK(the_case.readings[static_cast<std::size_t>(i)].value == Approx(-30 + i));
        accepted = kept;
    }
    CHECK(accepted >= 20);
    // What the kills left beside the case is swept up by the next session.
    Piped last(call(folder));
    last.until("> ");
    last.close_input();
    CHECK(last.wait().code == 0);
    std::size_t others = 0;
    for (const auto& entry : std::filesystem::directory_iterator(folder.path()))
        others += entry.path().filename() != "case.json" ? 1U : 0U;
    CHECK(others == 0);
}

TEST_CASE("Started again, a session goes on where it was", "[interactive]") {
    const ScratchFolder folder;
    Piped first(call(folder));
    first.until("> ");
    first.write("unit cooling=fan\n");
    first.until("\n> ");
    first.write("frost inlet\n");
    first.until("\n> ");
    first.kill(SIGKILL);
    static_cast<void>(first.wait());
    const Finished second = run_piped(call(folder), "show\nquit\n");
    CHECK(second.code == 0);
    CHECK(second.out.find("case.json: 1 reading.") != std::string::npos);
    CHECK(second.out.find("unit: cooled by a fan") != std::string::npos);
    CHECK(second.out.find("evaporator frost on the first passes only") != std::string::npos);
    CHECK(second.out.find("open: behind the freezer panel; plug out") != std::string::npos);
}

TEST_CASE("Gone on with, a bare number means what it meant", "[interactive]") {
    const ScratchFolder folder;
    Launch us = call(folder);
    us.arguments.insert(us.arguments.end(), {"--units", "us"});
    CHECK(run_piped(us, "fz 16\nquit\n").out.find("freezer 16 °F") != std::string::npos);
    CHECK(run_piped(call(folder), "fz 20\nquit\n").out.find("freezer 20 °F") != std::string::npos);
}

TEST_CASE("The second session on a case is told who has it", "[interactive]") {
    const ScratchFolder folder;
    Piped first(call(folder));
    first.until("> ");
    first.write("fz -9C\n");
    first.until("\n> ");
    const std::string before = slurp(folder.path("case.json"));
    std::filesystem::create_symlink("case.json", folder.path("other-name.json"));
    for (const std::string name : {"case.json", "./case.json", "other-name.json"}) {
        const Finished second = run_piped(call(folder, name), "fz -1C\nquit\n");
        INFO(name << "\n" << second.out << second.err);
        CHECK(second.code == 5);
        CHECK(second.err.find("is in use by process ") != std::string::npos);
        CHECK(second.out.empty());
    }
    CHECK(slurp(folder.path("case.json")) == before);
    first.close_input();
    CHECK(first.wait().code == 0);
    CHECK_FALSE(std::filesystem::exists(folder.path("case.json.lock")));
    CHECK(run_piped(call(folder), "fz -1C\nquit\n").code == 0);
}

TEST_CASE("Other commands leave a case alone that a session has", "[interactive]") {
    const ScratchFolder folder;
    Piped session(call(folder));
    session.until("> ");
    session.write("fz -9C\n");
    session.until("\n> ");
    const std::string before = slurp(folder.path("case.json"));
    const std::vector<std::vector<std::string>> others = {
        {"close", "case.json", "--found", "nothing", "--remedy", "none", "--rules", small_rules()},
        {"bench-calc", "heater", "--volts", "230V", "--watts", "250W", "--ohms", "210ohm", "--into", "case.json"},
        {"templog", source_dir() + "/demo/kitchen-log/kitchen.csv", "--into", "case.json"},
    };
    for (const std::vector<std::string>& arguments : others) {
        const Finished other = run_piped({arguments, folder.path().string(), {}, -1}, "");
        INFO(arguments.front() << "\n" << other.out << other.err);
        CHECK(other.code == 5);
        CHECK(other.err.find("is in use by process ") != std::string::npos);
    }
    CHECK(slurp(folder.path("case.json")) == before);
    session.close_input();
    CHECK(session.wait().code == 0);
    // Free again, and nothing is left beside it.
    CHECK(run_piped({others.front(), folder.path().string(), {}, -1}, "").code == 0);
    CHECK_FALSE(std::filesystem::exists(folder.path("case.json.lock")));
}

TEST_CASE("A lock left behind by a killed session holds nobody up", "[interactive]") {
    const ScratchFolder folder;
    Piped first(call(folder));
    first.until("> ");
    first.kill(SIGKILL);
    static_cast<void>(first.wait());
    CHECK(std::filesystem::exists(folder.path("case.json.lock")));
    CHECK(run_piped(call(folder), "fz -9C\nquit\n").code == 0);
    CHECK_FALSE(std::filesystem::exists(folder.path("case.json.lock")));
}

TEST_CASE("A case that somebody else changed meanwhile is not overwritten", "[interactive]") {
    const ScratchFolder folder;
    Piped first(call(folder));
    first.until("> ");
    first.write("fz -9C\n");
    first.until("\n> ");
    const std::string other = R"({ "frostread": 1, "case": "other", "unit": {}, "readings": [] })";
    std::ofstream(folder.path("case.json")) << other;
    first.write("fr 8C\n");
    const std::string said = first.until("(not kept) > ");
    CHECK(said.find("NOT KEPT ON DISK: case.json was changed by somebody else") != std::string::npos);
    first.write("save mine.json\n");
    CHECK(first.until("\n> ").find("kept in mine.json from now on") != std::string::npos);
    first.close_input();
    CHECK(first.wait().code == 0);
    CHECK(slurp(folder.path("case.json")) == other);
    CHECK(load(small_library(), folder.path("mine.json")).readings.size() == 2);
}

TEST_CASE("A file that cannot grow keeps the session alive", "[interactive]") {
    const ScratchFolder folder;
    // A quota of one more small reading: the limit ends writes beyond 400 bytes.
    Launch launch = call(folder);
    launch.largest_file = 400;
    Piped program(launch);
    program.until("> ");
    program.write("fz -9C\n");
    program.until("\n> ");
    const std::string good = slurp(folder.path("case.json"));
    program.write("note " + std::string(300, 'x') + "\n");
    std::string said = program.until("(not kept) > ");
    CHECK(said.find("NOT KEPT ON DISK") != std::string::npos);
    CHECK(said.find("File too large") != std::string::npos);
    CHECK(slurp(folder.path("case.json")) == good);  // the old one, whole
    // It still answers, and once the line is taken back it fits again.
    program.write("undo\n");
    said = program.until("\n> ");
    CHECK(said.find("kept again in case.json") != std::string::npos);
    program.write("fr 8C\n");
    program.until("> ");
    program.write("quit\n");
    CHECK(program.wait().code == 0);
    CHECK(load(small_library(), folder.path("case.json")).readings.size() == 2);
}

TEST_CASE("A folder that cannot be written says so at once and lets the case be kept elsewhere", "[interactive]") {
    const ScratchFolder folder;
    // Root writes through permission bits, so the folder is one that nobody can make files in.
    Piped program(call(folder, "/proc/frostread-case.json"));
    std::string said = program.until("> ");
    CHECK(said.find("/proc/frostread-case.json cannot be kept here") != std::string::npos);
    program.write("fz -9C\n");
    said = program.until("(not kept) > ");
    CHECK(said.find("NOT KEPT ON DISK") != std::string::npos);
    CHECK(said.find("next:") != std::string::npos);
    program.write("quit\n");
    CHECK(program.until("(not kept) > ").find("Not everything is on disk") != std::string::npos);
    program.write("save elsewhere.json\n");
    CHECK(program.until("\n> ").find("kept in elsewhere.json from now on") != std::string::npos);
    program.write("quit\n");
    CHECK(program.wait().code == 0);
    CHECK(load(small_library(), folder.path("elsewhere.json")).readings.size() == 1);
}

TEST_CASE("A folder without write permission behaves the same", "[interactive]") {
    if (::geteuid() == 0) {
        SUCCEED("permission bits do not bind root; the test above covers it");
        return;
    }
    const ScratchFolder folder;
    const std::filesystem::path locked = folder.path("locked");
    std::filesystem::create_directory(locked);
    std::filesystem::permissions(locked, std::filesystem::perms::owner_read | std::filesystem::perms::owner_exec);
    const Finished end = run_piped(call(folder, "locked/case.json"), "fz -9C\nsave here.json\nquit\n");
    CHECK(end.code == 0);
    CHECK(end.err.find("cannot be kept here: Permission denied") != std::string::npos);
    CHECK(load(small_library(), folder.path("here.json")).readings.size() == 1);
    std::filesystem::permissions(locked, std::filesystem::perms::owner_all);
}

TEST_CASE("Unkept readings are put into a rescue file when nobody can answer", "[interactive]") {
    const ScratchFolder folder;
    Launch launch = call(folder, "/proc/frostread-case.json");
    launch.environment = {"TMPDIR=" + folder.path().string()};
    const Finished end = run_piped(launch, "fz -9C\n");
    CHECK(end.code == 5);
    CHECK(end.err.find("could not be written") != std::string::npos);
    CHECK(end.err.find("-rescued-") != std::string::npos);
    std::size_t rescued = 0;
    for (const auto& entry : std::filesystem::directory_iterator(folder.path())) {
        CHECK(load(small_library(), entry.path()).readings.size() == 1);
        ++rescued;
    }
    CHECK(rescued == 1);
}

TEST_CASE("Ctrl-C, hangup and a request to end keep everything", "[interactive]") {
    const Library library = small_library();
    SECTION("Ctrl-C in a terminal") {
        const ScratchFolder folder;
        Terminal terminal(call(folder));
        terminal.until_prompt();
        terminal.line("fz -9C");
        terminal.until_prompt();
        terminal.type("half a li\x03");
        const std::string said = plain_lines(terminal.until_end());
        CHECK(said.find("kept in case.json\n") != std::string::npos);
        CHECK(terminal.wait().code == 130);
        CHECK(load(library, folder.path("case.json")).readings.size() == 1);
        CHECK_FALSE(std::filesystem::exists(folder.path("case.json.lock")));
    }
    SECTION("a closed terminal") {
        const ScratchFolder folder;
        Terminal terminal(call(folder));
        terminal.until_prompt();
        terminal.line("fz -9C");
        terminal.until_prompt();
        terminal.hang_up();
        CHECK(terminal.wait().code == 130);
        CHECK(load(library, folder.path("case.json")).readings.size() == 1);
        CHECK_FALSE(std::filesystem::exists(folder.path("case.json.lock")));
    }
    SECTION("a request to end, while a line is being worked on") {
        const ScratchFolder folder;
        Piped program(call(folder));
        program.until("> ");
        program.write("fz -9C\n");
        program.kill(SIGTERM);
        const Finished end = program.wait();
        CHECK(end.code == 130);
        // Either the line came first and is kept whole, or the signal did.
        if (std::filesystem::exists(folder.path("case.json")))
            CHECK(load(library, folder.path("case.json")).readings.size() == 1);
        CHECK_FALSE(std::filesystem::exists(folder.path("case.json.lock")));
    }
    SECTION("in the guide") {
        const ScratchFolder folder;
        Terminal terminal({{"guide", "case.json", "--rules", small_rules()}, folder.path().string(), {}, -1});
        terminal.until_prompt();
        terminal.line("2");
        terminal.until_prompt();
        terminal.type("\x03");
        terminal.until_end();
        CHECK(terminal.wait().code == 130);
        CHECK(load(library, folder.path("case.json")).job.may == "technician");
    }
}

TEST_CASE("A reader that went away does not lose the case", "[interactive]") {
    const ScratchFolder folder;
    const Library library = small_library();
    // `head -1` takes one line and goes; the session writes into nothing.
    const std::string line = "printf 'fz -9C\\nfr 8C\\nfan blows\\n' | \"$0\" call case.json --rules \"$1\" | head -1";
    const pid_t pid = ::fork();
    if (pid == 0) {
        if (::chdir(folder.path().c_str()) != 0) ::_exit(127);
        ::execl("/bin/sh", "sh", "-c", (line + " > /dev/null").c_str(), program_path().c_str(), small_rules().c_str(),
                static_cast<char*>(nullptr));
        ::_exit(127);
    }
    int status = 0;
    ::waitpid(pid, &status, 0);
    CHECK(load(library, folder.path("case.json")).readings.size() == 3);
}
