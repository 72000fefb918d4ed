// A reading after which the unit stays without power: the earthed winding, the wrong supply, gas in the air.
#include <algorithm>

#include "frostread/planner.hpp"
#include "frostread/present.hpp"
#include "frostread/report.hpp"
#include "support/catch.hpp"
#include "support/household.hpp"
#include "support/readings.hpp"

using namespace frostread;
using namespace frostread::test;

namespace {

Case with(std::vector<Reading> readings) {
    Case the_case;
    the_case.unit.words = {
        {"layout", "freezer-top"}, {"refrigerant", "R-600a"}, {"control", "mechanical"}, {"compressor", "fixed-speed"}};
    the_case.readings = std::move(readings);
    return the_case;
}

bool needs_power(const std::string& check) {
    return find_check(compiled_household()->library(), check)->power == Power::on;
}

bool has_caution(const std::vector<ReportCaution>& cautions, const std::string& id) {
    return std::any_of(cautions.begin(), cautions.end(), [&](const ReportCaution& one) { return one.id == id; });
}

std::string unwrapped(const std::string& text) {
    std::string out;
    for (const char c : text)
        if (c != '\n' && (c != ' ' || out.empty() || out.back() != ' '))
            out += c;
        else if (c == '\n' && !out.empty() && out.back() != ' ')
            out += ' ';
    return out;
}

}  // namespace

TEST_CASE("keep off: a supply far above the plate ends the call, with an electrician and no plug") {
    Case the_case = with({look("complaint", "short-runs"), look("noise", "loud-hum"), gauge("supply-voltage", 262.0)});
    the_case.unit.numbers["rated_volts"] = 230.0;
    const Report report = household_report(the_case);
    REQUIRE(report.action == Action::repair);
    CHECK(report.repair->fault == "supply-too-high");
    CHECK(report.plug_stays_out);
    the_case.readings.back().value = 232.0;
    CHECK(household_report(the_case).action == Action::test);
}

TEST_CASE("keep off: after an earthed winding nothing that needs power is proposed, and every form says why") {
    Reading insulation = gauge("winding-to-shell", 0.1);
    const Case the_case = with({look("compressor-run", "silent"), insulation});
    const Report report = household_report(the_case);
    CHECK(has_caution(report.cautions, "live-shell"));
    CHECK(report.plug_stays_out);
    for (const std::string& form : {to_text(report), to_html(report), to_json(report)})
        CHECK(unwrapped(form).find("the shell and the cabinet are live") != std::string::npos);
    std::vector<ReportTest> proposed = report.alternatives;
    if (report.test) proposed.push_back(*report.test);
    REQUIRE_FALSE(proposed.empty());
    for (const ReportTest& test : proposed) {
        INFO(test.check);
        CHECK_FALSE(needs_power(test.check));
        for (const std::string& also : test.also) CHECK_FALSE(needs_power(also));
        CHECK(std::find(test.cautions.begin(), test.cautions.end(), "live-shell") != test.cautions.end());
    }
    // A sound one forbids nothing.
    insulation.value = 200.0;
    const Report sound = household_report(with({look("compressor-run", "silent"), insulation}));
    CHECK_FALSE(sound.plug_stays_out);
    CHECK_FALSE(has_caution(sound.cautions, "live-shell"));
}

TEST_CASE("keep off: a supply above the plate comes before every other thought") {
    Case the_case = with({gauge("supply-voltage", 230.0)});
    the_case.unit.numbers["rated_volts"] = 120.0;
    CHECK(has_caution(household_report(the_case).cautions, "over-voltage"));
    the_case.unit.numbers["rated_volts"] = 230.0;
    CHECK_FALSE(has_caution(household_report(the_case).cautions, "over-voltage"));
}

TEST_CASE("keep off: a breaker that trips keeps the unit off until its parts are measured to metal") {
    Reading trips;
    trips.check = "complaint";
    trips.outcomes = {"trips-breaker"};
    Case the_case = with({trips});
    the_case.unit.words["defrost"] = "automatic";
    the_case.unit.words["cooling"] = "one-evaporator";
    Report report = household_report(the_case);
    CHECK(has_caution(report.cautions, "breaker-trips"));
    REQUIRE(report.test);
    CHECK_FALSE(needs_power(report.test->check));
    the_case.readings.push_back(gauge("winding-to-shell", 200.0));
    CHECK(has_caution(household_report(the_case).cautions, "breaker-trips"));
    the_case.readings.push_back(gauge("heater-to-metal", 200.0));
    CHECK_FALSE(has_caution(household_report(the_case).cautions, "breaker-trips"));
}

TEST_CASE("a test of a running unit first closes what is open elsewhere") {
    Case the_case =
        with({gauge("freezer-temp", -9.0), gauge("fridge-temp", 5.0), look("evaporator-frost", "inlet-only")});
    for (Reading& reading : the_case.readings) reading.after["ran-24h"] = true;
    the_case.unit.words["cooling"] = "one-evaporator";
    the_case.unit.words["defrost"] = "automatic";
    the_case.unit.numbers["worth"] = 400.0;
    the_case.job.open_areas = {"freezer-panel"};
    the_case.job.power = "off";
    const Report report = household_report(the_case);
    REQUIRE(report.test);
    REQUIRE(report.test->check == "drier-line");
    CHECK(report.test->steps.front().find("Close up what is open (behind the freezer panel)") == 0);
    the_case.job.open_areas.clear();
    for (const ReportTest& test : household_report(the_case).alternatives)
        for (const std::string& step : test.steps) CHECK(step.find("Close up what is open") == std::string::npos);
}

TEST_CASE("keep off: whoever hands a flammable leak over leaves the plug out") {
    Case the_case = with({gauge("freezer-temp", -8.0), gauge("fridge-temp", 12.0),
                          look("evaporator-frost", "inlet-only"), look("leak-detector", "alarms")});
    the_case.unit.numbers["worth"] = 600.0;
    the_case.unit.words["cooling"] = "one-evaporator";
    the_case.job.open_areas = {"freezer-panel"};
    the_case.job.power = "off";
    const Report report = household_report(the_case);
    REQUIRE(report.action == Action::refer);
    for (const std::string& form : {to_text(report), to_html(report)}) {
        CHECK(unwrapped(form).find("then leave the plug out") != std::string::npos);
        CHECK(unwrapped(form).find("put the plug back in") == std::string::npos);
    }
}

TEST_CASE("keep off: a unit that is given up is emptied of its refrigerant first") {
    Case the_case = with({look("compressor-run", "hums-and-trips"), look("start-device", "good"),
                          look("overload", "closed"), gauge("supply-voltage", 120.0), gauge("winding-to-shell", 200.0),
                          look("winding-resistance", "run-open")});
    the_case.unit.numbers["rated_volts"] = 120.0;
    the_case.unit.numbers["worth"] = 40.0;
    const Report report = household_report(the_case);
    REQUIRE(report.action == Action::retire);
    CHECK(has_caution(report.cautions, "never-vent"));
}
