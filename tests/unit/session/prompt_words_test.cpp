#include "cli/prompt_words.hpp"

#include <algorithm>

#include "frostread/files.hpp"
#include "support/catch.hpp"

// Shorthand of a service call, against the rules in the program: what people type is a promise.

namespace {

using namespace frostread;

const Library& household() {
    static const Library library = load_library(embedded_library_sources()).value();
    return library;
}

/// "check=value …" of what was understood, then each problem.
std::string understood(const std::string& line, UnitPreference units = UnitPreference::si) {
    const cli::Understood got = cli::read_words(line, household(), units);
    std::string out;
    for (const Reading& reading : got.readings) {
        out += (out.empty() ? "" : " ") + reading.check + "=";
        for (const std::string& id : reading.outcomes) out += (out.back() == '=' ? "" : "+") + id;
        if (reading.value) out += std::to_string(*reading.value).substr(0, 6);
        if (!reading.sure) out += "?";
    }
    for (const std::string& problem : got.problems) out += " [" + problem + "]";
    return out;
}

}  // namespace

TEST_CASE("Readings are understood in any order and shorthand", "[prompt]") {
    struct Row {
        const char* typed;
        const char* meant;
    };
    const Row row = GENERATE(
        Row{"fz 14F", "freezer-temp=-10.00"}, Row{"fz 14 F", "freezer-temp=-10.00"},
        Row{"fz=-9C", "freezer-temp=-9.000"}, Row{"fz 14F fr 41F", "freezer-temp=-10.00 fridge-temp=5.0000"},
        Row{"frost inlet", "evaporator-frost=inlet-only"}, Row{"ohm heater 22", "defrost-heater=22.000"},
        Row{"heater 22 ohm", "defrost-heater=22.000"}, Row{"heater 1,2 kohm", "defrost-heater=1200.0"},
        Row{"fan blows, cond clean", "freezer-fan=blows condenser-coil=clean"},
        Row{"fan blows cond clean", "freezer-fan=blows condenser-coil=clean"},
        Row{"the fan is stopped", "freezer-fan=stopped"}, Row{"clean cond", "condenser-coil=clean"},
        Row{"14F fz", "freezer-temp=-10.00"}, Row{"fan blows?", "freezer-fan=blows?"},
        Row{"FZ 14f", "freezer-temp=-10.00"}, Row{"freezer gasket seals", "freezer-gasket=seals"},
        Row{"complaint freezer-warm, runs-always", "complaint=freezer-warm+runs-always"},
        Row{"complaint freezer-warm runs-always fz -9C", "complaint=freezer-warm+runs-always freezer-temp=-9.000"},
        Row{"evaporator frost light even", "evaporator-frost=light-even"},
        Row{"evap-frost-cov 30 %", " [evap-frost-cov? no check is named so.]"},
        Row{"fan blows, frots inlet", "freezer-fan=blows [frots? did you mean evaporator-frost?]"});
    INFO(row.typed);
    CHECK(understood(row.typed) == row.meant);
}

TEST_CASE("A denial is never the beginning of a name, and never its opposite", "[prompt]") {
    for (const char* typed : {"no hum", "no noise", "no display", "display no", "not clean cond"}) {
        INFO(typed);
        CHECK(understood(typed).find('=') == std::string::npos);
    }
    CHECK(understood("no frost") == "evaporator-frost=bare");  // a name of its own
}

TEST_CASE("A number may stand right behind its name, and a word for normal will do", "[prompt]") {
    CHECK(understood("fz15F fr-2C") == "freezer-temp=-9.444 fridge-temp=-2.000");
    CHECK(understood("air normal") == "fridge-airflow=steady");
    CHECK(understood("R-600a").find('=') == std::string::npos);
}

TEST_CASE("Every answer to a check is understood alone once the check was proposed", "[prompt]") {
    for (const Check& check : household().checks)
        for (const Outcome& outcome : check.outcomes) {
            INFO(check.id << " " << outcome.id);
            const auto reading = cli::bare_answer(outcome.id, check, household(), UnitPreference::si);
            REQUIRE(reading);
            CHECK(reading->check == check.id);
            CHECK(reading->outcomes == std::vector<std::string>{outcome.id});
        }
    const auto alone = [](const char* line, const char* check) {
        const auto reading = cli::bare_answer(line, *find_check(household(), check), household(), UnitPreference::si);
        return reading ? reading->check : std::string{};
    };
    CHECK(alone("high?", "power-draw") == "power-draw");
    CHECK(alone("85 W", "power-draw") == "power-draw");
    CHECK(alone("ok", "freezer-fan").empty());
    CHECK(alone("frost", "complaint").empty());  // a check of its own
    CHECK(alone("freezer-warm fridge-warm", "complaint") == "complaint");
}

TEST_CASE("Words of danger call up what to do at once, wherever they stand", "[prompt]") {
    const auto called = [](const char* line) { return cli::cautions_of_alarm(household(), line); };
    CHECK(called("I smell gas!") == std::vector<std::string>{"gas-smelled"});
    CHECK(called("Sparks at the relay, burning smell") == std::vector<std::string>{"smoke-or-sparks"});
    CHECK(called("it tingles") == std::vector<std::string>{"electric-shock"});
    CHECK(called("freezer gasket torn").empty());
    CHECK(called("unit gas=R-134a").empty());
}

TEST_CASE("A list goes on over commas, and what cannot stand in it is told where and why", "[prompt]") {
    const auto cannot = [](const std::string& what, const std::string& after) {
        return " [\"" + what + "\" after \"" + after +
               "\": complaint cannot be none and something else; expected none alone, or what was found.]";
    };
    // What was found stays; the denial behind it does not.
    CHECK(understood("complaint water, none") == "complaint=water" + cannot("none", "complaint water"));
    CHECK(understood("complaint none, water") == "complaint=none" + cannot("water", "complaint none"));
    CHECK(understood("complaint water, none, smell") == "complaint=water+smell" + cannot("none", "complaint water"));
    CHECK(understood("complaint none, none") == "complaint=none");
    // Nobody denies what could not be read, but a further item of the list counts.
    const std::string no_words = understood("complaint it rattles oddly, none");
    CHECK(no_words.starts_with(" [complaint has no outcome \"it rattles oddly\"; expected freezer-warm,"));
    CHECK(no_words.ends_with(cannot("none", "complaint it rattles oddly")));
    CHECK(understood("complaint it rattles oddly, and water").starts_with("complaint=water [complaint has no"));
    CHECK(understood("complaint water, squeaks")
              .starts_with("complaint=water [squeaks? no check is named so. complaint has no outcome \"squeaks\"; "
                           "expected freezer-warm,"));
    CHECK(understood("complaint water, smell none") ==
          "complaint=water [complaint cannot be none and something else; expected none alone, or what was found.]");
    CHECK(understood("complaint water?, smell") == "complaint=water+smell?");
    // Another check ends the list.
    CHECK(understood("complaint water, fan blows, none") ==
          "complaint=water freezer-fan=blows [none? no check is named so.]");
    CHECK(understood("complaint water, frots inlet") == "complaint=water [frots? did you mean evaporator-frost?]");
}

TEST_CASE("A bare number is taken in the person's measure", "[prompt]") {
    CHECK(understood("fz 14", UnitPreference::us) == "freezer-temp=-10.00");
    CHECK(understood("fz -9", UnitPreference::si) == "freezer-temp=-9.000");
}

TEST_CASE("Inside a part it is all or nothing", "[prompt]") {
    const cli::Understood got = cli::read_words("fan blows frots inlet", household(), UnitPreference::si);
    CHECK(got.readings.empty());
    REQUIRE(got.problems.size() == 1);
    CHECK(got.problems[0].find("frots") != std::string::npos);
}

TEST_CASE("Every alias and every id of every check is understood with each of its outcomes", "[prompt]") {
    for (const Check& check : household().checks) {
        std::vector<std::string> names = check.aliases;
        names.push_back(check.id);
        for (const std::string& name : names)
            for (const Outcome& outcome : check.outcomes) {
                INFO(name << " " << outcome.id);
                const cli::Understood got = cli::read_words(name + " " + outcome.id, household(), UnitPreference::si);
                REQUIRE(got.readings.size() == 1);
                CHECK(got.readings[0].check == check.id);
                CHECK(got.readings[0].outcomes == std::vector<std::string>{outcome.id});
            }
    }
}

TEST_CASE("Areas go by a word of their name, faults by the likeliest that fits", "[prompt]") {
    CHECK(cli::meant_area(household(), "panel").id == "freezer-panel");
    CHECK(cli::meant_area(household(), "rear").id == "rear-cover");
    CHECK(cli::meant_area(household(), "attic").id.empty());
    Report report;
    report.faults.resize(2);
    report.faults[0].id = "refrigerant-low";
    report.faults[1].id = "overcharge";
    CHECK(cli::meant_fault(household(), "charge", report).id == "refrigerant-low");
    CHECK_FALSE(cli::meant_fault(household(), "zzz", report).problem.empty());
}

TEST_CASE("Completion offers checks first and outcomes behind a check", "[prompt]") {
    const auto offered = [](const std::string& before) {
        return cli::completions(before, household(), {"next", "note"});
    };
    const auto has = [](const std::vector<std::string>& list, const std::string& word) {
        return std::find(list.begin(), list.end(), word) != list.end();
    };
    CHECK(has(offered("evap"), "evaporator-frost"));
    CHECK(has(offered("ne"), "next"));
    CHECK(offered("frost inl") == std::vector<std::string>{"inlet-only"});
    CHECK(has(offered("fan blows, con"), "condenser-coil"));
    CHECK_FALSE(has(offered("frost "), "condenser-coil"));
}

TEST_CASE("Checks are named without a value, several on a line", "[prompt]") {
    const auto anything = [](const Check&) { return true; };
    const auto ids = [&](const char* line) { return cli::checks_named(line, household(), anything).ids; };
    CHECK(ids("fan, fz fr") == std::vector<std::string>{"freezer-fan", "freezer-temp", "fridge-temp"});
    CHECK(ids("the frost and the cond") == std::vector<std::string>{"evaporator-frost", "condenser-coil"});
    CHECK(ids("cond fan") == std::vector<std::string>{"condenser-fan"});
    CHECK(ids("freezer gasket") == std::vector<std::string>{"freezer-gasket"});
    CHECK(ids("").empty());
    // One part that is not understood keeps none of the others back, and records nothing of its own.
    const cli::NamedChecks slip = cli::checks_named("fan, frots fz, cond", household(), anything);
    CHECK(slip.ids == std::vector<std::string>{"freezer-fan", "condenser-coil"});
    REQUIRE(slip.problems.size() == 1);
    CHECK(slip.problems.front().find("did you mean") != std::string::npos);
    const cli::NamedChecks answered = cli::checks_named("fan blows", household(), anything);
    CHECK(answered.ids.empty());
    CHECK(answered.problems.front().find("name the check alone") != std::string::npos);
}

TEST_CASE("What only one check of the unit can mean is that check", "[prompt]") {
    const auto freezer_only = [](const Check& check) { return !check.id.starts_with("fridge-"); };
    const auto named = [&](const char* line, const auto& on_unit) {
        const cli::NamedChecks got = cli::checks_named(line, household(), on_unit);
        return got.ids.empty() ? got.problems.front() : got.ids.front();
    };
    const auto anything = [](const Check&) { return true; };
    CHECK(named("sensor", anything).find("that fits") != std::string::npos);
    CHECK(named("sensor", freezer_only).find("did you mean freezer-sensor") != std::string::npos);
    const auto no_sensor = [](const Check& check) { return check.id.find("sensor") == std::string::npos; };
    CHECK(named("sensor", no_sensor).find("this unit has no such thing") != std::string::npos);
}

TEST_CASE("A fault for a verdict is never guessed among several", "[prompt]") {
    const auto any = [](const Fault&) { return true; };
    CHECK(cli::meant_fault(household(), "refrigerant-low", any).id == "refrigerant-low");
    const cli::Meant two = cli::meant_fault(household(), "damper", any);
    CHECK(two.id.empty());
    CHECK(two.problem.find("damper-stuck-open") != std::string::npos);
    const auto no_damper = [](const Fault& fault) { return fault.id.find("damper") == std::string::npos; };
    CHECK(cli::meant_fault(household(), "damper", no_damper).problem.find("this unit cannot have") !=
          std::string::npos);
}

TEST_CASE("Traits of a unit may be said several at a time", "[prompt]") {
    using Parts = std::vector<std::string>;
    CHECK(cli::split_traits("layout=freezer-top age_years=11") == Parts{"layout=freezer-top", "age_years=11"});
    CHECK(cli::split_traits("layout freezer-top, age_years 11 years") ==
          Parts{"layout freezer-top", "age_years 11 years"});
    CHECK(cli::split_traits("charge_g=52 g refrigerant=R-600a") == Parts{"charge_g=52 g", "refrigerant=R-600a"});
    CHECK(cli::split_traits("control = mechanical") == Parts{"control = mechanical"});
    CHECK(cli::split_traits("  ; ,").empty());
}
