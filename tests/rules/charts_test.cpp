#include <fstream>
#include <iterator>

#include "rules/chart_score.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

using namespace frostread;

namespace {

constexpr const char* kBegin = "<!-- begin of what the test writes -->\n";
constexpr const char* kEnd = "<!-- end of what the test writes -->\n";

std::string document_path() {
    return test::source_dir() + "/docs/outside-checks.md";
}

std::string read_document() {
    std::ifstream in(document_path(), std::ios::binary);
    REQUIRE(in);
    return {std::istreambuf_iterator<char>(in), {}};
}

void report(const std::vector<test::ChartRow>& rows, const std::string& scope) {
    for (const test::ChartRow& row : rows) {
        for (const test::ChartCause& cause : row.causes) {
            if (row.left_out.empty() && row.scope == scope && !cause.found) {
                UNSCOPED_INFO(row.id << " (" << row.says << "): " << cause.key << " at " << cause.place << " after "
                                     << row.first);
            }
        }
    }
}

}  // namespace

// The floors are what the rules reach. Whoever changes a rule for a good reason and falls below one looks
// at the rows that are named, decides which is right, and writes the reason into docs/outside-checks.md.
TEST_CASE("the causes that published charts list are among the first of the ranking", "[rules][charts]") {
    const std::vector<test::ChartRow> rows = test::score_charts();
    SECTION("household rows") {
        report(rows, "household");
        CHECK(test::share_of(rows, "household", "", false).share() >= 0.79);
        CHECK(test::share_of(rows, "household", "", true).share() >= 1.0);
    }
    SECTION("general rows") {
        report(rows, "general");
        CHECK(test::share_of(rows, "general", "", false).share() >= 0.93);
        CHECK(test::share_of(rows, "general", "", true).share() >= 1.0);
    }
    SECTION("enough rows are scored for the shares to mean something") {
        CHECK(test::share_of(rows, "household", "", false).rows >= 20);
        CHECK(test::share_of(rows, "general", "", false).rows >= 20);
    }
}

TEST_CASE("the document on outside checks speaks of every row", "[rules][charts]") {
    const std::string document = read_document();
    for (const test::ChartRow& row : test::score_charts()) {
        INFO(row.id);
        CHECK(document.find("| " + row.id + " |") != std::string::npos);
    }
}

// Hidden: run by name after a change of the rules, to bring the tables of the document up to date.
TEST_CASE("write the tables of the outside checks", "[.write-outside-checks]") {
    const std::string document = read_document();
    const std::size_t begin = document.find(kBegin);
    const std::size_t end = document.find(kEnd);
    REQUIRE(begin != std::string::npos);
    REQUIRE(end != std::string::npos);
    std::ofstream out(document_path(), std::ios::binary);
    out << document.substr(0, begin) << kBegin << test::chart_tables(test::score_charts()) << document.substr(end);
    CHECK(out.good());
}
