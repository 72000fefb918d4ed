#include "support/golden.hpp"

#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <sstream>

#include "support/paths.hpp"

namespace frostread::golden {

namespace {

namespace fs = std::filesystem;

std::string in_single_quotes(const std::string& text) {
    std::string out = "'";
    for (const char letter : text) {
        out += letter == '\'' ? std::string("'\\''") : std::string(1, letter);
    }
    return out + "'";
}

std::string without(std::string text, const std::string& path, const std::string& name) {
    for (std::size_t at = text.find(path); at != std::string::npos; at = text.find(path, at + name.size())) {
        text.replace(at, path.size(), name);
    }
    return text;
}

}  // namespace

std::vector<Block> parse(const std::string& text) {
    std::vector<Block> blocks;
    std::vector<std::string> comments;
    std::istringstream lines(text);
    std::string line;
    enum class Part { out, err } part = Part::out;
    while (std::getline(lines, line)) {
        if (line.rfind("## ", 0) == 0) {
            comments.push_back(line);
        } else if (line.rfind("$ ", 0) == 0) {
            blocks.push_back({std::move(comments), line.substr(2), "", "", 0});
            comments.clear();
            part = Part::out;
        } else if (blocks.empty()) {
            continue;
        } else if (line == "=== stderr") {
            part = Part::err;
        } else if (line.rfind("=== exit ", 0) == 0) {
            blocks.back().code = std::atoi(line.c_str() + 9);
        } else {
            (part == Part::out ? blocks.back().out : blocks.back().err) += line + "\n";
        }
    }
    return blocks;
}

std::string print(const std::vector<Block>& blocks) {
    std::string text;
    for (const Block& block : blocks) {
        for (const std::string& comment : block.comments) {
            text += comment + "\n";
        }
        text += "$ " + block.command + "\n" + block.out;
        if (!block.err.empty()) {
            text += "=== stderr\n" + block.err;
        }
        if (block.code != 0) {
            text += "=== exit " + std::to_string(block.code) + "\n";
        }
    }
    return text;
}

Block run(const Block& expected, const std::string& temporary_folder) {
    const std::string out = temporary_folder + ".out";
    const std::string err = temporary_folder + ".err";
    const std::string script = "frostread() { \"$FROSTREAD_PROGRAM\" \"$@\"; }\n" + expected.command;
    const std::string command =
        "cd " + in_single_quotes(test::source_dir()) +
        " && unset COLUMNS && NO_COLOR=1 TERM=dumb LC_ALL=C TMP=" + in_single_quotes(temporary_folder) +
        " FROSTREAD_PROGRAM=" + in_single_quotes(test::program_path()) + " sh -c " + in_single_quotes(script) + " >" +
        in_single_quotes(out) + " 2>" + in_single_quotes(err) + " </dev/null";
    const int status = std::system(command.c_str());  // NOLINT(cert-env33-c,concurrency-mt-unsafe)
    Block came = expected;
    came.code = WIFEXITED(status) ? WEXITSTATUS(status) : 128;
    came.out = without(read(out), temporary_folder, "$TMP");
    came.err = without(read(err), temporary_folder, "$TMP");
    for (std::string* text : {&came.out, &came.err}) {
        if (!text->empty() && text->back() != '\n') {
            *text += "\n";
        }
    }
    return came;
}

std::vector<std::string> files_in(const std::string& folder, const std::string& extension) {
    std::vector<std::string> paths;
    for (const auto& entry : fs::directory_iterator(folder)) {
        if (entry.path().extension() == extension) {
            paths.push_back(entry.path().string());
        }
    }
    std::sort(paths.begin(), paths.end());
    return paths;
}

std::string read(const std::string& path) {
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

void write(const std::string& path, const std::string& text) {
    std::ofstream(path, std::ios::binary) << text;
}

bool approving() {
    const char* value = std::getenv("FROSTREAD_APPROVE");  // NOLINT(concurrency-mt-unsafe)
    return value != nullptr && std::string(value) == "1";
}

std::string fresh_folder(const std::string& name) {
    const fs::path path = fs::temp_directory_path() / ("frostread-" + name + "-" + std::to_string(::getpid()));
    fs::remove_all(path);
    fs::create_directories(path);
    return path.string();
}

}  // namespace frostread::golden
