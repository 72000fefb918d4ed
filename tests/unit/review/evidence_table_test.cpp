#include <cmath>

#include "frostread/engine.hpp"
#include "frostread/review.hpp"
#include "support/builders.hpp"
#include "support/catch.hpp"

using namespace frostread;

namespace {

std::shared_ptr<const CompiledLibrary> tiny() {
    return compile(std::make_shared<const Library>(test::tiny_library()));
}

}  // namespace

TEST_CASE("the answers of every question share one unit of probability", "[review]") {
    const auto library = tiny();
    const std::vector<Question> table = evidence_table(fit_to_unit(library, {}));
    // two items of the complaint, the gauge, the fan, the heater
    REQUIRE(table.size() == 5);
    for (const Question& question : table) {
        REQUIRE(question.probability.size() == question.answers.size());
        for (std::size_t column = 0; column <= library->alternative_count(); ++column) {
            double sum = 0.0;
            for (const std::vector<double>& answer : question.probability) {
                CHECK(answer[column] >= 0.0);
                sum += answer[column];
            }
            CHECK(sum == Approx(1.0).epsilon(1e-12));
        }
    }
}

TEST_CASE("a look weighs what its likelihoods say", "[review]") {
    const auto library = tiny();
    const UnitModel model = fit_to_unit(library, {});
    const std::vector<Question> table = evidence_table(model);
    const FaultIndex fault = *library->fault_index("fan-stopped");
    const std::vector<Sign> signs = signs_of_fault(model, table, fault, 0.0);
    bool seen = false;
    for (const Sign& sign : signs) {
        const Question& question = table[sign.question];
        const Check& check = library->library().checks[question.check];
        if (check.id != "fan" || check.outcomes[question.answers[sign.answer].outcome].id != "stopped") {
            continue;
        }
        seen = true;
        // The fault leaves the fan normal with 0.05; the background does with what its outcomes leave over. When
        // it shows, "stopped" takes its share of the summed rates. 0.98 of that, the rest flat over three.
        const double stopped_background = find_outcome(check, "stopped")->background;
        const double sound_normal = 1.0 - stopped_background - find_outcome(check, "slow")->background;
        const double rate = -std::log(0.05);
        const double background = -std::log(sound_normal);
        const double any = 1.0 - 0.05 * sound_normal;
        const double share =
            (rate * 0.7 / 0.95 + background * stopped_background / (1.0 - sound_normal)) / (rate + background);
        CHECK(sign.probability == Approx(0.98 * any * share + 0.02 / 3.0).margin(1e-6));
        const double sound = 0.98 * stopped_background + 0.02 / 3.0;
        CHECK(sign.decibans == Approx(10.0 * std::log10(sign.probability / sound)).margin(1e-6));
    }
    CHECK(seen);
    for (std::size_t i = 1; i < signs.size(); ++i) {
        CHECK(std::abs(signs[i - 1].decibans) >= std::abs(signs[i].decibans));
    }
}

TEST_CASE("a fault and itself weigh nothing, and the twin with the same rules little", "[review]") {
    const auto library = tiny();
    const UnitModel model = fit_to_unit(library, {});
    const std::vector<PairSeparation> pairs = separations(model, evidence_table(model));
    REQUIRE(pairs.size() == 3);
    for (std::size_t i = 1; i < pairs.size(); ++i) {
        CHECK(pairs[i - 1].all_db <= pairs[i].all_db);
    }
    for (const PairSeparation& pair : pairs) {
        CHECK(pair.all_db >= 0.0);
        CHECK(pair.anyone_db <= pair.all_db + 1e-9);
        CHECK(pair.best_db <= pair.all_db + 1e-9);
    }
    CHECK(pairs.front().same_remedy == (pairs.front().first == *library->fault_index("fan-stopped") &&
                                        pairs.front().second == *library->fault_index("fan-iced")));
}
