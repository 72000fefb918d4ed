#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <regex>
#include <sstream>

#include "interactive/program.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

// Whole sessions as files that read like what a person sees. The typed lines stand in them behind the
// prompt, so a file is script and expectation in one; FROSTREAD_APPROVE=1 writes what was really said.
//
//   # what it is about
//   $ frostread call case.json …       RULES stands for the small library's folder
//   (not) kept lines, prompts "> …"    ^C and ^D are the keys
//   [exit 0]
//   [case.json]                        the file as it is left behind; times are put as TIME

namespace {

using namespace frostread::test;

struct Script {
    std::string head;  ///< comments and the command line
    std::vector<std::string> arguments;
    std::vector<std::string> typed;
    std::vector<std::string> files;
};

/// What follows the prompt of a line, if it has one.
bool typed_part(const std::string& line, std::string& typed) {
    for (const std::string prompt : {"> ", "(not kept) > "})
        if (line.starts_with(prompt)) {
            typed = line.substr(prompt.size());
            return true;
        }
    return false;
}

Script read_script(const std::string& text) {
    Script script;
    std::istringstream lines(text);
    std::string line, typed;
    bool talking = false;
    while (std::getline(lines, line)) {
        if (line.starts_with("$ frostread ")) {
            std::istringstream words(line.substr(12));
            std::string word;
            while (words >> word) script.arguments.push_back(word == "RULES" ? small_rules() : word);
            talking = true;
            script.head += line + "\n";
        } else if (!talking) {
            script.head += line + "\n";
        } else if (line.starts_with("[") && line.ends_with(".json]")) {
            script.files.push_back(line.substr(1, line.size() - 2));
        } else if (script.files.empty() && typed_part(line, typed)) {
            script.typed.push_back(typed);
        }
    }
    return script;
}

/// Times and the place of the rules differ from run to run.
std::string without_times(std::string text) {
    static const std::regex time(R"(\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ)");
    const std::string rules = small_rules();
    for (std::size_t at = text.find(rules); at != std::string::npos; at = text.find(rules))
        text.replace(at, rules.size(), "RULES");
    return std::regex_replace(text, time, "TIME");
}

std::string files_of(const Script& script, const ScratchFolder& folder) {
    std::string out;
    for (const std::string& name : script.files) out += "[" + name + "]\n" + without_times(slurp(folder.path(name)));
    return out;
}

std::string play_terminal(const Script& script) {
    const ScratchFolder folder;
    Terminal terminal({script.arguments, folder.path().string(), {}, -1});
    std::string said = terminal.until_prompt();
    for (const std::string& typed : script.typed) {
        if (typed == "^C") {
            terminal.type("\x03");
        } else if (typed == "^D") {
            terminal.type("\x04");
        } else {
            terminal.line(typed);
        }
        const bool last = &typed == &script.typed.back();
        said += last ? terminal.until_end() : terminal.until_prompt();
    }
    const Finished end = terminal.wait();
    std::string text = plain_lines(said);
    // The terminal itself shows ^C; ^D it does not.
    if (!script.typed.empty() && script.typed.back() == "^D") {
        const std::size_t at = text.rfind("\n> \n");
        if (at != std::string::npos) text.replace(at, 4, "\n> ^D\n");
    }
    return script.head + without_times(text) + "[exit " + std::to_string(end.code) + "]\n" + files_of(script, folder);
}

std::string play_pipe(const Script& script) {
    const ScratchFolder folder;
    std::string input;
    for (const std::string& typed : script.typed)
        if (typed != "^D") input += typed + "\n";
    const Finished end = run_piped({script.arguments, folder.path().string(), {}, -1}, input);
    std::string text = end.out;
    if (!script.typed.empty() && script.typed.back() == "^D") {
        const std::size_t at = text.rfind("\n> \n");
        if (at != std::string::npos) text.replace(at, 4, "\n> ^D\n");
    }
    return script.head + without_times(text) + "[exit " + std::to_string(end.code) + "]\n" + files_of(script, folder);
}

std::vector<std::filesystem::path> transcripts() {
    std::vector<std::filesystem::path> paths;
    for (const auto& entry : std::filesystem::directory_iterator(source_dir() + "/tests/interactive/transcripts"))
        if (entry.path().extension() == ".transcript") paths.push_back(entry.path());
    std::sort(paths.begin(), paths.end());
    return paths;
}

}  // namespace

TEST_CASE("A session in a terminal reads as its transcript says", "[interactive]") {
    REQUIRE(transcripts().size() >= 5);
    for (const std::filesystem::path& path : transcripts()) {
        INFO(path.filename().string());
        const std::string wanted = slurp(path);
        const std::string said = play_terminal(read_script(wanted));
        if (std::getenv("FROSTREAD_APPROVE") != nullptr) std::ofstream(path) << said;
        CHECK(said == slurp(path));
    }
}

TEST_CASE("A plain pipe gives the same transcript", "[interactive]") {
    for (const std::filesystem::path& path : transcripts()) {
        const Script script = read_script(slurp(path));
        if (std::find(script.typed.begin(), script.typed.end(), "^C") != script.typed.end()) continue;
        INFO(path.filename().string());
        CHECK(play_pipe(script) == slurp(path));
    }
}

TEST_CASE("No line of a session is wider than the terminal", "[interactive]") {
    for (const std::filesystem::path& path : transcripts()) {
        const Script script = read_script(slurp(path));
        const ScratchFolder folder;
        std::string input;
        for (const std::string& typed : script.typed) input += typed + "\n";
        const Finished end = run_piped({script.arguments, folder.path().string(), {"COLUMNS=48"}, -1}, input);
        std::istringstream lines(end.out);
        std::string line, typed;
        while (std::getline(lines, line)) {
            if (typed_part(line, typed)) continue;                   // as long as the person typed it
            if (line.starts_with("  frostread practice")) continue;  // to be copied, so in one piece
            std::size_t columns = 0;
            for (const char c : line) columns += (static_cast<unsigned char>(c) & 0xC0U) != 0x80U ? 1 : 0;
            INFO(path.filename().string() << ": " << line);
            CHECK(columns <= 80);
        }
    }
}
