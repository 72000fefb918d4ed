// What changed since an earlier run.
#include <nlohmann/json.hpp>

#include "cli/batch_reports.hpp"
#include "support/catch.hpp"
#include "unit/batch/collect.hpp"

using namespace frostread;
using namespace frostread::test;

namespace {

BatchOptions comparing() {
    BatchOptions options = ranking_only();
    options.compare = true;
    return options;
}

}  // namespace

TEST_CASE("compare: a run against itself shows no change") {
    const auto lines = drawn_lines(51, 20, 10);
    const Collected old = run(lines, ranking_only());
    const Collected out = run(lines, comparing(), old.lines());
    for (const BatchEntry& entry : out.entries) {
        REQUIRE(entry.change);
        CHECK(entry.change->had_before);
        CHECK_FALSE(entry.change->any());
        CHECK(entry.change->before.leader == entry.verdict.leader);
        CHECK(entry.change->before_now == Approx(entry.change->before.probability).margin(1e-9));
    }
}

TEST_CASE("compare: another leader is shown with both probabilities and the readings that moved") {
    const std::string then = R"({"frostread":1,"case":"a","readings":[{"check":"condenser-coil","value":"matted"}]})";
    const std::string now = R"({"frostread":1,"case":"a","readings":[{"check":"freezer-fan","value":"stopped"},)"
                            R"({"check":"condenser-coil","value":"clean"}]})";
    const Collected old = run({then}, ranking_only());
    const Collected out = run({now}, comparing(), old.lines());
    const BatchChange& change = *out.entries[0].change;
    CHECK(change.leader);
    CHECK(change.any());
    CHECK(change.before.leader == "condenser-dirty");
    CHECK(out.entries[0].verdict.leader == "evaporator-fan-stopped");
    CHECK(change.before_now < change.before.probability);
    REQUIRE_FALSE(change.moves.empty());
    const auto coil =
        std::find_if(change.moves.begin(), change.moves.end(), [](const auto& move) { return move.value == "matted"; });
    REQUIRE(coil != change.moves.end());
    CHECK(coil->before_db);
    CHECK_FALSE(coil->now_db);

    cli::CompareReport report;
    const std::string text = report.take(out.entries[0]);
    CHECK(text.find("leader: condenser-dirty") != std::string::npos);
    CHECK(text.find("-> evaporator-fan-stopped") != std::string::npos);
    CHECK(text.find("not counted") != std::string::npos);
    CHECK(report.changed() == 1);
    CHECK(report.text().find("1 of 1 cases changed: 1 leader") != std::string::npos);
    const nlohmann::json json = nlohmann::json::parse(report.json());
    CHECK(json["leaders"][0]["before"] == "condenser-dirty");
    CHECK(nlohmann::json::parse(report.json_line(out.entries[0]))["before"]["leader"] == "condenser-dirty");
}

TEST_CASE("compare: a case that was bad and a case that is new") {
    const std::string good = R"({"frostread":1,"case":"a","readings":[{"check":"freezer-fan","value":"stopped"}]})";
    const Collected out =
        run({good, good}, comparing(), {R"({"case":"a","error":{"where":"x","what":"y"}})", "{not json"});
    CHECK(out.entries[0].change->before.leader == "bad-case");
    CHECK(out.entries[0].change->leader);
    CHECK_FALSE(out.entries[1].change->had_before);
    CHECK_FALSE(out.entries[1].change->any());
}

TEST_CASE("compare: without a next step in one of the runs only leaders are compared") {
    const auto lines = drawn_lines(52, 2, 6);
    const Collected old = run(lines, ranking_only());
    BatchOptions options = comparing();
    options.next = true;
    const Collected out = run(lines, options, old.lines());
    for (const BatchEntry& entry : out.entries) {
        CHECK_FALSE(entry.change->verdict);
        CHECK_FALSE(entry.change->next_test);
    }
}
