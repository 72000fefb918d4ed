#include <string>

#include "frostread/files.hpp"
#include "support/builders.hpp"
#include "support/catch.hpp"

using namespace frostread;
using namespace frostread::test;

namespace {

const Library& tiny() {
    static const Library library = tiny_library();
    return library;
}

/// What is said of a case with this list of readings, which begins in line 2.
std::string said_of_readings(const std::string& readings) {
    const Result<Case> result =
        read_case("{ \"frostread\": 1, \"readings\": [\n" + readings + "\n] }", "bad.json", tiny());
    CHECK(result.has_value() != has_errors(result.diagnostics()));
    return to_lines(result.diagnostics());
}

std::string said_of(const std::string& text) {
    const Result<Case> result = read_case(text, "bad.json", tiny());
    CHECK(result.has_value() != has_errors(result.diagnostics()));
    return to_lines(result.diagnostics());
}

}  // namespace

TEST_CASE("a case is read with words resolved and quantities in the check's own unit") {
    const Case c = case_from_text(R"({ "frostread": 1, "case": "mill-lane",
      "unit": { "cooling": "air", "age_years": 11, "charge_g": "2 oz" },
      "readings": [ { "check": "fz", "value": "14 °F", "at": "2031-04-17T09:12:00Z", "origin": "logger 2" },
                    { "check": "fan", "value": "sto", "sure": false, "note": "with the switch held" },
                    { "check": "heater", "value": 22 },
                    { "check": "heater", "value": "open" },
                    { "check": "freezer-temp", "value": "recommended", "after": { "ran-24h": true } },
                    { "check": "complaint", "value": ["warm", "noisy"] },
                    { "check": "complaint", "value": "warm, noisy" },
                    { "check": "heater", "skipped": "no meter" } ],
      "job": { "open": ["panel"], "power": "off", "cannot": ["meter", "fan"] },
      "closed": { "found": ["charge-low:slight", "nofan"], "remedy": "retired",
                  "proof": [ { "check": "fan", "value": "ok" } ] } })",
                                  tiny());
    CHECK(c.id == "mill-lane");
    CHECK(c.unit.words.at("cooling") == "fan");
    CHECK(c.unit.numbers.at("age_years") == Approx(11.0));
    CHECK(c.unit.numbers.at("charge_g") == Approx(56.69904625));
    REQUIRE(c.readings.size() == 8);
    CHECK(c.readings[0].check == "freezer-temp");
    CHECK(*c.readings[0].value == Approx(-10.0));
    CHECK(c.readings[0].typed == "14 °F");
    CHECK(c.readings[0].at == "2031-04-17T09:12:00Z");
    CHECK(c.readings[0].origin == "logger 2");
    CHECK(c.readings[1].outcomes == std::vector<std::string>{"stopped"});
    CHECK_FALSE(c.readings[1].sure);
    CHECK(*c.readings[2].value == Approx(22.0));
    CHECK(c.readings[2].typed == "22 Ω");
    CHECK(c.readings[3].outcomes == std::vector<std::string>{"open"});
    CHECK_FALSE(c.readings[3].value);
    CHECK(*c.readings[4].value == Approx(-18.0));
    CHECK(c.readings[4].after.at("ran-24h"));
    CHECK(c.readings[5].outcomes == std::vector<std::string>{"warm", "noisy"});
    CHECK(c.readings[6].outcomes == std::vector<std::string>{"warm", "noisy"});
    CHECK(c.readings[7].skipped == "no meter");
    CHECK(c.job.open_areas == std::vector<std::string>{"panel"});
    CHECK(c.job.power == "off");
    CHECK(c.job.cannot == std::vector<std::string>{"meter", "fan"});
    REQUIRE(c.closed);
    CHECK(c.closed->found == std::vector<std::string>{"charge-low:slight", "fan-stopped"});
    CHECK(c.closed->remedy == "retired");
    CHECK(c.closed->proof.at(0).outcomes == std::vector<std::string>{"blows"});
}

TEST_CASE("reading and writing a case is stable and keeps what is not known") {
    const std::string text = R"({ "frostread": 1, "shop": { "bay": [1, 2.50, 1e400], "name": "a \"b\" \u00e9" },
      "unit": { "cooling": "plate", "charge_g": "1.8 oz", "serial": "0012" },
      "readings": [ { "check": "freezer-temp", "value": -12.50, "by": { "who": "me" } },
                    { "check": "complaint", "value": ["noisy"], "after": { "ran-24h": false } } ],
      "job": { "power": "on", "van": 3 },
      "closed": { "found": [], "note": "nothing", "signed": null } })";
    const Case first = case_from_text(text, tiny());
    for (const int indent : {2, 0, -1}) {
        CAPTURE(indent);
        const std::string written = write_case(first, indent);
        const Case again = case_from_text(written, tiny());
        CHECK(write_case(again, indent) == written);
        CHECK((written.find('\n') == std::string::npos) == (indent < 0));
    }
    CHECK(write_case(first) == R"({
  "frostread": 1,
  "unit": { "cooling": "plate", "charge_g": 51.029141625, "serial": "0012" },
  "readings": [
    { "check": "freezer-temp", "value": "-12.50 °C", "by": { "who": "me" } },
    { "check": "complaint", "value": "noisy", "after": { "ran-24h": false } }
  ],
  "job": { "power": "on", "van": 3 },
  "closed": {
    "found": [],
    "note": "nothing",
    "signed": null
  },
  "shop": { "bay": [ 1, 2.50, 1e400 ], "name": "a \"b\" \u00e9" }
}
)");
    CHECK(
        write_case(first, -1) ==
        R"({"frostread":1,"unit":{"cooling":"plate","charge_g":51.029141625,"serial":"0012"},"readings":[)"
        R"({"check":"freezer-temp","value":"-12.50 °C","by":{"who":"me"}},)"
        R"({"check":"complaint","value":"noisy","after":{"ran-24h":false}}],"job":{"power":"on","van":3},)"
        R"("closed":{"found":[],"note":"nothing","signed":null},"shop":{"bay":[1,2.50,1e400],"name":"a \"b\" \u00e9"}})");
}

TEST_CASE("every wrong reading is named with its place, all at once") {
    CHECK(said_of_readings(R"({ "check": "fna", "value": "blows" },
{ "check": "freezer-temp", "value": "12 ohm" },
{ "check": "freezer-temp", "value": "200 F" },
{ "check": "freezer-temp", "value": "warm" },
{ "check": "freezer-temp", "value": "12 fahrenhiet" },
{ "check": "freezer-temp", "value": true },
{ "check": "fan", "value": "blosw" },
{ "check": "fan", "value": "s" },
{ "check": "fan", "value": 3 },
{ "check": "fan", "value": ["blows", "slow"] },
{ "check": "fan", "value": "" },
{ "check": "f", "value": "blows" },
{ "check": "fan" },
{ "check": "fan", "value": "slow", "skipped": "dark" },
{ "value": "slow" },
{ "check": "complaint", "value": ["none", "warm"] },
{ "check": "complaint", "value": [] },
{ "check": "fan", "value": "slow", "sure": "no" },
{ "check": "fan", "value": "slow", "after": { "ran-2h": true } },
{ "check": "fan", "value": "slow", "after": { "ran-24h": 1 } },
{ "check": "heater", "value": "opne" },
{ "check": "heater", "value": "2 mohm" },
"fan")") == R"(error bad.json:2:12 /readings/0/check unknown-check: no check is named "fna" |  | fan
error bad.json:3:37 /readings/1/value wrong-quantity: freezer-temp takes a temperature, not "12 ohm" |  | 
error bad.json:4:37 /readings/2/value out-of-range: freezer-temp cannot be 200 °F | a value from -76 °F to 140 °F | 
error bad.json:5:37 /readings/3/value not-a-number: freezer-temp takes a temperature, not "warm" | a temperature, such as 15 °F or -9 °C, or recommended | 
error bad.json:6:37 /readings/4/value unknown-unit: no unit is named "fahrenhiet" | a temperature, such as 15 °F or -9 °C | fahrenheit
error bad.json:7:37 /readings/5/value wrong-type: the value of freezer-temp is true or false | a quantity | 
error bad.json:8:28 /readings/6/value unknown-outcome: fan has no outcome "blosw" | blows, slow or stopped | blows
error bad.json:9:28 /readings/7/value ambiguous-name: "s" fits slow and stopped | more letters | 
error bad.json:10:28 /readings/8/value wrong-type: the value of fan is a number | blows, slow or stopped | 
error bad.json:11:28 /readings/9/value wrong-type: fan takes one value, not a list | blows, slow or stopped | 
error bad.json:12:28 /readings/10/value empty-text: fan has no value | blows, slow or stopped | 
error bad.json:13:12 /readings/11/check ambiguous-name: "f" fits freezer-temp and fan | more letters | 
error bad.json:14:1 /readings/12 missing-key: this reading has no "value" | "value": what was found, or "skipped": why not | 
error bad.json:15:36 /readings/13/skipped value-and-skipped: a reading has a value and is skipped | one of the two | 
error bad.json:16:1 /readings/14 missing-key: this reading has no "check" | "check": the id of a check | 
error bad.json:17:34 /readings/15/value contradiction: complaint cannot be none and something else | none alone, or what was found | 
error bad.json:18:34 /readings/16/value wrong-type: the value of complaint is an empty list | none, warm or noisy | 
error bad.json:19:44 /readings/17/sure wrong-type: "sure" is a text | true or false | 
error bad.json:20:47 /readings/18/after/ran-2h unknown-condition: no condition is named "ran-2h" |  | ran-24h
error bad.json:21:58 /readings/19/after/ran-24h wrong-type: ran-24h is a number | true when it held, false when it did not | 
error bad.json:22:31 /readings/20/value unknown-outcome: heater has no outcome "opne" | shorted, sound or open, or a quantity | open
error bad.json:23:31 /readings/21/value unknown-unit: no unit is named "mohm" | a resistance, such as 22 ohm or 1.2 kohm | Mohm for a million, milliohm for a thousandth
error bad.json:24:1 /readings/22 wrong-type: a text stands where a reading belongs | an object { … } | 
)");
}

TEST_CASE("wrong documents, units, jobs and closings are named with their place") {
    CHECK(said_of("[]") == "error bad.json:1:1  wrong-type: a list stands where a case belongs | an object { … } | \n");
    CHECK(said_of("{}") == "error bad.json:1:1  missing-key: this case has no \"frostread\" | \"frostread\": 1 | \n");
    CHECK(
        said_of("{ \"frostread\": 2 }") ==
        "error bad.json:1:16 /frostread format-too-new: this case has format 2 | at most format 1, which this program "
        "reads | use a newer program\n");
    CHECK(said_of("{ \"frostread\": \"1\" }") ==
          "error bad.json:1:16 /frostread bad-format: \"frostread\" is \"1\" | 1 | \n");
    CHECK(said_of(R"({ "frostread": 1, "unit": { "cooling": "fna", "age_years": 99, "charge_g": "3 V" } })") ==
          "error bad.json:1:40 /unit/cooling unknown-value: cooling has no value \"fna\" | fan or plate | fan\n"
          "error bad.json:1:60 /unit/age_years out-of-range: age_years cannot be 99 | a value from 0 to 60 | \n"
          "error bad.json:1:76 /unit/charge_g wrong-quantity: charge_g takes a mass, not \"3 V\" |  | \n");
    CHECK(said_of(R"({ "frostread": 1, "job": { "open": ["pnael"], "power": "of", "cannot": ["metre"] } })") ==
          "error bad.json:1:37 /job/open/0 unknown-area: no area is named \"pnael\" |  | panel\n"
          "error bad.json:1:56 /job/power unknown-word: \"power\" is \"of\" | on or off | on\n"
          "error bad.json:1:73 /job/cannot/0 unknown-check: no check is named \"metre\" | meter, helper, licence or a "
          "check | meter\n");
    CHECK(said_of(R"({ "frostread": 1, "closed": { "found": ["charge-lwo", "charge-low:slihgt", "fan-iced:a"] } })") ==
          "error bad.json:1:41 /closed/found/0 unknown-fault: no fault is named \"charge-lwo\" |  | charge-low\n"
          "error bad.json:1:55 /closed/found/1 unknown-grade: charge-low has no grade \"slihgt\" | slight or lost | "
          "slight\n"
          "error bad.json:1:76 /closed/found/2 unknown-grade: fan-iced has no grade \"a\" | the fault alone: it has no "
          "grades | \n");
}

TEST_CASE("a slip of a known key is kept and warned of, a stranger is kept in silence") {
    const Result<Case> result =
        read_case(R"({ "frostread": 1, "raedings": [], "unit": { "colling": "fan", "serial": 3 }, "x-shop": 1 })",
                  "c.json", tiny());
    REQUIRE(result.has_value());
    CHECK(
        to_lines(result.diagnostics()) ==
        "warning c.json:1:19 /raedings unknown-key: a case has no key \"raedings\"; it is kept and not used |  | "
        "readings\n"
        "warning c.json:1:45 /unit/colling unknown-trait: no trait is named \"colling\"; it is kept and not used |  | "
        "cooling\n");
    CHECK(result->unknown == R"({"raedings":[],"x-shop":1})");
    CHECK(result->unit_unknown == R"({"colling":"fan","serial":3})");
}

TEST_CASE("readings and traits typed on the command line") {
    const auto read = [](const char* check, const char* value, UnitPreference bare = UnitPreference::si) {
        Result<Reading> result = parse_reading(check, value, tiny(), bare);
        CAPTURE(check, value);
        if (!result.has_value()) FAIL(to_lines(result.diagnostics()));
        return std::move(result).value();
    };
    CHECK(*read("fz", "14F").value == Approx(-10.0));
    CHECK(*read("fz", "14", UnitPreference::us).value == Approx(-10.0));
    CHECK(read("fz", "14", UnitPreference::us).typed == "14 °F");
    CHECK(*read("fz", "-10", UnitPreference::si).value == Approx(-10.0));
    CHECK(*read("heater", "22", UnitPreference::us).value == Approx(22.0));
    CHECK(read("fan", "slow?").outcomes == std::vector<std::string>{"slow"});
    CHECK_FALSE(read("fan", "slow ?").sure);
    CHECK(read("fan", "slow").sure);
    CHECK(read("comp", "warm,noisy").outcomes == std::vector<std::string>{"warm", "noisy"});

    const Place place{"", "", 0, 0, "fz=12 V"};
    const Result<Reading> refused = parse_reading("fz", "12 V", tiny(), UnitPreference::si, place);
    REQUIRE_FALSE(refused.has_value());
    CHECK(refused.diagnostics().at(0).what == "freezer-temp takes a temperature, not \"12 V\"");
    CHECK(refused.diagnostics().at(0).place.source_line == "fz=12 V");
    CHECK(parse_reading("frezer-temp", "1 C", tiny(), UnitPreference::si).diagnostics().at(0).suggestion ==
          "freezer-temp");

    UnitTraits unit;
    CHECK(parse_trait("coils", "pl", tiny(), unit).empty());
    CHECK(parse_trait("age", "11 years", tiny(), unit).empty());
    CHECK(unit.words.at("cooling") == "plate");
    CHECK(unit.numbers.at("age_years") == Approx(11.0));
    CHECK(to_lines(parse_trait("colour", "red", tiny(), unit)) ==
          "error :0:0  unknown-trait: no trait is named \"colour\" |  | \n");
    CHECK(parse_trait("cooling", "red", tiny(), unit).at(0).id == "unknown-value");
    CHECK(unit.words.size() == 1);
}
