// The fast way of a batch gives, byte for byte, what the general reader and writer give.
#include <random>

#include "batch/fast_reader.hpp"
#include "support/catch.hpp"
#include "unit/batch/collect.hpp"

using namespace frostread;
using namespace frostread::test;

namespace {

void check_same(const std::vector<std::string>& lines) {
    BatchOptions options = ranking_only();
    const Collected fast = run(lines, options);
    options.plain = true;
    const Collected plain = run(lines, options);
    REQUIRE(fast.entries.size() == lines.size());
    std::size_t different = 0;
    for (std::size_t i = 0; i < lines.size(); ++i) {
        if (fast.entries[i].line == plain.entries[i].line) continue;
        ++different;
        UNSCOPED_INFO(lines[i]);
        UNSCOPED_INFO(fast.entries[i].line);
        UNSCOPED_INFO(plain.entries[i].line);
    }
    CHECK(different == 0);
}

/// One small thing changed: a byte, a piece doubled, a piece gone.
std::string damaged(std::string line, std::mt19937_64& random) {
    const auto place = [&] { return static_cast<std::size_t>(random() % line.size()); };
    constexpr std::string_view kBytes = "\"{}[]:,\\ 0123456789-+.eEtfn\x01\xc3";
    switch (random() % 4) {
        case 0:
            line[place()] = kBytes[random() % kBytes.size()];
            break;
        case 1:
            line.erase(place(), 1 + random() % 8);
            break;
        case 2: {
            const std::size_t from = place();
            line.insert(place(), line.substr(from, 1 + random() % 60));
            break;
        }
        default: {
            const std::size_t at = place();
            line.insert(at, 1, kBytes[random() % kBytes.size()]);
        }
    }
    return line;
}

}  // namespace

TEST_CASE("batch: drawn cases give the same line both ways") {
    check_same(drawn_lines(21, 60, 8));
    check_same(drawn_lines(22, 40, 25));
}

TEST_CASE("batch: damaged cases give the same line or the same error both ways") {
    std::mt19937_64 random(5);
    std::vector<std::string> lines;
    for (const std::string& line : drawn_lines(23, 25, 6))
        for (int i = 0; i < 16; ++i) lines.push_back(damaged(line, random));
    check_same(lines);
}

TEST_CASE("batch: unusual but good cases give the same line both ways") {
    const std::vector<std::string> lines = {
        R"({"frostread":1,"readings":[]})",
        R"( { "frostread" : 1 , "case" : "a \"b\"" , "readings" : [ ] } )",
        R"({"frostread":1,"case":"aliases","unit":{"layout":"top","gas":"R-600a"},"readings":[{"check":"fz","value":"15F"}]})",
        R"({"frostread":1,"unit":{"age_years":11,"refrigerant":"unknown"},"readings":[{"check":"freezer-temp","value":-9}]})",
        R"({"frostread":1,"readings":[{"check":"complaint","value":["freezer-warm","noisy"]},{"check":"noise","value":"rattle","sure":false}]})",
        R"({"frostread":1,"readings":[{"check":"complaint","value":"freezer-warm, noisy"},{"check":"complaint","value":"none"}]})",
        R"({"frostread":1,"readings":[{"check":"freezer-temp","skipped":"no thermometer"}]})",
        R"({"frostread":1,"readings":[{"value":"none","check":"noise"}]})",
        R"({"frostread":1,"mine":{"x":[1,2]},"readings":[{"check":"noise","value":"none","at":"2031-04-17T09:12:00Z","note":"Küche"}]})",
        R"({"frostread":1,"readings":[{"check":"noise","value":"none","check":"noise"}]})",
        R"({"frostread":2,"readings":[]})",
        R"({"frostread":01,"readings":[]})",
        R"({"readings":[]})",
        R"([])",
        R"("text")",
        "",
        "\xef\xbb\xbf{\"frostread\":1,\"readings\":[]}",
    };
    check_same(lines);
}

TEST_CASE("batch: nothing of one case is left in the next") {
    batch::FastReader reader(*household());
    const std::string full =
        R"({"frostread":1,"case":"full","note":"n","unit":{"layout":"freezer-top","age_years":3},"readings":[)"
        R"({"check":"noise","value":"rattle","sure":false,"at":"2031","note":"x","origin":"y"}],)"
        R"("withdrawn":[{"check":"noise","value":"none"}],"job":{"power":"off","cannot":["meter"]},)"
        R"("closed":{"found":["lamp-failed"],"remedy":"r"},"mine":1})";
    Case out = read_case(full, "", household()->library()).value();
    const std::string bare = R"({"frostread":1,"unit":{},"readings":[{"check":"noise","value":"none"}]})";
    REQUIRE(reader.read(bare, out));
    CHECK(write_case(out, -1) == bare);
}

TEST_CASE("batch: the fast reader takes the usual case and leaves the rest") {
    batch::FastReader reader(*household());
    Case out;
    std::size_t taken = 0;
    const auto lines = drawn_lines(24, 50);
    for (const std::string& line : lines) {
        taken += reader.read(line, out) ? 1U : 0U;
        CHECK(write_case(out, -1) == line);
    }
    CHECK(taken == lines.size());
    CHECK_FALSE(reader.read(R"({"frostread":1,"readings":[{"check":"fz","value":"15F"}]})", out));
}

TEST_CASE("batch: a reader that has read much reads like a fresh one") {
    std::mt19937_64 random(6);
    batch::FastReader used(*household());
    const auto lines = drawn_lines(25, 40, 10);
    Case by_used, by_fresh;
    std::size_t different = 0;
    const auto compare = [&](const std::string& line) {
        batch::FastReader fresh(*household());
        const bool took = fresh.read(line, by_fresh);
        different += used.read(line, by_used) != took ? 1U : 0U;
        if (!took) return;
        different += write_case(by_used, -1) != write_case(by_fresh, -1) ? 1U : 0U;
        REQUIRE(used.checks().size() == by_used.readings.size());
        for (std::size_t i = 0; i < by_used.readings.size(); ++i)
            different += household()->check_index(by_used.readings[i].check) != used.checks()[i] ? 1U : 0U;
    };
    for (int round = 0; round < 2; ++round)
        for (const std::string& line : lines) {
            compare(line);
            for (int i = 0; i < 5; ++i) compare(damaged(line, random));
        }
    CHECK(different == 0);
}

TEST_CASE("batch: a whole reading is known again by all of its bytes, and only as far as it went") {
    batch::WholeReadings whole;
    Reading reading;
    reading.check = "noise";
    reading.outcomes = {"rattle"};
    const std::string text = R"({"check":"noise","value":"rattle"})";
    CHECK(whole.find(text + "]") == nullptr);
    whole.remember(text, 7, reading);
    const auto* known = whole.find(text + R"(,{"check":"noise"}])");
    REQUIRE(known != nullptr);
    CHECK(known->text == text);
    CHECK(known->check == 7);
    CHECK(known->outcomes == reading.outcomes);
    CHECK(whole.find(text) == nullptr);  // no end in sight
    CHECK(whole.find(R"({"check":"noise","value":"rattlf"}])") == nullptr);
    CHECK(whole.find("") == nullptr);
    reading.at = "2031-04-17";
    const std::string dated = R"({"check":"noise","value":"rattle","at":"2031-04-17"})";
    whole.remember(dated, 7, reading);
    CHECK(whole.find(dated + "]") == nullptr);
}
