#include <algorithm>
#include <string>

#include "files/library_draft.hpp"
#include "frostread/compiled_library.hpp"
#include "frostread/files.hpp"
#include "support/builders.hpp"
#include "support/catch.hpp"

using namespace frostread;
using namespace frostread::test;

namespace {

/// What is said when one place of the tiny library is changed.
std::string said_after(std::string_view file, std::string_view before, std::string_view after) {
    std::vector<SourceText> sources = tiny_sources();
    replace(sources, file, before, after);
    const Result<Library> result = load_library(sources, "r/");
    CHECK(result.has_value() != has_errors(result.diagnostics()));
    std::string lines = to_lines(result.diagnostics());
    return lines;
}

/// Only the parts that do not depend on where the line stands: "pointer id: what | expected | suggestion".
std::string complaint_of(std::string_view file, std::string_view before, std::string_view after) {
    const std::string lines = said_after(file, before, after);
    std::string out;
    std::size_t at = 0;
    while (at < lines.size()) {
        const std::size_t end = lines.find('\n', at);
        const std::string line = lines.substr(at, end - at);
        const std::string head = "error r/" + std::string(file) + ":";
        INFO(line);
        CHECK(line.rfind(head, 0) == 0);
        const std::size_t space = line.find(' ', head.size());
        CHECK(line.substr(head.size(), space - head.size()).find("0:") != 0);  // a line is known
        out += line.substr(space + 1) + "\n";
        at = end + 1;
    }
    return out;
}

constexpr const char* kLib = "library.json";
constexpr const char* kChecks = "checks/tiny.json";
constexpr const char* kFaults = "faults/tiny.json";

}  // namespace

TEST_CASE("a small library loads as it was written") {
    const Library library = tiny_library();
    CHECK(library.format == 1);
    CHECK(library.name == "tiny");
    CHECK(library.scale.size() == 2);
    CHECK(library.nothing_wrong == Approx(60.0));
    CHECK(library.traits.at(0).values.at(0).aliases == std::vector<std::string>{"air"});
    CHECK(library.traits.at(1).is_number);
    CHECK(library.traits.at(1).mix.size() == 2);
    CHECK(library.conditions.at(0).known_by == "fan");
    CHECK(library.cautions.at(0).hazard == Hazard::high);
    CHECK(library.places.at(0).id == "bench");

    const Check& temp = *find_check(library, "freezer-temp");
    CHECK(temp.kind == CheckKind::gauge);
    CHECK(temp.place == "bench");
    CHECK(temp.normal.mean == Approx(-18.0));
    CHECK(*temp.high_limit.number == Approx(25.0));
    CHECK_FALSE(temp.low_limit.number);
    CHECK(temp.after == std::vector<std::string>{"ran-24h"});
    const Check& fan = *find_check(library, "fan");
    CHECK(fan.where.all.at(0).any_of == std::vector<std::string>{"fan"});
    CHECK(normal_outcome(fan)->id == "blows");
    CHECK(fan.outcomes.at(1).background == Approx(0.02));
    CHECK(fan.outcomes.at(2).background == Approx(0.01));
    CHECK(normal_outcome(fan)->background == Approx(0.0).margin(1e-12));
    CHECK(*find_check(library, "heater")->outcomes.at(0).upto == Approx(5.0));

    const Fault& stopped = *find_fault(library, "fan-stopped");
    CHECK(stopped.system == "airflow");
    CHECK(stopped.rules.at(0).all_grades->outcomes.at(1).second == Approx(0.25));
    const Fault& low = *find_fault(library, "charge-low");
    CHECK(low.system == "sealed-system");
    CHECK(low.rules.at(0).by_grade.at("lost").shift == Approx(40.0));
    CHECK_FALSE(low.rules.at(0).all_grades);
    CHECK(*low.multipliers.at(0).where.all.at(0).range->min == Approx(8.0));
    CHECK(low.remedy.who == Who::licensed);
    // A shared remedy is the same remedy.
    CHECK(find_fault(library, "fan-iced")->remedy.id == "new-fan");
    CHECK(find_fault(library, "fan-iced")->remedy.steps == stopped.remedy.steps);
}

TEST_CASE("one fault and one check make a library") {
    const std::vector<SourceText> sources = {
        {"library.json", R"({ "frostread_rules": 1, "name": "least", "version": "1",
            "prior": { "nothing_wrong": 60, "something_else": 8, "second_fault": 0.3, "source": "made up" },
            "systems": [ { "id": "airflow", "name": "airflow" } ] })"},
        {"checks/a.json", R"({ "place": "bench", "name": "At the bench", "checks": [
            { "id": "fan", "name": "fan", "question": "Does it blow?", "kind": "look", "steps": ["Look."],
              "normal_looks": "it blows", "minutes": 1, "source": "made up",
              "outcomes": [ { "id": "blows", "name": "blows", "normal": true }, { "id": "still", "name": "still" } ] } ] })"},
        {"faults/a.json", R"({ "system": "airflow", "faults": [
            { "id": "fan-stopped", "name": "fan stopped", "what": "It stands still.", "frequency": 30, "source": "made up",
              "rules": [ { "check": "fan", "outcomes": { "still": 0.9 } } ],
              "remedy": { "id": "new-fan", "name": "fit a fan", "steps": ["Fit it."], "minutes": 30 } } ] })"},
        {"schema/check.schema.json", "this is for editors and not read"}};
    const Library library = library_from_text(sources);
    CHECK(library.checks.size() == 1);
    CHECK(library.faults.size() == 1);
    CHECK(library.economy.labour_per_hour > 0.0);
}

TEST_CASE("a library error names file, line, column, pointer, what and what instead") {
    CHECK(said_after(kLib, R"("id": "plate", "name": "by a plate", "share": 0.3)",
                     R"("id": "plate", "nmae": "by a plate", "share": 0.2)") ==
          "error r/library.json:10:17 /traits/0/values wrong-sum: the shares of cooling sum to 0.9 | a sum of 1 | \n"
          "error r/library.json:11:19 /traits/0/values/1 missing-key: this trait value has no \"name\" | \"name\": a "
          "text | \n"
          "error r/library.json:11:36 /traits/0/values/1/nmae unknown-key: a trait value has no key \"nmae\" |  | "
          "name\n");
}

TEST_CASE("mistakes in library.json") {
    CHECK(
        complaint_of(kLib, "\"frostread_rules\": 1", "\"frostread_rules\": 9") ==
        "/frostread_rules format-too-new: these rules have format 9 | at most format 1, which this program reads | use "
        "a newer program\n");
    CHECK(complaint_of(kLib, "\"second_fault\": 0.3, ", "") ==
          "/prior missing-key: this prior has no \"second_fault\" | \"second_fault\": a number of at least 0 | \n");
    CHECK(complaint_of(kLib, "\"usual\": 0.98", "\"usual\": 1.2") ==
          "/reliability/usual out-of-range: \"usual\" is 1.2 | a number from 0 to 1 | \n");
    CHECK(complaint_of(kLib, "\"usual\": 0.98", "\"usual\": 0.98, \"plain\": 1.2") ==
          "/reliability/plain out-of-range: \"plain\" is 1.2 | a number from 0 to 1 | \n");
    CHECK(complaint_of(kLib, "\"expected\": 0.75", "\"expected\": 1") ==
          "/scale/words/expected out-of-range: the word \"expected\" means 1 | a number between 0 and 1, both left "
          "out | \n");
    CHECK(
        complaint_of(kLib, "\"id\": \"charge_g\"", "\"id\": \"age_years\"") ==
        "/traits/2 duplicate-id: another trait is named \"age_years\" already | a name of its own; the first stands in "
        "r/library.json:12 | \n");
    CHECK(complaint_of(kLib, "\"unit\": \"g\"", "\"unit\": \"gg\"") ==
          "/traits/2/unit unknown-unit: no unit is named \"gg\" | a unit such as \"g\" or \"\" | \n");
    CHECK(complaint_of(kLib, "[5, 1000]", "[1000, 5]") ==
          "/traits/2/range bad-range: \"range\" is [1000, 5] | two rising numbers, such as [0, 100] | \n");
    CHECK(complaint_of(kLib, "\"power\": \"off\"", "\"power\": \"of\"") ==
          "/areas/0/power unknown-word: \"power\" is \"of\" | either, on or off | on\n");
    CHECK(complaint_of(kLib, "\"cautions\": [\"unplug\"]", "\"cautions\": [\"unplgu\"]") ==
          "/areas/0/cautions/0 unknown-caution: no caution is named \"unplgu\" |  | unplug\n");
    CHECK(
        complaint_of(kLib, "{ \"check\": \"fan\", \"outcomes\": [\"blows\"] }", "{ \"check\": \"fan\", \"min\": 3 }") ==
        "/conditions/0/known_by wrong-rule: fan is a look check | \"outcomes\" | \n");
    CHECK(complaint_of(kLib, "[\"blows\"]", "[\"blow\"]") ==
          "/conditions/0/known_by unknown-outcome: fan has no outcome \"blow\" |  | \n");
    const auto ruled_out = [](const std::string& by) {
        return complaint_of(kLib, "\"outcomes\": [\"blows\"] }",
                            "\"outcomes\": [\"blows\"] }, \"ruled_out_by\": " + by);
    };
    CHECK(ruled_out(R"({ "check": "fan", "outcomes": ["stopped"] })").empty());
    CHECK(ruled_out(R"({ "check": "fan", "outcomes": ["stoped"] })") ==
          "/conditions/0/ruled_out_by unknown-outcome: fan has no outcome \"stoped\" |  | stopped\n");
    CHECK(ruled_out(R"({ "check": "fan" })") ==
          "/conditions/0/ruled_out_by wrong-rule: nothing that fan reads rules it out | \"outcomes\" | \n");
    CHECK(ruled_out(R"({ "check": "heater", "outcomes": ["open"] })") ==
          "/conditions/0/ruled_out_by wrong-rule: heater is a banded check | a look check | \n");
}

TEST_CASE("mistakes in a file of checks") {
    CHECK(complaint_of(kChecks, "\"normal\": true, \"aliases\": [\"ok\"]", "\"aliases\": [\"ok\"]") ==
          "/checks/2/outcomes normal-outcome: fan has 0 normal outcomes | exactly one outcome with \"normal\": true | "
          "\n");
    CHECK(
        complaint_of(kChecks, "\"background\": 0.02", "\"background\": 1.5") ==
        "/checks/2/outcomes/1/background out-of-range: the probability 1.5 is not from 0 to 1 | a number from 0 to 1, "
        "or a word of the scale | \n");
    CHECK(
        complaint_of(kChecks, "\"background\": 0.02", "\"background\": \"expcted\"") ==
        "/checks/2/outcomes/1/background unknown-word: no word of the scale is \"expcted\" | a number from 0 to 1, or "
        "expected or uncertain | expected\n");
    CHECK(complaint_of(kChecks, "\"kind\": \"banded\"", "\"kind\": \"bandde\"")
              .find("unknown-word: \"kind\" is "
                    "\"bandde\" | look, several, banded "
                    "or gauge | banded") != std::string::npos);
    CHECK(complaint_of(kChecks, "\"upto\": 100", "\"upto\": 4") ==
          "/checks/3/outcomes/1 bad-band: the band sound ends at 4, below its start at 5 | bands in rising order | \n");
    CHECK(complaint_of(kChecks, ", \"upto\": 100", "") ==
          "/checks/3/outcomes/1 bad-band: the band sound has no \"upto\" | a number where the band ends | \n");
    CHECK(
        complaint_of(kChecks, "\"name\": \"open\"", "\"name\": \"open\", \"upto\": 200") ==
        "/checks/3/outcomes/2 bad-band: the band open has an \"upto\" | none, so that the last band covers the rest | "
        "\n");
    CHECK(complaint_of(kChecks, "\"spread\": 2", "\"spread\": 0") ==
          "/checks/1/normal/spread out-of-range: \"spread\" is 0 | a number above 0 | \n");
    CHECK(complaint_of(kChecks, "\"spread\": 2", "\"spread\": 2, \"relative_to\": \"charge_gg\"") ==
          "/checks/1/normal/relative_to unknown-quantity: nothing with a number is named \"charge_gg\" | a gauge "
          "check, a "
          "number trait or a derived quantity | charge_g\n");
    CHECK(complaint_of(kChecks, "\"high\": 25", "\"high\": { \"check\": \"fan\", \"assumed\": 21 }") ==
          "/checks/1/limits/high wrong-rule: fan is a look check and has no number to limit by | a gauge check | \n");
    CHECK(complaint_of(kChecks, "\"recommended\": -18", "\"recommended\": 99") ==
          "/checks/1/words/recommended out-of-range: the word \"recommended\" means 99 | a number in the range of the "
          "check | \n");
    CHECK(complaint_of(kChecks, "\"unit\": \"degC\"", "\"unit\": \"degD\"") ==
          "/checks/1/unit unknown-unit: no unit is named \"degD\" | a unit such as \"degC\", \"K\", \"ohm\", \"W\", "
          "\"kPa\", \"%\", \"h\" or \"V\" | \n");
    CHECK(complaint_of(kChecks, "\"superseded_by\": [\"freezer-temp\"]", "\"superseded_by\": [\"frezer-temp\"]") ==
          "/checks/0/outcomes/1/superseded_by/0 unknown-check: no check is named \"frezer-temp\" |  | freezer-temp\n");
    CHECK(complaint_of(kChecks, "\"after\": [\"ran-24h\"]", "\"after\": [\"ran-24\"]") ==
          "/checks/1/after/0 unknown-condition: no condition is named \"ran-24\" |  | ran-24h\n");
    CHECK(complaint_of(kChecks, "\"areas\": [\"panel\"]", "\"areas\": [\"panle\"]") ==
          "/checks/3/areas/0 unknown-area: no area is named \"panle\" |  | panel\n");
    CHECK(complaint_of(kChecks, "\"where\": { \"cooling\": \"fan\" }", "\"where\": { \"cooling\": \"fna\" }") ==
          "/checks/2/where/cooling unknown-value: cooling has no value \"fna\" | fan or plate | fan\n");
    CHECK(complaint_of(kChecks, "\"where\": { \"cooling\": \"fan\" }", "\"where\": { \"coolin\": \"fan\" }") ==
          "/checks/2/where/coolin unknown-trait: no trait is named \"coolin\" |  | cooling\n");
    CHECK(
        complaint_of(kChecks, "\"aliases\": [\"fz\"]", "\"aliases\": [\"fan\"]") ==
        "/checks/1/aliases alias-clash: the alias \"fan\" of freezer-temp is taken by the check fan | an alias of its "
        "own | \n");
    CHECK(
        complaint_of(kChecks, "\"aliases\": [\"fz\"]", "\"aliases\": [\"freezertemp\"]") ==
        "/checks/1/aliases alias-too-long: the alias \"freezertemp\" is longer than 8 letters | a short word for quick "
        "typing | \n");
    CHECK(complaint_of(kChecks, "\"aliases\": [\"ok\"]", "\"aliases\": [\"slow\"]") ==
          "/checks/2/outcomes/0 alias-clash: the alias \"slow\" of blows is taken by slow | an alias of its own | \n");
    CHECK(complaint_of(kChecks, "\"steps\": [\"Ask.\"]", "\"steps\": []") ==
          "/checks/0 missing-key: complaint has no steps | \"steps\": [ … ] that a trainee can follow | \n");
    CHECK(complaint_of(kChecks, "\"steps\": [\"Ask.\"]", "\"steps\": \"Ask.\"") ==
          "/checks/0 missing-key: complaint has no steps | \"steps\": [ … ] that a trainee can follow | \n"
          "/checks/0/steps wrong-type: \"steps\" is a text | a list | \n");
    CHECK(complaint_of(kChecks, "\"name\": \"heater\"", "\"name\": \" \"") ==
          "/checks/3/name empty-text: \"name\" of this check is empty | a text | \n");
    CHECK(complaint_of(kChecks, "\"id\": \"noisy\"", "\"id\": \"very noisy\"") ==
          "/checks/0/outcomes/2/id bad-id: \"very noisy\" is no id | letters, digits and hyphens | \n");
}

TEST_CASE("mistakes in a file of faults") {
    CHECK(complaint_of(kFaults, "\"outcomes\": { \"stopped\": 0.7, \"slow\": \"uncertain\" }",
                       "\"outcomes\": { \"stoped\": 0.9 }") ==
          "/faults/0/rules/0/outcomes/stoped unknown-outcome: fan has no outcome \"stoped\" | blows, slow or stopped | "
          "stopped\n");
    CHECK(complaint_of(kFaults, "\"slow\": \"uncertain\"", "\"slow\": 0.2") == "");
    CHECK(complaint_of(kFaults, "\"slow\": \"uncertain\"", "\"slow\": 0.7") ==
          "/faults/0/rules/0/outcomes wrong-sum: the probabilities of fan sum to 1.4 | at most 1 | \n");
    CHECK(complaint_of(kFaults, "\"slow\": \"uncertain\"", "\"blows\": 0.01") ==
          "/faults/0/rules/0/outcomes wrong-sum: with the normal outcome the probabilities of fan sum to 0.71 | 1, or "
          "leave the normal outcome out | \n");
    CHECK(
        complaint_of(kFaults, "\"shift\": 10, \"spread\": 3", "\"outcomes\": { \"warm\": 1 }") ==
        "/faults/0/rules/1/outcomes wrong-rule: freezer-temp is a gauge and has no outcomes | \"shift\" and \"spread\" "
        "| \n");
    CHECK(complaint_of(kFaults, "{ \"check\": \"freezer-temp\", \"shift\": 10, \"spread\": 3 }",
                       "{ \"check\": \"fan\", \"shift\": 10, \"where\": { \"cooling\": \"plate\" } }") ==
          "/faults/0/rules/1/shift wrong-rule: fan is a look check and cannot shift | \"outcomes\": { … } | \n");
    CHECK(complaint_of(kFaults, "{ \"check\": \"freezer-temp\", \"shift\": 10, \"spread\": 3 }",
                       "{ \"check\": \"fan\", \"outcomes\": { \"slow\": 0.1 } }") ==
          "/faults/0/rules/1 duplicate-rule: fan-stopped has a rule on fan for the same units already | one rule, or a "
          "different \"where\" | \n");
    CHECK(complaint_of(kFaults, "\"shift\": 10, \"spread\": 3", "\"because\": \"x\"") ==
          "/faults/0/rules/1 missing-key: this rule says nothing | \"shift\" and \"spread\" | \n");
    CHECK(
        complaint_of(kFaults, "\"lost\": { \"shift\": 40", "\"losst\": { \"shift\": 40") ==
        "/faults/2/rules/0/by_grade/losst unknown-grade: charge-low has no grade \"losst\" | slight or lost | lost\n");
    CHECK(complaint_of(kFaults, "\"share\": 0.4", "\"share\": 0.5") ==
          "/faults/2/grades wrong-sum: the shares of the grades of charge-low sum to 1.1 | a sum of 1 | \n");
    CHECK(complaint_of(kFaults, "{ \"warm\": \"expected\" }", "{ \"none\": 0.5 }") ==
          "/faults/2/rules/1/outcomes/none wrong-rule: a rule says how often complaint is none | outcomes that say "
          "something; what is not said is normal | \n");
    CHECK(complaint_of(kFaults, "\"expect\": \"blows\"", "\"expect\": \"blow\"") ==
          "/faults/0/remedy/proof/0/expect unknown-outcome: fan has no outcome \"blow\" | blows, slow or stopped | "
          "blows\n");
    CHECK(complaint_of(kFaults, "\"confirm\": [\"fan\"]", "\"confirm\": [\"fun\"]") ==
          "/faults/0/confirm/0 unknown-check: no check is named \"fun\" |  | fan\n");
    CHECK(complaint_of(kFaults, "\"fault\": \"fan-stopped\"", "\"fault\": \"fan-stoped\"") ==
          "/faults/2/look_alikes/0/fault unknown-fault: no fault is named \"fan-stoped\" |  | fan-stopped\n");
    CHECK(
        complaint_of(kFaults, "\"same_as\": \"fan-stopped\"", "\"same_as\": \"fan-iced\"") ==
        "/faults/1/remedy names-itself: the remedies of fan-iced run in a circle | \"same_as\" a fault that states its "
        "remedy | \n");
    CHECK(complaint_of(kFaults, "\"id\": \"recharge\"", "\"id\": \"new-fan\"")
              .find("duplicate-id: another remedy is named \"new-fan\" already") != std::string::npos);
    CHECK(
        complaint_of(kFaults, "\"parts\": [20, 60]", "\"parts\": [60, 20]") ==
        "/faults/0/remedy/parts bad-range: \"parts\" is [60, 20] | the least and the most that the parts cost, such as "
        "[60, 160] | \n");
    CHECK(complaint_of(kFaults, "{ \"system\": \"airflow\",", "{ \"system\": \"airfow\",") ==
          "/system unknown-system: no system is named \"airfow\" |  | airflow\n");
    CHECK(complaint_of(kFaults, "\"frequency\": 30", "\"frequency\": 0") ==
          "/faults/0/frequency out-of-range: \"frequency\" is 0 | a number above 0 and at most 1000 | \n");
    CHECK(complaint_of(kFaults, "\"frequency\": 30", "\"frequency\": 1e308") ==
          "/faults/0/frequency out-of-range: \"frequency\" is 1e308 | a number above 0 and at most 1000 | \n");
    CHECK(complaint_of(kFaults, "\"frequency\": 30", "\"frequency\": 1000") == "");
    CHECK(complaint_of(kFaults, "\"name\": \"fan iced\", ", "\"name\": \"fan iced\", \"aliases\": [\"nofan\"], ") ==
          "/faults/1/aliases alias-clash: the alias \"nofan\" of fan-iced is taken by the fault fan-stopped | an alias "
          "of "
          "its own | \n");
}

TEST_CASE("problems of all files are told at once, and a file that cannot be read raises no echo") {
    std::vector<SourceText> sources = tiny_sources();
    replace(sources, kLib, "\"version\": \"1.0.0\",", "");
    replace(sources, kChecks, "\"spread\": 2", "\"spread\": -1");
    replace(sources, kFaults, "\"frequency\": 40", "\"frequency\": -1");
    CHECK(count(load_library(sources).diagnostics(), Severity::error) == 3);

    sources = tiny_sources();
    replace(sources, kChecks, "\"checks\": [", "\"checks\": [,");
    const Result<Library> result = load_library(sources);
    CHECK(to_lines(result.diagnostics()) ==
          "error rules/checks/tiny.json:1:56  bad-json: ',' stands where it cannot | a value | \n");
}

TEST_CASE("missing and stray files") {
    std::vector<SourceText> sources = tiny_sources();
    sources.erase(sources.begin());
    sources.push_back({"chekcs/a.json", "{}"});
    const std::string lines = to_lines(load_library(sources).diagnostics());
    CHECK(lines.find(
              "error rules/library.json:0:0  missing-file: the library has no library.json | a file with its name, "
              "prior figures and traits | \n") != std::string::npos);
    CHECK(lines.find("error rules/chekcs/a.json:0:0  unknown-file: this file has no place in a library | library.json, "
                     "cautions.json, checks/*.json or faults/*.json | \n") != std::string::npos);
    CHECK(count(load_library(sources).diagnostics(), Severity::error) == 2);
    CHECK(to_lines(load_library({tiny_sources()[0]}).diagnostics()).find("empty-library") != std::string::npos);
}

TEST_CASE("a shop's own file replaces entries by id and adds new ones") {
    const SourceText overlay{"shop.json",
                             R"({ "overlay": "our bench", "economy": { "labour_per_hour": 75, "source": "ours" },
      "cautions": [ { "id": "ladder", "name": "ladder", "text": "Hold it.", "hazard": "low", "source": "ours" } ],
      "checks": [ { "id": "fan", "place": "bench", "name": "our fan", "question": "Does it?", "kind": "look", "steps": ["Look."],
                    "normal_looks": "blows", "minutes": 2, "source": "ours", "cautions": ["ladder"],
                    "outcomes": [ { "id": "blows", "name": "blows", "normal": true }, { "id": "slow", "name": "slow" },
                                  { "id": "stopped", "name": "stopped" } ] } ],
      "faults": [ { "id": "fan-loose", "system": "airflow", "name": "fan loose", "what": "It slips.", "frequency": 2,
                    "source": "ours", "rules": [ { "check": "fan", "outcomes": { "slow": 0.8 } } ],
                    "remedy": { "same_as": "fan-stopped" } } ] })"};
    const Result<Library> result = apply_overlay(tiny_sources(), overlay);
    INFO(to_lines(result.diagnostics()));
    REQUIRE(result.has_value());
    CHECK(result->overlays == std::vector<std::string>{"our bench"});
    CHECK(result->economy.labour_per_hour == Approx(75.0));
    CHECK(result->economy.currency == "units");
    CHECK(result->checks.size() == 4);
    CHECK(result->checks.at(2).name == "our fan");
    CHECK(result->checks.at(2).cautions == std::vector<std::string>{"ladder"});
    CHECK(result->faults.size() == 4);
    CHECK(result->faults.back().id == "fan-loose");
    CHECK(result->faults.back().remedy.id == "new-fan");

    // The same demands hold: what the change breaks elsewhere is named there.
    SourceText broken = overlay;
    broken.text.replace(broken.text.find("\"stopped\", \"name\""), 9, "\"haltedd\"");
    CHECK(to_lines(apply_overlay(tiny_sources(), broken).diagnostics()).find("fan has no outcome \"stopped\"") !=
          std::string::npos);
    CHECK(to_lines(apply_overlay(tiny_sources(), {"shop.json", R"({ "fautls": [] })"}).diagnostics()) ==
          "error shop.json:1:3 /fautls unknown-key: a file of additions has no key \"fautls\" |  | faults\n");
}

TEST_CASE("the loader accepts exactly the derived quantities that the compiler computes") {
    std::vector<std::string_view> accepted(derived_quantities().begin(), derived_quantities().end());
    std::vector<std::string_view> computed(derived_reference_ids().begin(), derived_reference_ids().end());
    std::sort(accepted.begin(), accepted.end());
    std::sort(computed.begin(), computed.end());
    CHECK(accepted == computed);
    for (const std::string_view id : accepted) {
        CHECK(complaint_of(kChecks, "\"spread\": 2", "\"spread\": 2, \"relative_to\": \"" + std::string(id) + "\"") ==
              "");
    }
}

TEST_CASE("the library that is built in loads without a word") {
    const Result<Library> result = load_embedded_library();
    CHECK(to_lines(result.diagnostics()) == "");
    REQUIRE(result.has_value());
    const Result<Library> copied = load_library(embedded_library_sources());
    REQUIRE(copied.has_value());
    CHECK(copied->checks.size() == result->checks.size());
    CHECK(copied->faults.size() == result->faults.size());
    CHECK(copied->version == result->version);
}
