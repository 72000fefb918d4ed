// Closed cases against what was found.
#include <cmath>
#include <nlohmann/json.hpp>

#include "batch/scores.hpp"
#include "cli/batch_reports.hpp"
#include "support/catch.hpp"
#include "unit/batch/collect.hpp"

using namespace frostread;
using namespace frostread::test;

namespace {

std::string closed_case(const std::string& found) {
    return R"({"frostread":1,"case":"c","unit":{"layout":"freezer-top","cooling":"one-evaporator"},"readings":[)"
           R"({"check":"condenser-coil","value":"matted"},{"check":"freezer-fan","value":"stopped"}],)"
           R"("closed":{"found":[)" +
           found + "]}}";
}

Collected scored(const std::vector<std::string>& lines) {
    BatchOptions options = ranking_only();
    options.score = true;
    return run(lines, options);
}

}  // namespace

TEST_CASE("score: both faults of a closed case count") {
    const Collected out = scored({closed_case(R"("condenser-dirty:matted","evaporator-fan-stopped")")});
    REQUIRE(out.entries[0].score);
    const BatchScore& score = *out.entries[0].score;
    REQUIRE(score.found.size() == 2);
    CHECK(score.found[0].fault == "condenser-dirty");
    CHECK(score.found[1].fault == "evaporator-fan-stopped");
    CHECK(score.found[0].rank == 1);  // only the other fault that was found may stand above
    CHECK(score.found[1].rank == 1);
    CHECK(score.leader_found);
    const nlohmann::json line = nlohmann::json::parse(out.entries[0].line);
    for (const auto& found : score.found) {
        double listed = -1.0;
        for (const auto& fault : line["faults"])
            if (fault["fault"] == found.fault) listed = fault["probability"];
        CHECK(found.probability == Approx(listed).margin(1e-9));
        CHECK(found.predicted == found.system);
    }
}

TEST_CASE("score: a fault that nobody suspected costs its log loss and names the reasons of the leader") {
    const Collected out = scored({closed_case(R"("water-supply-leak")")});
    const BatchScore& score = *out.entries[0].score;
    CHECK(score.found[0].rank > 3);
    CHECK_FALSE(score.leader_found);
    CHECK(score.found[0].system == "water");
    CHECK(score.found[0].predicted != "water");
    CHECK(score.reasons.find(" dB") != std::string::npos);
}

TEST_CASE("score: nothing found means that nothing was wrong; an open case is not scored") {
    const std::vector<std::string> lines = {closed_case(""), R"({"frostread":1,"readings":[]})"};
    const Collected out = scored(lines);
    CHECK(out.entries[0].score->found[0].fault == "nothing-wrong");
    CHECK_FALSE(out.entries[1].score);
}

TEST_CASE("score: the report adds up") {
    const auto lines = drawn_lines(41, 120, 15);
    const Collected out = scored(lines);
    cli::ScoreReport report(household()->library());
    double loss = 0.0;
    std::size_t found = 0, first = 0;
    for (const BatchEntry& entry : out.entries) {
        report.take(entry);
        for (const auto& one : entry.score->found) {
            loss += score::log_loss(one.probability);
            ++found;
            first += one.rank == 1 ? 1U : 0U;
        }
    }
    const nlohmann::json json = nlohmann::json::parse(report.json());
    CHECK(json["cases"] == 120);
    CHECK(json["found"] == found);
    CHECK(json["log_loss"].get<double>() == Approx(loss / static_cast<double>(found)).margin(1e-12));
    CHECK(json["top1"].get<double>() == Approx(static_cast<double>(first) / static_cast<double>(found)).margin(1e-12));
    CHECK(json["top3"].get<double>() >= json["top1"].get<double>());
    std::size_t binned = 0, confused = 0;
    for (const auto& bin : json["calibration"]) binned += bin["cases"].get<std::size_t>();
    for (const auto& cell : json["systems"]) confused += cell["count"].get<std::size_t>();
    CHECK(binned == 120);
    CHECK(confused == found);
    CHECK(json["worst"].size() == 10);
    CHECK(report.text().find("test the arithmetic, not the truth of the rules") != std::string::npos);
}

TEST_CASE("score: on cases out of its own model the engine is calibrated") {
    // If the posterior is right, of the cases in which the leader has probability p a share p has that
    // fault. 600 cases: the error of ten bins from chance alone is about 0.04.
    const Collected out = scored(drawn_lines(42, 600, 14));
    score::Calibration table(10);
    double said = 0.0, came = 0.0;
    for (const BatchEntry& entry : out.entries) {
        table.add(entry.score->leader_probability, entry.score->leader_found);
        said += entry.score->leader_probability;
        came += entry.score->leader_found ? 1.0 : 0.0;
    }
    CHECK(table.expected_error() < 0.08);
    // Binomial: standard deviation of the share is at most 0.5 / sqrt(600) = 0.02.
    CHECK(std::abs(said - came) / 600.0 < 0.06);
}
