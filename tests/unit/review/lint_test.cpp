#include <algorithm>

#include "frostread/review.hpp"
#include "support/builders.hpp"
#include "support/catch.hpp"

using namespace frostread;

namespace {

Diagnostics lint_of(const std::vector<SourceText>& sources) {
    return lint(compile(std::make_shared<const Library>(test::library_from_text(sources))));
}

bool has(const Diagnostics& found, const std::string& id, const std::string& entry) {
    return std::any_of(found.begin(), found.end(), [&](const Diagnostic& diagnostic) {
        return diagnostic.id == id && diagnostic.place.pointer == entry;
    });
}

/// The tiny library with one change, which must bring the finding; without the change it is not there.
void expect(const char* id, const char* entry, const char* file, const char* before, const char* after) {
    INFO(id << " at " << entry);
    std::vector<SourceText> sources = test::tiny_sources();
    CHECK_FALSE(has(lint_of(sources), id, entry));
    test::replace(sources, file, before, after);
    CHECK(has(lint_of(sources), id, entry));
}

}  // namespace

TEST_CASE("lint finds what an author forgot, and names the entry", "[review]") {
    expect("no-confirm", "fault:fan-stopped", "faults/tiny.json", R"("confirm": ["fan"], )", "");
    expect("no-proof", "fault:fan-stopped", "faults/tiny.json",
           R"(, "proof": [ { "check": "fan", "expect": "blows", "when": "at once" } ])", "");
    expect("no-caution", "check:heater", "checks/tiny.json",
           R"("areas": ["panel"], "power": "off", "cautions": ["unplug"],)", R"("power": "off",)");
}

TEST_CASE("lint finds conditions that can never hold", "[review]") {
    expect("unreachable-gate", "fault:fan-stopped", "faults/tiny.json",
           R"("rules": [ { "check": "fan", "outcomes": { "stopped": 0.7, "slow": "uncertain" } },)",
           R"("rules": [ { "check": "fan", "where": { "cooling": "plate" }, "outcomes": { "stopped": 0.7 } },)");
}

TEST_CASE("lint finds dead outcomes and checks without a rule", "[review]") {
    const Diagnostics found = lint_of(test::tiny_sources());
    CHECK(has(found, "unused-check", "check:heater"));
    CHECK(has(found, "dead-outcome", "check:complaint"));  // noisy
    CHECK_FALSE(has(found, "unused-check", "check:fan"));
}

TEST_CASE("lint finds superseding that can never happen", "[review]") {
    // The heater moves to plate units: no unit has both it and the fan.
    std::vector<SourceText> sources = test::tiny_sources();
    test::replace(sources, "checks/tiny.json", R"("where": { "cooling": "fan" }, "source": "made up",)",
                  R"("where": { "cooling": "fan" }, "superseded_by": ["heater"], "source": "made up",)");
    CHECK_FALSE(has(lint_of(sources), "dead-superseded-by", "check:fan"));
    test::replace(sources, "checks/tiny.json", R"("areas": ["panel"], "power": "off",)",
                  R"("where": { "cooling": "plate" }, "areas": ["panel"], "power": "off",)");
    CHECK(has(lint_of(sources), "dead-superseded-by", "check:fan"));
}

TEST_CASE("lint finds faults that no check tells apart, unless one remedy cures both", "[review]") {
    // fan-iced has the remedy of fan-stopped: no need to tell them apart.
    CHECK_FALSE(has(lint_of(test::tiny_sources()), "not-told-apart", "fault:fan-stopped"));
    std::vector<SourceText> sources = test::tiny_sources();
    test::replace(sources, "faults/tiny.json", R"("slow": "uncertain" } },
               { "check": "freezer-temp", "shift": 10, "spread": 3 } ],)",
                  R"("slow": "uncertain" } } ],)");
    test::replace(sources, "faults/tiny.json", R"("outcomes": { "stopped": 0.5 })",
                  R"("outcomes": { "stopped": 0.7, "slow": "uncertain" })");
    CHECK_FALSE(has(lint_of(sources), "not-told-apart", "fault:fan-stopped"));
    test::replace(
        sources, "faults/tiny.json", R"("remedy": { "same_as": "fan-stopped" })",
        R"("remedy": { "id": "thaw", "name": "thaw it", "steps": ["Wait."], "minutes": 30, "parts": [0, 0] })");
    CHECK(has(lint_of(sources), "not-told-apart", "fault:fan-stopped"));
}

TEST_CASE("lint says when confirming checks do not confirm", "[review]") {
    // One look at the fan cannot lift a cause of 30 in 1000 past 0.9 with an iced fan as its twin.
    CHECK(has(lint_of(test::tiny_sources()), "weak-confirm", "fault:fan-stopped"));
}
