#include "support/golden.hpp"

#include <filesystem>

#include "support/catch.hpp"
#include "support/paths.hpp"

using namespace frostread;

TEST_CASE("golden files: commands print what stands below them", "[golden]") {
    const std::vector<std::string> files = golden::files_in(test::source_dir() + "/tests/golden", ".test");
    REQUIRE(!files.empty());
    for (const std::string& path : files) {
        const std::vector<golden::Block> blocks = golden::parse(golden::read(path));
        INFO(path);
        REQUIRE(!blocks.empty());
        const std::string folder = golden::fresh_folder(std::filesystem::path(path).stem().string());
        std::vector<golden::Block> came;
        for (const golden::Block& block : blocks) {
            came.push_back(golden::run(block, folder));
            if (!golden::approving()) {
                INFO("$ " << block.command);
                CHECK(came.back().out == block.out);
                CHECK(came.back().err == block.err);
                CHECK(came.back().code == block.code);
            }
        }
        if (golden::approving()) {
            golden::write(path, golden::print(came));
        }
        std::filesystem::remove_all(folder);
        std::filesystem::remove(folder + ".out");
        std::filesystem::remove(folder + ".err");
    }
}

TEST_CASE("golden files: printing what was parsed gives the same file", "[golden]") {
    const std::string text = "## about\n$ frostread one\nline\n\nline\n=== stderr\nbad\n=== exit 2\n$ frostread two\n";
    CHECK(golden::print(golden::parse(text)) == text);
    CHECK(golden::parse(text).size() == 2);
    CHECK(golden::parse(text)[0].code == 2);
}
