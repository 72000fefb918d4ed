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
