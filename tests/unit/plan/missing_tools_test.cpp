// Nobody is sent for a reading with a tool that is not there, or that is not theirs to take, whether diagnosing or in a
// session.
#include <algorithm>

#include "frostread/report.hpp"
#include "support/catch.hpp"
#include "unit/batch/collect.hpp"

using namespace frostread;
using namespace frostread::test;

TEST_CASE("planner: without a meter no test that needs one is named") {
    const Library& library = household()->library();
    const auto tests_named = [&](const std::vector<std::string>& cannot) {
        Case the_case;
        the_case.job.cannot = cannot;
        // Everything else was passed over, so that what is left stands in the list.
        for (const Check& check : library.checks) {
            if (std::find(check.tools.begin(), check.tools.end(), "multimeter") != check.tools.end()) continue;
            Reading skipped;
            skipped.check = check.id;
            skipped.skipped = "passed over";
            the_case.readings.push_back(skipped);
        }
        const Report report = diagnose(fit_to_unit(household(), the_case.unit), the_case, plan_options(library));
        std::vector<std::string> checks;
        if (report.test) checks.push_back(report.test->check);
        for (const ReportTest& other : report.alternatives) checks.push_back(other.check);
        return checks;
    };
    const auto with_meter = [&](const std::vector<std::string>& checks) {
        return std::count_if(checks.begin(), checks.end(), [&](const std::string& id) {
            const std::vector<std::string>& tools = find_check(library, id)->tools;
            return std::find(tools.begin(), tools.end(), "multimeter") != tools.end();
        });
    };
    CHECK(with_meter(tests_named({})) > 0);
    CHECK(with_meter(tests_named({"meter"})) == 0);
    CHECK(with_meter(tests_named({"multimeter"})) == 0);
}

TEST_CASE("planner: a case says who is at work, also when it is diagnosed again") {
    const Library& library = household()->library();
    const auto tests_named = [&](const std::string& may) {
        Case the_case;
        the_case.job.may = may;
        Reading silent;
        silent.check = "compressor-run";
        silent.outcomes = {"hums-and-trips"};
        the_case.readings = {silent};
        const Report report = diagnose(fit_to_unit(household(), the_case.unit), the_case, plan_options(library));
        std::vector<Who> who;
        if (report.action == Action::test) who.push_back(find_check(library, report.test->check)->who);
        for (const ReportTest& other : report.alternatives) who.push_back(find_check(library, other.check)->who);
        return who;
    };
    const auto highest = [](const std::vector<Who>& who) { return *std::max_element(who.begin(), who.end()); };
    REQUIRE_FALSE(tests_named("anyone").empty());
    CHECK(highest(tests_named("anyone")) == Who::anyone);
    CHECK(highest(tests_named("technician")) == Who::technician);
    CHECK(highest(tests_named("")) == Who::technician);
}
