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

namespace {

/// A cheap old unit that is warm and never stops.
Case worth_little() {
    Case the_case;
    the_case.unit.words = {{"layout", "single-door"},
                           {"refrigerant", "R-134a"},
                           {"control", "mechanical"},
                           {"cooling", "plate"},
                           {"defrost", "cycling"}};
    the_case.unit.numbers = {{"age_years", 19.0}, {"worth", 40.0}};
    Reading complaint = look("complaint", "fridge-warm");
    complaint.outcomes.push_back("runs-always");
    the_case.readings = {complaint, gauge("freezer-temp", -6.0), gauge("fridge-temp", 11.0)};
    return the_case;
}

}  // namespace

TEST_CASE("endings: no unit is given up in doubt while a quick look is left that may tell") {
    Case the_case = worth_little();
    for (int asked = 0; asked < 40; ++asked) {
        const Report report = household_report(the_case);
        if (report.action != Action::test) {
            const auto read = [&](const char* check) {
                return std::any_of(the_case.readings.begin(), the_case.readings.end(),
                                   [&](const Reading& reading) { return reading.check == check; });
            };
            CHECK(asked >= 3);
            CHECK((read("setting") || read("fridge-set")));
            return;
        }
        REQUIRE(report.test.has_value());
        const Check& check = *find_check(compiled_household()->library(), report.test->check);
        // Nothing that is looked at is amiss, so the doubt stays.
        Reading reading = gauge(check.id, check.normal.mean);
        for (const Outcome& outcome : check.outcomes)
            if (outcome.normal) reading = look(check.id, outcome.id);
        the_case.readings.push_back(reading);
    }
    FAIL("no end after 40 tests");
}

TEST_CASE("endings: a call begins with the owner's words") {
    const Report report = household_report({});
    REQUIRE(report.test.has_value());
    CHECK(report.test->check == "complaint");
    Case skipped;
    skipped.readings.push_back({});
    skipped.readings.back().check = "complaint";
    skipped.readings.back().skipped = "nobody at home";
    const Report without = household_report(skipped);
    REQUIRE(without.test.has_value());
    CHECK(without.test->check != "complaint");
}

TEST_CASE("endings: what stands open and unplugged is said before the person goes") {
    Case the_case;
    the_case.readings = {look("complaint", "none"), gauge("freezer-temp", -18.0), gauge("fridge-temp", 4.0)};
    the_case.job.open_areas = {"rear-cover"};
    the_case.job.power = "off";
    Report report = household_report(the_case);
    for (const Action action : {Action::finish, Action::refer, Action::retire}) {
        report.action = action;
        report.test.reset();
        const std::string text = to_text(report), html = to_html(report);
        for (const std::string& form : {text, html}) {
            CHECK(form.find("close up again") != std::string::npos);
            CHECK((form.find("put the plug") != std::string::npos) == (action != Action::retire));
        }
    }
    report.action = Action::test;
    CHECK(to_text(report).find("Before you go") == std::string::npos);
}
