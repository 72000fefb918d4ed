// What must hold before a reading: what was said is not asked again, and nobody waits for what cannot come about.
#include <algorithm>

#include "frostread/planner.hpp"
#include "frostread/report.hpp"
#include "frostread/session.hpp"
#include "support/catch.hpp"
#include "support/household.hpp"
#include "support/readings.hpp"

using namespace frostread;
using namespace frostread::test;

namespace {

const Library& library() {
    return compiled_household()->library();
}

/// These readings, and everything passed over but what `wanted` picks, so that it stands among the proposals.
template <class Wanted>
Case only(const std::vector<Reading>& readings, const Wanted& wanted) {
    Case the_case;
    the_case.unit.words = {{"layout", "freezer-top"}, {"cooling", "one-evaporator"}, {"condenser", "forced-air"}};
    for (const Check& check : library().checks) {
        if (wanted(check)) continue;
        Reading skipped;
        skipped.check = check.id;
        skipped.skipped = "passed over";
        the_case.readings.push_back(skipped);
    }
    the_case.readings.insert(the_case.readings.end(), readings.begin(), readings.end());
    return the_case;
}

std::vector<ReportTest> proposed(const Report& report) {
    std::vector<ReportTest> tests = report.alternatives;
    if (report.test) tests.push_back(*report.test);
    return tests;
}

bool proposes(const Report& report, const std::string& check) {
    const std::vector<ReportTest> tests = proposed(report);
    return std::any_of(tests.begin(), tests.end(), [&](const ReportTest& test) { return test.check == check; });
}

Reading with_after(Reading reading, bool held) {
    reading.after["ran-24h"] = held;
    return reading;
}

bool is_hours(const Check& check) {
    return check.id == "hours-running";
}

/// It must wait for the compressor to run.
bool after_running(const Check& check) {
    return std::find(check.after.begin(), check.after.end(), "running-10min") != check.after.end();
}

}  // namespace

TEST_CASE("conditions: the hours are not asked for once it was said that a day has passed") {
    const Reading warm = gauge("freezer-temp", -9.0);
    CHECK(proposes(household_report(only({warm}, is_hours)), "hours-running"));
    CHECK_FALSE(proposes(household_report(only({with_after(warm, true)}, is_hours)), "hours-running"));
    // That it did not hold leaves open how long it was.
    CHECK(proposes(household_report(only({with_after(warm, false)}, is_hours)), "hours-running"));
}

TEST_CASE("conditions: what was said before anything was read is known as well") {
    const auto either = [](const Check& check) { return is_hours(check) || check.id == "freezer-temp"; };
    const auto after_saying = [&](std::optional<bool> held) {
        SessionOptions options;
        options.plan = plan_options(library());
        Session session(compiled_household(), only({}, either), options);
        Event event;
        event.kind = Event::Kind::held;
        event.name = "ran-24h";
        if (held) {
            event.yes = *held;
            session.step({event});
        }
        return session.view().report;
    };
    const Report asks = after_saying(std::nullopt), knows = after_saying(true), denies = after_saying(false);
    CHECK(proposes(asks, "hours-running"));
    CHECK_FALSE(proposes(knows, "hours-running"));
    REQUIRE(proposes(knows, "freezer-temp"));
    for (const ReportTest& test : proposed(knows)) CHECK(test.wait_minutes == 0.0);
    for (const ReportTest& test : proposed(denies))
        if (test.check == "freezer-temp") CHECK(test.wait_minutes > 0.0);
}

TEST_CASE("conditions: nobody waits for a silent compressor to have run") {
    const auto some = [](const Report& report) {
        const std::vector<ReportTest> tests = proposed(report);
        return std::count_if(tests.begin(), tests.end(),
                             [](const ReportTest& test) { return after_running(*find_check(library(), test.check)); });
    };
    CHECK(some(household_report(only({look("compressor-run", "runs-always")}, after_running))) > 0);
    for (const char* outcome : {"silent", "hums-and-trips"}) {
        INFO(outcome);
        CHECK(some(household_report(only({look("compressor-run", outcome)}, after_running))) == 0);
    }
    // Who is not sure that it is silent may still find it running.
    Reading unsure = look("compressor-run", "silent");
    unsure.sure = false;
    CHECK(some(household_report(only({unsure}, after_running))) > 0);
    // Nor for a day of running, when it is known that it has not stood that long.
    const auto freezer = [](const Check& check) { return check.id == "freezer-temp"; };
    const std::vector<Reading> new_and_silent = {gauge("hours-running", 3.0), look("compressor-run", "silent")};
    CHECK_FALSE(proposes(household_report(only(new_and_silent, freezer)), "freezer-temp"));
    const std::vector<Reading> old_and_silent = {gauge("hours-running", 100.0), look("compressor-run", "silent")};
    for (const ReportTest& test : proposed(household_report(only(old_and_silent, freezer))))
        CHECK(test.wait_minutes == 0.0);
}
