// What the reader warns of, cautions of other tests, and figures about nothing: where results keep them.
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>

#include "cli/app.hpp"
#include "cli/batch_reports.hpp"
#include "cli/context.hpp"
#include "support/catch.hpp"
#include "unit/batch/collect.hpp"

using namespace frostread;
using namespace frostread::test;
using nlohmann::json;

namespace {

const std::string kSlip =
    R"({"frostread":1,"case":"a","reading":[],"readings":[{"check":"freezer-fan","value":"blows"}]})";
const std::string kBad = R"({"frostread":1,"case":"b","readings":[{"check":"zzz","value":"blows"}]})";

struct Came {
    int code = 0;
    std::string out, err;
};

Came program(const std::vector<std::string>& arguments, const std::string& input) {
    std::istringstream in(input);
    std::ostringstream out, err;
    cli::Context context{
        .in = in, .out = out, .err = err, .out_style = {}, .err_style = {}, .now = {}, .environment = {}};
    const int code = cli::run(arguments, context);
    return {code, out.str(), err.str()};
}

std::size_t count_of(const std::string& text, const std::string& piece) {
    std::size_t count = 0;
    for (std::size_t at = text.find(piece); at != std::string::npos; at = text.find(piece, at + 1)) ++count;
    return count;
}

}  // namespace

TEST_CASE("a warning about the input stands in the result, the same by both writers") {
    const std::string wanted =
        "/reading: a case has no key \"reading\"; it is kept and not used; did you mean readings?";
    BatchOptions options = ranking_only();
    const Collected fast = run({kSlip}, options);
    const json warnings = json::parse(fast.lines().front())["warnings"];
    CHECK(std::find(warnings.begin(), warnings.end(), wanted) != warnings.end());
    options.plain = true;
    CHECK(run({kSlip}, options).lines() == fast.lines());
    // It does not depend on where the line stands, so that parts of a file give the answers of the whole.
    CHECK(run({kBad, kSlip}, options).lines().back() == fast.lines().front());

    const Came came = program({"diagnose", "-", "--json"}, kSlip);
    CHECK(came.code == 0);
    const json told = json::parse(came.out)["warnings"];
    CHECK(std::find(told.begin(), told.end(), wanted) != told.end());
    CHECK(came.err.find("[unknown-key]") != std::string::npos);
    // The text is read by whoever has just read the warning.
    CHECK(program({"diagnose", "-"}, kSlip).out.find("did you mean readings") == std::string::npos);
}

TEST_CASE("many warnings leave room for the errors on standard error") {
    std::string input;
    for (int i = 0; i < 25; ++i) input += kSlip + "\n";
    for (int i = 0; i < 22; ++i) input += kBad + "\n";
    const Came came = program({"batch", "-", "--no-next"}, input);
    CHECK(came.code == 4);
    CHECK(count_of(came.err, ": warning: ") == 20);
    CHECK(count_of(came.err, ": error: ") == 20);
    CHECK(came.err.find("… and 5 more warnings; each stands with its case\n") != std::string::npos);
    CHECK(came.err.find("… and 2 more errors; each stands in its place in the results\n") != std::string::npos);
    CHECK(count_of(came.out, "did you mean readings") == 25);
}

TEST_CASE("every caution that a result names has its text at the top") {
    BatchOptions options = ranking_only();
    options.next = true;
    std::vector<std::string> cases;
    for (std::uint64_t number = 0; number < 12; ++number) {
        Case drawn = draw_closed_case(household(), 5, number, 6);
        drawn.closed.reset();
        cases.push_back(write_case(drawn, -1));
    }
    std::size_t named_by_others = 0;
    for (const std::string& line : run(cases, options).lines()) {
        const json result = json::parse(line);
        std::set<std::string> texts, step;
        for (const json& caution : result["cautions"]) {
            CHECK_FALSE(caution["text"].get<std::string>().empty());
            CHECK(texts.insert(caution["id"]).second);
        }
        for (const json& id : result["next"]["cautions"]) {
            CHECK(texts.count(id) == 1);
            step.insert(id);
        }
        for (const json& other : result["alternatives"])
            for (const json& id : other["cautions"]) {
                CHECK(texts.count(id) == 1);
                named_by_others += step.count(id) == 0 ? 1U : 0U;
            }
    }
    CHECK(named_by_others > 0);
}

TEST_CASE("a score about nothing has no figures") {
    const cli::ScoreReport none(household()->library());
    const json empty = json::parse(none.json());
    for (const char* key : {"top1", "top3", "log_loss", "brier", "ece"}) {
        CAPTURE(key);
        CHECK(empty[key].is_null());
    }
    CHECK(empty["calibration"][0]["share_true"].is_null());

    BatchOptions options = ranking_only();
    options.score = true;
    cli::ScoreReport some(household()->library());
    for (const BatchEntry& entry : run(drawn_lines(7, 3), options).entries) some.take(entry);
    const json scored = json::parse(some.json());
    for (const char* key : {"top1", "top3", "log_loss", "brier", "ece"}) CHECK(scored[key].is_number());
}
