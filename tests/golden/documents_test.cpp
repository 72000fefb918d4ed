#include <filesystem>
#include <sstream>

#include "support/catch.hpp"
#include "support/golden.hpp"
#include "support/paths.hpp"

using namespace frostread;

namespace {

/// The transcripts of a document: indented or fenced blocks that begin with "$ frostread".
std::vector<golden::Block> transcripts(const std::string& text) {
    std::vector<golden::Block> blocks;
    std::istringstream lines(text);
    std::string line;
    bool fenced = false;
    std::string block;
    while (std::getline(lines, line)) {
        if (line.rfind("```", 0) == 0) {
            if (fenced && block.rfind("$ frostread", 0) == 0) {
                for (golden::Block& parsed : golden::parse(block)) {
                    blocks.push_back(std::move(parsed));
                }
            }
            fenced = !fenced;
            block.clear();
        } else if (fenced) {
            block += line + "\n";
        }
    }
    return blocks;
}

}  // namespace

TEST_CASE("the transcripts of README and docs are what the program prints", "[documents]") {
    const std::string root = test::source_dir();
    std::vector<std::string> files = golden::files_in(root + "/docs", ".md");
    files.push_back(root + "/README.md");
    std::size_t checked = 0;
    const std::string folder = golden::fresh_folder("documents");
    for (const std::string& path : files) {
        std::string text = golden::read(path);
        for (const golden::Block& block : transcripts(text)) {
            const golden::Block came = golden::run(block, folder);
            INFO(path << ": $ " << block.command);
            if (golden::approving()) {
                const std::string before = golden::print({block});
                const std::size_t at = text.find(before);
                REQUIRE(at != std::string::npos);
                text.replace(at, before.size(), golden::print({came}));
                golden::write(path, text);
            } else {
                CHECK(came.out == block.out);
                CHECK(came.err == block.err);
                CHECK(came.code == block.code);
            }
            ++checked;
        }
    }
    CHECK(checked >= 1);
    std::filesystem::remove_all(folder);
}
