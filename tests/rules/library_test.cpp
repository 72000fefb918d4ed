#include <algorithm>
#include <set>
#include <sstream>

#include "frostread/review.hpp"
#include "frostread/why.hpp"
#include "rules/shipped.hpp"
#include "support/builders.hpp"
#include "support/catch.hpp"

using namespace frostread;

namespace {

struct Listed {
    std::string sort, id, of;          // of: the kind of a check, the system of a fault
    std::vector<std::string> members;  // trait values, outcomes, grades
};

/// The lines of catalogue.txt: "sort id of: members".
std::vector<Listed> catalogue() {
    std::vector<Listed> entries;
    std::istringstream lines(test::rules_test_file("catalogue.txt"));
    for (std::string line; std::getline(lines, line);) {
        if (line.empty() || line[0] == '#') {
            continue;
        }
        std::istringstream words(line);
        Listed entry;
        words >> entry.sort >> entry.id;
        bool members = entry.id.back() == ':';
        if (members) {
            entry.id.pop_back();
        }
        for (std::string word; words >> word;) {
            if (members) {
                entry.members.push_back(word);
                continue;
            }
            members = word.back() == ':';
            entry.of = members ? word.substr(0, word.size() - 1) : word;
        }
        entries.push_back(std::move(entry));
    }
    return entries;
}

void compare_check(const Library& library, const Listed& entry) {
    const Check* check = find_check(library, entry.id);
    REQUIRE(check != nullptr);
    CHECK(entry.of == to_word(check->kind));
    for (std::string member : entry.members) {
        const bool normal = member.back() == '*';
        if (normal) {
            member.pop_back();
        }
        INFO(member);
        const Outcome* outcome = find_outcome(*check, member);
        REQUIRE(outcome != nullptr);
        CHECK(outcome->normal == normal);
    }
    // An outcome that the catalogue does not have may be added; a second normal one may not.
    if (check->kind != CheckKind::gauge) {
        CHECK(std::count_if(check->outcomes.begin(), check->outcomes.end(),
                            [](const Outcome& outcome) { return outcome.normal; }) == 1);
    }
}

void compare_fault(const Library& library, const Listed& entry) {
    const Fault* fault = find_fault(library, entry.id);
    REQUIRE(fault != nullptr);
    CHECK(fault->system == entry.of);
    for (const std::string& member : entry.members) {
        INFO(member);
        CHECK(std::any_of(fault->grades.begin(), fault->grades.end(),
                          [&](const Grade& grade) { return grade.id == member; }));
    }
}

void compare_trait(const Library& library, const Listed& entry) {
    const Trait* trait = find_trait(library, entry.id);
    REQUIRE(trait != nullptr);
    CHECK(trait->is_number == (entry.sort == "number"));
    for (const std::string& member : entry.members) {
        INFO(member);
        CHECK(std::any_of(trait->values.begin(), trait->values.end(),
                          [&](const TraitValue& value) { return value.id == member; }));
    }
}

}  // namespace

TEST_CASE("the shipped library loads without a word", "[rules]") {
    const Result<Library> library = load_library(embedded_library_sources());
    INFO(test::to_lines(library.diagnostics()));
    REQUIRE(library.has_value());
    CHECK(library.diagnostics().empty());
}

TEST_CASE("every id that saved cases depend on is in the shipped library", "[rules]") {
    const Library& library = test::shipped()->library();
    std::size_t checks = 0, faults = 0, traits = 0;
    for (const Listed& entry : catalogue()) {
        INFO(entry.sort << ' ' << entry.id);
        if (entry.sort == "check") {
            compare_check(library, entry);
            ++checks;
        } else if (entry.sort == "fault") {
            compare_fault(library, entry);
            ++faults;
        } else {
            compare_trait(library, entry);
            ++traits;
        }
    }
    CHECK(checks == 89);
    CHECK(faults == 61);
    CHECK(traits == 14);
}

TEST_CASE("the review of the shipped library finds no error and no warning", "[rules]") {
    for (const Diagnostic& found : lint(test::shipped())) {
        INFO(found.place.pointer << ": " << found.what);
        CHECK(found.severity == Severity::note);
    }
}

TEST_CASE("a fault stays off a unit that lacks the part", "[rules]") {
    struct Gate {
        const char* unit;
        std::vector<const char*> cannot_have;
    };
    const std::vector<Gate> gates = {
        {"cooling=plate",
         {"evaporator-fan-stopped", "evaporator-fan-slow", "fan-hits-ice", "damper-stuck-shut", "damper-stuck-open",
          "defrost-heater-open", "air-duct-broken", "drain-blocked"}},
        {"cooling=one-evaporator", {"changeover-valve-stuck", "fridge-drain-blocked"}},
        {"cooling=two-evaporators", {"damper-stuck-shut", "damper-stuck-open"}},
        {"compressor=variable-speed", {"start-device-failed", "overload-open", "run-capacitor-failed"}},
        {"compressor=fixed-speed", {"drive-board-failed"}},
        {"condenser=static", {"condenser-fan-stopped", "condenser-fan-worn", "rear-cover-missing"}},
        {"control=mechanical",
         {"display-mode-on", "sensor-reads-cold", "sensor-reads-warm", "control-board-failed",
          "changeover-valve-stuck"}},
        {"control=electronic", {"thermostat-stuck-open", "thermostat-stuck-closed", "thermostat-drifted"}},
        {"defrost=manual",
         {"defrost-heater-open", "defrost-terminator-open", "defrost-control-stuck", "stuck-in-defrost",
          "drain-blocked", "fridge-drain-blocked"}},
        {"defrost=automatic", {"defrost-overdue"}},
        {"layout=chest-freezer",
         {"damper-stuck-shut", "damper-stuck-open", "water-supply-leak", "fridge-drain-blocked"}},
    };
    for (const Gate& gate : gates) {
        const test::Ranking ranking = test::diagnose({gate.unit}, {});
        for (const char* fault : gate.cannot_have) {
            INFO(gate.unit << ' ' << fault);
            CHECK(ranking.of(fault) == 0.0);
        }
    }
}

TEST_CASE("what would change the answer is never that nobody knows", "[rules]") {
    const Case the_case =
        test::typed_case({"layout=freezer-top", "defrost=automatic", "cooling=one-evaporator"},
                         {"recovers-after-stop=yes", "freezer-panel-frost=sheet", "onset=over-weeks"});
    const UnitModel model = fit_to_unit(test::shipped(), the_case.unit);
    const Findings findings = gather(model, the_case);
    const std::vector<PivotalReading> pivotal = pivotal_readings(model, findings, infer(model, findings));
    REQUIRE_FALSE(pivotal.empty());
    for (const PivotalReading& pivot : pivotal) {
        const Check& check = model.compiled().library().checks[findings.items[pivot.finding].check];
        if (check.kind == CheckKind::look) CHECK_FALSE(check.outcomes[pivot.instead].no_evidence);
    }
}
