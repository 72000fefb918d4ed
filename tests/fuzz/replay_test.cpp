#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <string>
#include <vector>

#include "fuzz/targets.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

using namespace frostread;

namespace {

std::vector<std::string> corpus(const std::string& name) {
    std::vector<std::filesystem::path> paths;
    const std::filesystem::path folder = test::source_dir() + "/tests/fuzz/corpus/" + name;
    for (const auto& entry : std::filesystem::directory_iterator(folder)) paths.push_back(entry.path());
    std::sort(paths.begin(), paths.end());
    std::vector<std::string> texts;
    for (const auto& path : paths) {
        std::ifstream file(path, std::ios::binary);
        texts.emplace_back(std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>());
    }
    return texts;
}

/// Every text of the corpus, and edits of each from a fixed seed. The targets end the process when a
/// promise is broken, so to come back is to pass.
std::size_t replay(const std::string& name, void (*target)(std::string_view), int rounds) {
    std::size_t runs = 0;
    std::mt19937 random(20310417);
    for (const std::string& text : corpus(name)) {
        target(text);
        ++runs;
        for (int round = 0; round < rounds; ++round) {
            std::string edited = text;
            for (std::size_t i = random() % 6 + 1; i > 0 && !edited.empty(); --i) {
                const std::size_t at = random() % edited.size();
                switch (random() % 4) {
                    case 0:
                        edited[at] = static_cast<char>(static_cast<unsigned char>(random() % 256));
                        break;
                    case 1:
                        edited.erase(at, random() % 8 + 1);
                        break;
                    case 2:
                        edited.insert(at, text.substr(random() % text.size(), random() % 12));
                        break;
                    default:
                        edited[at] = "{}[]:,\"\\0-9e.nt "[random() % 16];
                }
            }
            target(edited);
            ++runs;
        }
    }
    return runs;
}

}  // namespace

TEST_CASE("the library loader survives its corpus and edits of it") {
    CHECK(replay("rules", fuzz::one_library, 300) > 300);
}
TEST_CASE("the case reader survives its corpus and edits of it") {
    CHECK(replay("case", fuzz::one_case, 1000) > 1000);
}
TEST_CASE("the quantity parser survives its corpus and edits of it") {
    CHECK(replay("quantity", fuzz::one_quantity, 300) > 300);
}
TEST_CASE("the log reader survives its corpus and edits of it") {
    CHECK(replay("log", fuzz::one_log, 60) > 250);
}
