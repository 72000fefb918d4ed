// Invented cases: repeatable, readable, closed, and honest about what they are.
#include "support/catch.hpp"
#include "unit/batch/collect.hpp"

using namespace frostread;
using namespace frostread::test;

TEST_CASE("draw: the same seed gives the same cases, another seed others") {
    CHECK(drawn_lines(61, 5) == drawn_lines(61, 5));
    CHECK(drawn_lines(61, 5) != drawn_lines(62, 5));
    // One case does not depend on how many are drawn.
    CHECK(drawn_lines(61, 9)[3] == drawn_lines(61, 4)[3]);
}

TEST_CASE("draw: every case can be read back and is closed with known faults") {
    std::size_t readings = 0, two = 0, none = 0;
    const auto lines = drawn_lines(63, 300, 20);
    for (const std::string& line : lines) {
        const Result<Case> read = read_case(line, "drawn", household()->library());
        REQUIRE(read.has_value());
        CHECK(read.diagnostics().empty());
        CHECK(write_case(*read, -1) == line);
        REQUIRE(read->closed);
        CHECK(read->closed->note.find("not the truth of the rules") != std::string::npos);
        readings += read->readings.size();
        two += read->closed->found.size() == 2 ? 1U : 0U;
        none += read->closed->found.empty() ? 1U : 0U;
    }
    CHECK(readings / lines.size() >= 18);
    CHECK(readings / lines.size() <= 22);
    CHECK(two > 0);
    CHECK(none > 0);
}

TEST_CASE("draw: no reading that only a licensed handler may take") {
    for (const std::string& line : drawn_lines(64, 60, 30)) {
        const auto drawn = read_case(line, "", household()->library());
        REQUIRE(drawn);
        for (const Reading& reading : drawn->readings) {
            const Check* check = find_check(household()->library(), reading.check);
            REQUIRE(check != nullptr);
            CHECK((check->who != Who::licensed));
        }
    }
}
