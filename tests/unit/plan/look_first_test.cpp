// What comes before a panel is opened, and what is told before a panel is turned away from.
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

/// Ice on the panel and no air: the heater behind it is the test of choice.
Case iced() {
    Case the_case;
    the_case.unit.words = {
        {"layout", "freezer-top"}, {"defrost", "automatic"}, {"cooling", "one-evaporator"}, {"control", "mechanical"}};
    the_case.readings = {look("complaint", "freezer-warm"), look("freezer-panel-frost", "sheet"),
                         look("recovers-after-stop", "yes"), look("fridge-airflow", "none"),
                         look("freezer-fan", "blows")};
    return the_case;
}

bool opens_the_panel(const Report& report) {
    return report.test && std::count(report.test->opens.begin(), report.test->opens.end(), "freezer-panel") > 0;
}

bool warns_of_a_live_panel(const Report& report) {
    return report.test && std::count(report.test->cautions.begin(), report.test->cautions.end(), "live-panel") > 0;
}

}  // namespace

TEST_CASE("planner: nobody opens the freezer panel before a thermometer was read") {
    Case the_case = iced();
    const Report before = household_report(the_case);
    REQUIRE(before.action == Action::test);
    CHECK((before.test->check == "freezer-temp" || before.test->check == "fridge-temp"));
    CHECK(before.because.find("before anything is opened") != std::string::npos);
    CHECK_FALSE(before.alternatives.empty());

    the_case.readings.push_back(gauge("freezer-temp", -8.0));
    CHECK(opens_the_panel(household_report(the_case)));
    // Who has no thermometer is not kept from the panel.
    the_case = iced();
    the_case.job.cannot = {"thermometer"};
    CHECK(opens_the_panel(household_report(the_case)));
    // What is open is open.
    the_case = iced();
    the_case.job.open_areas = {"freezer-panel"};
    const Report open = household_report(the_case);
    REQUIRE(open.test);
    CHECK(open.because.find("before anything is opened") == std::string::npos);
}

TEST_CASE("a test elsewhere comes with a word about the panel that is off while the mains is on") {
    Case the_case = iced();
    the_case.readings.push_back(gauge("freezer-temp", -8.0));
    the_case.readings.push_back(look("defrost-heater", "agrees"));
    the_case.readings.push_back(look("defrost-terminator", "closed-cold"));
    the_case.readings.push_back(look("evaporator-frost", "light-even"));
    the_case.job.open_areas = {"freezer-panel"};
    std::size_t elsewhere = 0;
    for (const char* power : {"on", "off"}) {
        the_case.job.power = power;
        const Report report = household_report(the_case);
        if (!report.test) continue;
        const Check& check = *find_check(compiled_household()->library(), report.test->check);
        const bool inside = std::count(check.areas.begin(), check.areas.end(), "freezer-panel") > 0;
        INFO(power << " " << check.id);
        CHECK(warns_of_a_live_panel(report) == (!inside && the_case.job.power == "on"));
        if (warns_of_a_live_panel(report)) {
            ++elsewhere;
            CHECK(to_text(report).find("pull the plug before you turn") != std::string::npos);
        }
    }
    CHECK(elsewhere == 1);
}

TEST_CASE("a proof is one that the unit can show, and there always is one") {
    Case the_case;
    the_case.unit.words = {{"layout", "chest-freezer"}, {"defrost", "manual"}, {"cooling", "plate"}};
    the_case.readings = {look("freezer-gasket", "torn"), look("freezer-wall-frost", "near-door")};
    const Report report = household_report(the_case);
    REQUIRE(report.repair);
    CHECK(report.repair->fault == "gasket-leak");
    REQUIRE_FALSE(report.repair->proof.empty());
    for (const std::string& proof : report.repair->proof) CHECK(proof.find("Fresh-food") == std::string::npos);
}
