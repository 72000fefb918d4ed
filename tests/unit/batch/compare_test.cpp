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

/// Drawn cases of these numbers, not closed.
std::vector<std::string> open_lines(const std::vector<std::uint64_t>& numbers) {
    std::vector<std::string> lines;
    for (const std::uint64_t number : numbers) {
        Case drawn = draw_closed_case(household(), 5, number, 20);
        drawn.closed.reset();
        lines.push_back(write_case(drawn, -1));
    }
    return lines;
}

std::string step_of(const std::string& line) {
    const nlohmann::json next = nlohmann::json::parse(line)["next"];
    return next["action"].get<std::string>() + (next["fault"].is_null() ? "" : " with a repair");
}

const std::vector<std::string> kSteps = {"test", "test with a repair", "retire with a repair", "repair with a repair"};

/// The first drawn case of each kind of step: which they are hangs on the rules.
const std::vector<std::uint64_t>& one_of_each() {
    static const std::vector<std::uint64_t> found = [] {
        BatchOptions options = ranking_only();
        options.next = true;
        std::vector<std::uint64_t> numbers;
        for (const std::string& step : kSteps)
            for (std::uint64_t number = 0; number < 300; ++number)
                if (step_of(run(open_lines({number}), options).lines().front()) == step) {
                    numbers.push_back(number);
                    break;
                }
        return numbers;
    }();
    return found;
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

TEST_CASE("compare: open cases with their next step show no change against the same run") {
    const auto lines = open_lines(one_of_each());
    BatchOptions options = comparing();
    options.next = true;
    const Collected old = run(lines, options);
    std::vector<std::string> steps;
    for (const std::string& line : old.lines()) steps.push_back(step_of(line));
    CHECK(steps == kSteps);
    for (const BatchEntry& entry : run(lines, options, old.lines()).entries) {
        REQUIRE(entry.change->had_before);
        CHECK_FALSE(entry.change->any());
    }
}

TEST_CASE("compare: another repair in view before the same test is a change of the verdict") {
    REQUIRE(one_of_each().size() == kSteps.size());
    const auto lines = open_lines({one_of_each()[1]});
    BatchOptions options = comparing();
    options.next = true;
    std::string old = run(lines, options).lines().front();
    nlohmann::ordered_json edited = nlohmann::ordered_json::parse(old);
    edited["next"]["fault"] = "lamp-failed";
    const Collected out = run(lines, options, {edited.dump()});
    CHECK(out.entries[0].change->verdict);
    CHECK_FALSE(out.entries[0].change->next_test);
}

TEST_CASE("CSV says the same of the next step as the line of JSON") {
    const auto lines = open_lines(one_of_each());
    BatchOptions options = ranking_only();
    options.next = options.csv = true;
    for (const BatchEntry& entry : run(lines, options).entries) {
        const nlohmann::json next = nlohmann::json::parse(entry.line)["next"];
        const auto word = [&](const char* key) { return next[key].is_null() ? "" : next[key].get<std::string>(); };
        // The last five columns: verdict, next_check, next_fault, minutes, error.
        std::vector<std::string> cells{""};
        for (const char c : entry.csv) {
            if (c == ',')
                cells.emplace_back();
            else
                cells.back() += c;
        }
        const std::size_t from = cells.size() - 5;
        CHECK(cells[from] == word("action"));
        CHECK(cells[from + 1] == word("check"));
        CHECK(cells[from + 2] == word("fault"));
        CHECK(std::stod(cells[from + 3]) == Approx(next["minutes"].get<double>()).margin(1e-9));
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
    CHECK(report.text().find("1 of 1 case changed: 1 leader") != std::string::npos);
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
