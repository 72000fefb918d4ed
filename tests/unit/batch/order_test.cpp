// Order, threads, bad cases in their place.
#include <atomic>
#include <stdexcept>

#include "batch/pipeline.hpp"
#include "support/catch.hpp"
#include "unit/batch/collect.hpp"

using namespace frostread;
using namespace frostread::test;

namespace {

/// A source that never has to be waited for.
bool ready() {
    return true;
}
void idle() {
    FAIL("nothing was waited for");
}

}  // namespace

TEST_CASE("pipeline: chunks come out in the order in which they went in") {
    for (const unsigned jobs : {1U, 2U, 5U}) {
        int given = 0;
        std::vector<int> out;
        batch::run_in_order<int>(
            jobs, ready, idle, [&](int& chunk) { return (chunk = given++) < 500; },
            [](int& chunk, unsigned) {
                volatile int spin = (chunk * 7919) % 1000;  // uneven work
                while (spin > 0) spin = spin - 1;
                chunk = -chunk;
            },
            [&](int& chunk) {
                out.push_back(chunk);
                return true;
            });
        REQUIRE(out.size() == 500);
        for (int i = 0; i < 500; ++i) CHECK(out[static_cast<std::size_t>(i)] == -i);
    }
}

TEST_CASE("pipeline: stops when the writer says so, and reads no more than fits") {
    std::atomic<int> given{0};
    int written = 0;
    batch::run_in_order<int>(
        3U, ready, idle, [&](int& chunk) { return (chunk = given++) >= 0; }, [](int&, unsigned) {},
        [&](int&) { return ++written < 10; });
    CHECK(written == 10);
    CHECK(given < 10 + 8 + 1);  // what was written and what was in flight
}

TEST_CASE("pipeline: a worker's exception comes out after everything before it") {
    for (const unsigned jobs : {1U, 4U}) {
        int given = 0, written = 0;
        const auto go = [&] {
            batch::run_in_order<int>(
                jobs, ready, idle, [&](int& chunk) { return (chunk = given++) < 100; },
                [](int& chunk, unsigned) {
                    if (chunk == 40) throw std::runtime_error("forty");
                },
                [&](int&) {
                    ++written;
                    return true;
                });
        };
        CHECK_THROWS_AS(go(), std::runtime_error);
        CHECK(written == 40);
    }
}

TEST_CASE("batch: the same bytes whatever the number of threads") {
    std::vector<std::string> lines = drawn_lines(31, 80, 8);
    lines[17] = "{";
    lines[40].replace(lines[40].find("\"check\":\""), 9, "\"check\":\"x");
    BatchOptions options = ranking_only();
    options.csv = options.score = true;
    const Collected one = run(lines, options);
    for (const unsigned jobs : {2U, 7U}) {
        options.jobs = jobs;
        const Collected many = run(lines, options);
        CHECK(many.lines() == one.lines());
        for (std::size_t i = 0; i < lines.size(); ++i) CHECK(many.entries[i].csv == one.entries[i].csv);
    }
}

TEST_CASE("batch: a bad case stands in its place with line, column and reason") {
    std::vector<std::string> lines = drawn_lines(32, 3, 5);
    lines.insert(lines.begin() + 1,
                 R"({"frostread":1,"case":"typo","readings":[{"check":"freezer-tmp","value":"15F"}]})");
    const Collected out = run(lines, ranking_only());
    REQUIRE(out.entries.size() == 4);
    CHECK_FALSE(out.entries[0].bad);
    CHECK(out.entries[1].bad);
    CHECK_FALSE(out.entries[2].bad);
    CHECK(out.entries[1].case_id == std::optional<std::string>("typo"));
    CHECK(out.entries[1].line ==
          R"({"case":"typo","error":{"where":"night.jsonl:2:51","what":"no check is named \"freezer-tmp\"; )"
          R"(did you mean freezer-temp?","id":"unknown-check","pointer":"/readings/0/check"}})");
}

TEST_CASE("batch: an impossible value names the range") {
    const Collected out =
        run({R"({"frostread":1,"case":"hot","readings":[{"check":"freezer-temp","value":"900 C"}]})"}, ranking_only());
    REQUIRE(out.entries.size() == 1);
    CHECK(out.entries[0].bad);
    CHECK(out.entries[0].line.find("freezer-temp cannot be 900") != std::string::npos);
    CHECK(out.entries[0].line.find("expected a value from ") != std::string::npos);
}

TEST_CASE("batch: without a next step it is null, with one it is there; cautions come first in both") {
    const auto lines = drawn_lines(33, 2, 6);
    BatchOptions options = ranking_only();
    const Collected without = run(lines, options);
    options.next = options.closed_next = true;
    const Collected with = run(lines, options);
    for (std::size_t i = 0; i < lines.size(); ++i) {
        CHECK(without.entries[i].line.find(",\"next\":null,") != std::string::npos);
        const std::string& full = with.entries[i].line;
        CHECK(full.find(",\"next\":{\"action\":\"") != std::string::npos);
        CHECK(full.find("\"cautions\":[") < full.find("\"next\":{"));
        CHECK(without.entries[i].verdict.leader == with.entries[i].verdict.leader);
        CHECK_FALSE(without.entries[i].verdict.action);
        CHECK(with.entries[i].verdict.action);
    }
}

TEST_CASE("batch: a closed case has nothing left to do and gets no next step, an open one does") {
    auto lines = drawn_lines(34, 2, 6);
    const std::size_t closed = lines[1].find(",\"closed\":");
    REQUIRE(closed != std::string::npos);
    lines[1].replace(closed, std::string::npos, "}");
    BatchOptions options = ranking_only();
    options.next = true;
    const Collected out = run(lines, options);
    CHECK(out.entries[0].line.find(",\"next\":null,") != std::string::npos);
    CHECK(out.entries[1].line.find(",\"next\":{\"action\":\"") != std::string::npos);
    CHECK(out.entries[0].line == run(lines, ranking_only()).entries[0].line);
    options.csv = true;
    const Collected rows = run(lines, options);
    CHECK_FALSE(rows.entries[0].verdict.action);
    CHECK(rows.entries[1].verdict.action);
    CHECK(rows.entries[0].csv.find(",test,") == std::string::npos);
}
