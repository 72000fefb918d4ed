#include "plan/second_fault.hpp"

#include <algorithm>
#include <memory>

#include "frostread/planner.hpp"
#include "frostread/present.hpp"
#include "frostread/report.hpp"
#include "support/catch.hpp"
#include "support/household.hpp"
#include "support/readings.hpp"

using namespace frostread;
using namespace frostread::test;
using namespace frostread::plan;

namespace {

/// Three remedies, a set for each of the groups that are listed, with its weight.
struct SmallBelief {
    std::vector<Remedy> remedies{3};
    Belief belief;
    RepairCosts costs;

    explicit SmallBelief(const std::vector<std::pair<std::vector<RemedyIndex>, double>>& groups) {
        for (const Remedy& remedy : remedies) belief.remedies.push_back({&remedy, 0, 0.0});
        for (const auto& [members, weight] : groups) {
            Group group;
            group.first = static_cast<std::uint32_t>(belief.sets.size());
            group.last = group.first + 1;
            group.kind = HypothesisKind::faults;
            group.count = static_cast<std::uint8_t>(members.size());
            for (std::size_t m = 0; m < members.size(); ++m) group.remedies.at(m) = members[m];
            belief.groups.push_back(group);
            belief.sets.emplace_back();
            belief.weight.push_back(weight);
        }
        costs.own = {40.0, 30.0, 500.0};
        costs.last_resort = 250.0;
    }
    [[nodiscard]] SecondFaults beside_first(double second_visit = 100.0) const {
        return {belief, 0, costs, Who::technician, second_visit};
    }
};

AnswerRows rows_of(const std::vector<std::vector<double>>& rows) {
    AnswerRows out;
    out.answers = rows.size();
    out.sets = rows.front().size();
    for (const auto& row : rows) out.values.insert(out.values.end(), row.begin(), row.end());
    return out;
}

Report report_on(const Case& the_case) {
    const UnitModel model = fit_to_unit(compiled_household(), the_case.unit);
    return diagnose(model, the_case, plan_options(compiled_household()->library()));
}

/// A unit whose seal stands off, and which runs without end.
Case leaking_seal() {
    Case the_case;
    the_case.unit.words = {{"layout", "side-by-side"},   {"defrost", "automatic"},  {"cooling", "one-evaporator"},
                           {"condenser", "forced-air"},  {"control", "electronic"}, {"refrigerant", "R-134a"},
                           {"compressor", "fixed-speed"}};
    the_case.unit.numbers = {{"age_years", 6.0}, {"worth", 500.0}};
    the_case.readings = {look("complaint", "runs-always"), gauge("freezer-temp", -13.0), gauge("fridge-temp", 8.0),
                         look("onset", "over-weeks"),      look("door-use", "ordinary"), look("fridge-gasket", "gap"),
                         look("freezer-seal", "whole"),    look("level", "leans-back"),  gauge("freezer-set", -18.0),
                         gauge("fridge-set", 4.0)};
    the_case.readings.front().outcomes = {"both-warm", "runs-always", "sweating"};
    return the_case;
}

Reading as_it_should_be(const std::string& id) {
    const Check* check = find_check(compiled_household()->library(), id);
    REQUIRE(check != nullptr);
    for (const Outcome& outcome : check->outcomes)
        if (outcome.normal) return look(id, outcome.id);
    return gauge(id, check->normal.mean);
}

}  // namespace

TEST_CASE("second fault: what else is wrong counts only beside the first") {
    const SmallBelief small({{{0}, 0.6}, {{0, 1}, 0.2}, {{1}, 0.2}});
    CHECK(small.beside_first().beside()[1] == Approx(0.25));
    CHECK(small.beside_first().beside()[0] == 0.0);
    CHECK(small.beside_first().beside(std::vector<double>{0.5, 1.0, 1.0})[1] == Approx(0.4));
}

TEST_CASE("second fault: a repair joins the visit where leaving it costs more than doing it in vain") {
    // Left: P x second visit. In vain: (1 - P) x 30. With a second visit of 100 the two meet at P = 0.2308.
    CHECK(SmallBelief({{{0}, 0.77}, {{0, 1}, 0.23}}).beside_first().worth_doing().empty());
    CHECK(SmallBelief({{{0}, 0.76}, {{0, 1}, 0.24}}).beside_first().worth_doing() == std::vector<RemedyIndex>{1});
    // The third costs more than the unit is worth.
    CHECK(SmallBelief({{{0}, 0.1}, {{0, 2}, 0.9}}).beside_first().worth_doing().empty());
    // Somebody else's work.
    SmallBelief licensed({{{0}, 0.1}, {{0, 1}, 0.9}});
    licensed.remedies[1].who = Who::licensed;
    CHECK(licensed.beside_first().worth_doing().empty());
}

TEST_CASE("second fault: a look is worth what it lets one do and leave") {
    const SmallBelief small({{{0}, 0.9}, {{0, 1}, 0.1}});
    const SecondFaults others = small.beside_first();
    // Shows all: the second repair is done in a tenth of the cases and saves 100 each time.
    const AnswerRows all = rows_of({{1.0, 0.0}, {0.0, 1.0}});
    CHECK(others.worth_of_look(all) == Approx(10.0));
    // Shows nothing.
    const AnswerRows none = rows_of({{0.5, 0.5}, {0.5, 0.5}});
    CHECK(others.worth_of_look(none) == Approx(0.0));
    // A glance: P rises to 0.4, so the repair is done: 0.2 x (0.4 x 100 - 0.6 x 30).
    const AnswerRows glance = rows_of({{0.2 * 0.6 / 0.9, 0.8}, {1.0 - 0.2 * 0.6 / 0.9, 0.2}});
    CHECK(others.worth_of_look(glance) == Approx(0.2 * (0.4 * 100.0 - 0.6 * 30.0)));

    // After the glance the look that shows all may follow, at 4: only where the glance raised it.
    const SecondFaults::Further further{&all, 4.0};
    const double after_bad = 0.2 * (0.4 * 100.0 - 4.0), after_good = std::max(0.0, 0.8 * (0.025 * 100.0 - 4.0));
    CHECK(others.worth_of_look(glance, {&further, 1}) == Approx(after_bad + after_good));
}

TEST_CASE("second fault: of looks that would follow each other the telling one goes first") {
    const SmallBelief small({{{0}, 0.7}, {{0, 1}, 0.3}});
    const SecondFaults others = small.beside_first();
    const AnswerRows all = rows_of({{1.0, 0.0}, {0.0, 1.0}}), none = rows_of({{0.5, 0.5}, {0.5, 0.5}});
    const std::vector<SecondLook> looks{{7, none, 0.5}, {8, all, 4.0}};
    CHECK(best_second_look(others, looks, 0.0) == std::optional<std::size_t>(8));
    CHECK(best_second_look(others, looks, 3.0) == std::optional<std::size_t>(8));
    // Nothing is worth a cost above all that it could save.
    CHECK_FALSE(best_second_look(others, std::vector<SecondLook>{{8, all, 40.0}}, 0.0).has_value());
    // What is suspected by less than one in fifty is not chased.
    const SmallBelief sure({{{0}, 0.985}, {{0, 1}, 0.015}});
    CHECK_FALSE(best_second_look(sure.beside_first(1e4), std::vector<SecondLook>{{8, all, 0.5}}, 0.0).has_value());
}

TEST_CASE("second fault: a gasket found open does not end the call before a glance at the condenser") {
    Case the_case = leaking_seal();
    // Whatever else is asked is found as it should be.
    Report before = report_on(the_case);
    for (int asked = 0; asked < 30 && before.action == Action::test && before.test->check != "condenser-glance";
         ++asked) {
        the_case.readings.push_back(as_it_should_be(before.test->check));
        before = report_on(the_case);
    }
    REQUIRE(before.action == Action::test);
    CHECK(before.test->check == "condenser-glance");
    REQUIRE(before.repair.has_value());  // settled, and named beside the test
    CHECK(before.repair->fault == "gasket-leak");

    the_case.readings.push_back(look("condenser-glance", "lint"));
    the_case.readings.push_back(look("condenser-coil", "matted"));
    the_case.readings.push_back(look("condenser-warmth", "very-hot"));
    const Report after = report_on(the_case);
    REQUIRE(after.action == Action::repair);
    REQUIRE(after.same_visit.size() == 1);
    const std::vector<std::string> both{after.repair->fault, after.same_visit.front().fault};
    CHECK(std::find(both.begin(), both.end(), "gasket-leak") != both.end());
    CHECK(std::find(both.begin(), both.end(), "condenser-dirty") != both.end());

    // No form drops a caution of the second repair, nor its steps.
    const std::string text = to_text(after), html = to_html(after), json = to_json(after);
    for (const std::string& form : {text, html, json}) CHECK(form.find("the fins") != std::string::npos);
    for (const std::string& id : after.same_visit.front().cautions) {
        const auto listed = std::find_if(after.cautions.begin(), after.cautions.end(),
                                         [&](const ReportCaution& caution) { return caution.id == id; });
        REQUIRE(listed != after.cautions.end());
        CHECK(text.find(listed->text.substr(0, 20)) != std::string::npos);
        CHECK(html.find(listed->text.substr(0, 20)) != std::string::npos);
        CHECK(json.find("\"" + id + "\"") != std::string::npos);
    }
    CHECK(text.find("On the same visit: ") != std::string::npos);
    CHECK(html.find("On the same visit: ") != std::string::npos);
}
