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

TEST_CASE("endings: a unit that is given up with a panel off and the plug in is left without it") {
    Report report;
    report.action = Action::retire;
    report.still_open = {"behind the rear cover"};
    for (const std::string& form : {to_text(report), to_html(report)}) {
        INFO(form);
        CHECK(form.find("pull the plug, close up again (behind the rear cover)") != std::string::npos);
        CHECK(form.find("put the plug back in") == std::string::npos);
    }
}

TEST_CASE("endings: nobody is told to close what is not theirs, and what they leave open stays without power") {
    Case the_case;
    the_case.readings = {look("complaint", "none"), gauge("freezer-temp", -18.0), gauge("fridge-temp", 4.0)};
    the_case.job.open_areas = {"rear-cover", "start-device-off", "service-port"};
    const UnitModel model = fit_to_unit(compiled_household(), the_case.unit);
    const Findings findings = gather(model, the_case);
    const Posterior posterior = infer(model, findings);
    const std::string port = find_area(compiled_household()->library(), "service-port")->name;
    ReportTextOptions one_line;
    one_line.style.width = 2000;
    const std::string starter = find_area(compiled_household()->library(), "start-device-off")->name;
    for (const bool plug_out : {true, false})
        for (const Who may : {Who::anyone, Who::technician, Who::licensed}) {
            the_case.job.power = plug_out ? "off" : "on";
            JobState job = job_state(model, the_case);
            job.may = may;
            Report report = build_report(
                model, the_case, findings, posterior,
                decide(model, the_case, findings, posterior, job, plan_options(model.compiled().library())));
            report.action = Action::finish;
            report.test.reset();
            for (const std::string& form : {to_text(report, one_line), to_html(report)}) {
                INFO(form);
                const std::size_t from = form.find("close up again (behind the rear cover");
                REQUIRE(from != std::string::npos);
                const std::string own = form.substr(from, form.find(')', from) - from);
                CHECK((own.find(port) != std::string::npos) == (may == Who::licensed));
                CHECK((own.find(starter) != std::string::npos) == (may >= Who::technician));
                CHECK((form.find("Only a licensed refrigerant handler closes this: " + port) != std::string::npos) ==
                      (may < Who::licensed));
                CHECK((form.find("Only a technician trained for it closes this: " + starter) != std::string::npos) ==
                      (may == Who::anyone));
                CHECK((form.find("leave it as it is") != std::string::npos) == (may < Who::licensed));
                const bool mine = may == Who::licensed;
                CHECK((form.find("put the plug back in") != std::string::npos) == mine);
                CHECK((form.find("then leave the plug out") != std::string::npos) == !mine);
                CHECK((form.find("pull the plug, close up again") != std::string::npos) == !plug_out);
            }
        }
}
