#include <algorithm>
#include <memory>

#include "frostread/engine.hpp"
#include "support/catch.hpp"

using namespace frostread;

namespace {

Outcome outcome(const std::string& id, bool normal, double background = 0.05) {
    Outcome made;
    made.id = id;
    made.normal = normal;
    made.background = normal ? 0.0 : background;
    return made;
}

Check look(const std::string& id, std::vector<std::string> abnormal) {
    Check check;
    check.id = id;
    check.outcomes.push_back(outcome("ok", true));
    for (const std::string& name : abnormal) check.outcomes.push_back(outcome(name, false));
    return check;
}

Check gauge(const std::string& id, double mean, const std::string& relative_to, std::optional<double> assumed) {
    Check check;
    check.id = id;
    check.kind = CheckKind::gauge;
    check.range = {-60.0, 60.0};
    check.normal = {mean, 2.0, relative_to, assumed, false, std::nullopt};
    return check;
}

/// A small kitchen: complaint, two settings, freezer, coil looked at twice, heater.
Library kitchen() {
    Library library;
    library.nothing_wrong = 100.0;
    library.reliability = {0.98, 0.8, 0.9};
    Check complaint = look("complaint", {"freezer-warm", "fridge-warm", "noisy"});
    complaint.kind = CheckKind::several;
    complaint.outcomes[1].superseded_by = {"freezer-temp"};
    Outcome both = outcome("both-warm", false, 0.0);
    both.means = {"freezer-warm", "fridge-warm"};
    complaint.outcomes.push_back(both);
    library.checks.push_back(complaint);
    library.checks.push_back(gauge("freezer-set", -18.0, "", std::nullopt));
    library.checks.push_back(gauge("room-temp", 21.0, "", std::nullopt));
    library.checks.push_back(gauge("hours-running", 100.0, "", std::nullopt));
    library.checks.back().range = {0.0, 1000.0};
    Check freezer = gauge("freezer-temp", 0.0, "freezer-set", -18.0);
    freezer.after = {"ran-24h"};
    freezer.low_limit = {-40.0, "", 0.0};
    freezer.high_limit = {21.0, "room-temp", 1.0};
    library.checks.push_back(freezer);
    Check frost = look("frost", {"short", "ice"});
    frost.outcomes[1].superseded_by = {"frost-return"};
    library.checks.push_back(frost);
    library.checks.push_back(look("frost-return", {"short", "none"}));
    Check heater = look("heater", {"open"});
    heater.kind = CheckKind::banded;
    heater.range = {0.0, 1e6};
    heater.reference = "heater-ohms";
    heater.outcomes = {outcome("shorted", false), outcome("agrees", true), outcome("open", false)};
    heater.outcomes[0].upto = 0.9;
    heater.outcomes[0].upto_absolute = 12.0;
    heater.outcomes[1].upto = 1.1;
    heater.outcomes[1].upto_absolute = 400.0;
    library.checks.push_back(heater);
    Check suction = gauge("suction", 100.0, "suction-normal", std::nullopt);
    suction.normal.percent = true;
    suction.range = {0.0, 1000.0};
    library.checks.push_back(suction);
    Check damper = look("damper", {"stuck"});
    damper.where.all.push_back({"cooling", {"one-evaporator"}, {}, std::nullopt});
    library.checks.push_back(damper);
    Condition ran;
    ran.id = "ran-24h";
    ran.known_by = "hours-running";
    ran.known_range.min = 24.0;
    library.conditions.push_back(ran);
    Trait cooling;
    cooling.id = "cooling";
    cooling.values = {{"one-evaporator", "", 0.7, {}}, {"plate", "", 0.3, {}}};
    library.traits.push_back(cooling);
    return library;
}

Reading says(const std::string& check, std::vector<std::string> outcomes) {
    Reading reading;
    reading.check = check;
    reading.outcomes = std::move(outcomes);
    return reading;
}

Reading measures(const std::string& check, double value) {
    Reading reading;
    reading.check = check;
    reading.value = value;
    return reading;
}

Findings gathered(const Case& the_case) {
    static const auto compiled = compile(std::make_shared<const Library>(kitchen()));
    return gather(fit_to_unit(compiled, the_case.unit), the_case);
}

bool noted(const Findings& findings, NoteKind kind, const std::string& about) {
    return std::any_of(findings.notes.begin(), findings.notes.end(),
                       [&](const FindingNote& note) { return note.kind == kind && note.about == about; });
}

}  // namespace

TEST_CASE("the latest reading of a check counts and the earlier is noted as replaced") {
    Case the_case;
    the_case.readings = {says("frost", {"short"}), says("frost", {"ice"})};
    const Findings findings = gathered(the_case);
    REQUIRE(findings.items.size() == 1);
    CHECK(findings.items[0].outcome == 2);
    CHECK(findings.items[0].reading == 1);
    CHECK(noted(findings, NoteKind::replaced, "frost"));
}

TEST_CASE("a skipped check is no evidence and does not replace an earlier reading") {
    Case the_case;
    the_case.readings = {says("frost", {"short"}), Reading{}};
    the_case.readings[1].check = "frost";
    the_case.readings[1].skipped = "ran out of time";
    CHECK(gathered(the_case).items.size() == 1);
}

TEST_CASE("an answer marked as no evidence is none") {
    Library library = kitchen();
    for (Check& check : library.checks)
        if (check.id == "frost-return") check.outcomes[0].no_evidence = true;
    const auto compiled = compile(std::make_shared<const Library>(library));
    Case the_case;
    the_case.readings = {says("frost-return", {"ok"})};
    CHECK(gather(fit_to_unit(compiled, {}), the_case).items.empty());
    the_case.readings = {says("frost-return", {"short"})};
    CHECK(gather(fit_to_unit(compiled, {}), the_case).items.size() == 1);
}

TEST_CASE("things said together become a finding each; what was not said is none") {
    Case the_case;
    the_case.readings = {says("complaint", {"both-warm", "noisy"})};
    const Findings findings = gathered(the_case);
    REQUIRE(findings.items.size() == 3);  // both-warm stands for two, and the noise
    for (const Finding& finding : findings.items) CHECK_FALSE(finding.absent);
    the_case.readings = {says("complaint", {"ok"})};
    const Findings denied = gathered(the_case);
    REQUIRE(denied.items.size() == 3);
    for (const Finding& finding : denied.items) CHECK(finding.absent);
}

TEST_CASE("a complaint of a warm freezer counts no more once the freezer has been measured") {
    Case the_case;
    the_case.readings = {says("complaint", {"both-warm"}), measures("freezer-temp", -5.0)};
    const Findings findings = gathered(the_case);
    REQUIRE(findings.items.size() == 2);  // fridge-warm and the measurement
    CHECK(findings.items[0].outcome == 2);
    CHECK(noted(findings, NoteKind::superseded, "freezer-temp"));
}

TEST_CASE("one outcome alone can be silenced by a better check") {
    Case the_case;
    the_case.readings = {says("frost", {"short"}), says("frost-return", {"ok"})};
    CHECK(gathered(the_case).items.size() == 1);
    the_case.readings[0] = says("frost", {"ice"});
    CHECK(gathered(the_case).items.size() == 2);
}

TEST_CASE("a condition lowers the trust while unknown, is free when known, and voids when it does not hold") {
    Case the_case;
    the_case.readings = {measures("freezer-temp", -5.0)};
    CHECK(gathered(the_case).items.at(0).trust == Approx(0.98 * 0.9));
    the_case.readings[0].after["ran-24h"] = true;
    CHECK(gathered(the_case).items.at(0).trust == Approx(0.98));
    the_case.readings[0].sure = false;
    CHECK(gathered(the_case).items.at(0).trust == Approx(0.8));
    the_case.readings[0].after["ran-24h"] = false;
    CHECK(gathered(the_case).items.empty());
    CHECK(noted(gathered(the_case), NoteKind::void_condition, "ran-24h"));
}

TEST_CASE("what is plain to see is believed further, unless the person is not sure or a condition is open") {
    Library library = kitchen();
    library.reliability.plain = 0.995;
    for (Check& check : library.checks) check.plain = check.id == "frost" || check.id == "freezer-temp";
    const auto trust = [&](const Reading& reading) {
        Case the_case;
        the_case.readings = {reading};
        const auto compiled = compile(std::make_shared<const Library>(library));
        return gather(fit_to_unit(compiled, the_case.unit), the_case).items.at(0).trust;
    };
    Reading ice = says("frost", {"ice"});
    CHECK(trust(ice) == Approx(0.995));
    CHECK(trust(says("frost-return", {"short"})) == Approx(0.98));
    CHECK(trust(measures("freezer-temp", -5.0)) == Approx(0.995 * 0.9));
    ice.sure = false;
    CHECK(trust(ice) == Approx(0.8));
    library.reliability.plain.reset();  // a library that does not know the word
    ice.sure = true;
    CHECK(trust(ice) == Approx(0.98));
}

TEST_CASE("what tells little on some units is hardly believed there, and as ever elsewhere") {
    Library library = kitchen();
    library.reliability.tells_little = 0.3;
    const TraitCondition on_plates{{{"cooling", {"plate"}, {}, std::nullopt}}};
    for (Check& check : library.checks) {
        if (check.id == "freezer-temp") check.tells_little_on = on_plates;
        if (check.id != "frost") continue;
        for (Outcome& outcome : check.outcomes)
            if (outcome.id == "ice") outcome.tells_little_on = on_plates;
    }
    const auto trust = [&](const Reading& reading, const char* cooling) {
        Case the_case;
        if (*cooling != '\0') the_case.unit.words["cooling"] = cooling;
        the_case.readings = {reading};
        const auto compiled = compile(std::make_shared<const Library>(library));
        return gather(fit_to_unit(compiled, the_case.unit), the_case).items.at(0).trust;
    };
    CHECK(trust(measures("freezer-temp", -5.0), "plate") == Approx(0.3));
    CHECK(trust(measures("freezer-temp", -5.0), "") == Approx(0.98 * 0.9));  // not stated is not known
    CHECK(trust(says("frost", {"ice"}), "") == Approx(0.98));
    Reading doubted = measures("freezer-temp", -5.0);
    doubted.sure = false;
    CHECK(trust(doubted, "plate") == Approx(0.3));
}

TEST_CASE("another reading settles a condition") {
    Case the_case;
    the_case.readings = {measures("freezer-temp", -5.0), measures("hours-running", 30.0)};
    const Findings long_run = gathered(the_case);
    REQUIRE(long_run.items.size() == 2);
    CHECK(long_run.items[1].trust == Approx(0.98));
    the_case.readings[1].value = 3.0;
    const Findings short_run = gathered(the_case);
    REQUIRE(short_run.items.size() == 1);  // the freezer's reading is void, the hours stay
    CHECK(short_run.items[0].reading == 1);
}

TEST_CASE("a void reading silences nothing") {
    Case the_case;
    the_case.readings = {says("complaint", {"freezer-warm"}), measures("freezer-temp", -5.0),
                         measures("hours-running", 3.0)};
    const Findings findings = gathered(the_case);
    CHECK(std::any_of(findings.items.begin(), findings.items.end(), [](const Finding& f) { return f.check == 0; }));
}

TEST_CASE("a gauge is taken against its reference: read, else assumed, else void") {
    Case the_case;
    the_case.readings = {measures("freezer-temp", -10.0)};
    CHECK(gathered(the_case).items.at(0).deviation == Approx(8.0));
    CHECK_FALSE(gathered(the_case).items.at(0).reference_known);
    CHECK(gathered(the_case).items.at(0).high == Approx(40.0));  // 21 + 1 - (-18), none read
    the_case.readings.push_back(measures("freezer-set", -22.0));
    the_case.readings.push_back(measures("room-temp", 30.0));
    const Findings findings = gathered(the_case);
    const auto freezer = std::find_if(findings.items.begin(), findings.items.end(),
                                      [](const Finding& finding) { return finding.reading == 0; });
    REQUIRE(freezer != findings.items.end());
    CHECK(freezer->deviation == Approx(12.0));
    CHECK(freezer->reference_known);
    CHECK(freezer->high == Approx(53.0));
    the_case.readings = {measures("suction", 60.0)};
    CHECK(gathered(the_case).items.empty());
    CHECK(noted(gathered(the_case), NoteKind::no_reference, "suction-normal"));
}

TEST_CASE("a reading beyond where a gauge settles counts as that") {
    Library library = kitchen();
    for (Check& check : library.checks)
        if (check.id == "hours-running") {
            check.range = {0.0, 200000.0};
            check.normal.settles_at = 120.0;
        }
    const UnitModel model = fit_to_unit(compile(std::make_shared<const Library>(library)), {});
    const auto deviation = [&](double hours) {
        Case the_case;
        the_case.readings = {measures("hours-running", hours)};
        return gather(model, the_case).items.at(0).deviation;
    };
    CHECK(deviation(110.0) == Approx(10.0));
    CHECK(deviation(120.0) == Approx(20.0));
    CHECK(deviation(20000.0) == Approx(20.0));
}

TEST_CASE("a percentage gauge measures against the refrigerant's own pressure") {
    Case the_case;
    the_case.unit.words["refrigerant"] = "R-600a";
    the_case.readings = {measures("suction", 58.3)};
    // R-600a at -25 degC: 58.3 kPa (Buecker & Wagner 2006, rounded), so the reading is about 100 %.
    CHECK(gathered(the_case).items.at(0).deviation == Approx(0.0).margin(1.0));
}

TEST_CASE("a banded quantity falls into its band against the reference, or absolutely without one") {
    Case the_case;
    the_case.readings = {measures("heater", 20.0)};
    CHECK(gathered(the_case).items.at(0).outcome == 1);
    the_case.unit.numbers = {{"rated_volts", 115.0}, {"heater_watts", 400.0}};  // 33 ohm
    CHECK(gathered(the_case).items.at(0).outcome == 0);
    the_case.readings[0].value = 33.0;
    CHECK(gathered(the_case).items.at(0).outcome == 1);
    the_case.readings[0].value = 1e6;
    CHECK(gathered(the_case).items.at(0).outcome == 2);
    the_case.readings[0] = says("heater", {"open"});
    CHECK(gathered(the_case).items.at(0).outcome == 2);
}

TEST_CASE("a check that the unit does not have is set aside and said so") {
    Case the_case;
    the_case.unit.words["cooling"] = "plate";
    the_case.readings = {says("damper", {"stuck"})};
    CHECK(gathered(the_case).items.empty());
    CHECK(noted(gathered(the_case), NoteKind::not_on_this_unit, "damper"));
    the_case.unit.words.clear();
    CHECK(gathered(the_case).items.size() == 1);
}
