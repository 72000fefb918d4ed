#include "support/builders.hpp"

#include <stdexcept>

namespace frostread::test {

namespace {

constexpr const char* kLibrary = R"({
  "frostread_rules": 1, "name": "tiny", "version": "1.0.0",
  "scale": { "source": "made up", "words": { "expected": 0.75, "uncertain": 0.25 } },
  "prior": { "nothing_wrong": 60, "something_else": 8, "second_fault": 0.3, "source": "made up" },
  "reliability": { "usual": 0.98, "unsure": 0.8, "condition_unknown": 0.95 },
  "economy": { "currency": "units", "labour_per_hour": 60, "source": "made up" },
  "systems": [ { "id": "sealed-system", "name": "sealed system" }, { "id": "airflow", "name": "airflow" } ],
  "traits": [
    { "id": "cooling", "name": "cooling", "question": "How is it cooled?", "source": "made up", "aliases": ["coils"],
      "values": [ { "id": "fan", "name": "by a fan", "share": 0.7, "aliases": ["air"] },
                  { "id": "plate", "name": "by a plate", "share": 0.3 } ] },
    { "id": "age_years", "name": "age", "question": "How old is it?", "unit": "", "range": [0, 60], "source": "made up",
      "mix": [ { "value": 3, "share": 0.5 }, { "value": 12, "share": 0.5 } ] },
    { "id": "charge_g", "name": "charge", "question": "How much?", "unit": "g", "range": [5, 1000], "source": "made up" } ],
  "areas": [ { "id": "panel", "name": "behind the panel", "how_to_open": "Undo the screws.", "open_minutes": 8,
               "close_minutes": 6, "power": "off", "cautions": ["unplug"], "source": "made up" } ],
  "conditions": [ { "id": "ran-24h", "name": "running for 24 h", "wait_minutes": 1440, "source": "made up",
                    "known_by": { "check": "fan", "outcomes": ["blows"] } } ]
})";

constexpr const char* kCautions = R"({ "cautions": [
  { "id": "unplug", "name": "unplug first", "text": "Pull the plug first.", "hazard": "high", "source": "made up" } ] })";

constexpr const char* kChecks = R"({ "place": "bench", "name": "At the bench", "checks": [
  { "id": "complaint", "name": "complaint", "question": "What is wrong?", "kind": "several", "steps": ["Ask."],
    "normal_looks": "none", "minutes": 1, "source": "made up",
    "outcomes": [ { "id": "none", "name": "none", "normal": true },
                  { "id": "warm", "name": "warm", "superseded_by": ["freezer-temp"] },
                  { "id": "noisy", "name": "noisy", "background": 0.05 } ] },
  { "id": "freezer-temp", "name": "freezer temperature", "question": "How cold is it?", "kind": "gauge",
    "steps": ["Read the thermometer."], "normal_looks": "about -18", "minutes": 2, "aliases": ["fz"],
    "after": ["ran-24h"], "source": "made up",
    "unit": "degC", "range": [-60, 60], "normal": { "mean": -18, "spread": 2 }, "limits": { "high": 25 },
    "words": { "recommended": -18 } },
  { "id": "fan", "name": "fan", "question": "Does the fan blow?", "kind": "look", "steps": ["Hold the switch."],
    "normal_looks": "it blows", "minutes": 1, "where": { "cooling": "fan" }, "source": "made up",
    "outcomes": [ { "id": "blows", "name": "blows", "normal": true, "aliases": ["ok"] },
                  { "id": "slow", "name": "blows weakly", "background": 0.02 },
                  { "id": "stopped", "name": "stands still" } ] },
  { "id": "heater", "name": "heater", "question": "How many ohms?", "kind": "banded", "steps": ["Measure."],
    "normal_looks": "about 22 ohm", "minutes": 5, "areas": ["panel"], "power": "off", "cautions": ["unplug"],
    "source": "made up", "unit": "ohm", "range": [0, 1000000],
    "outcomes": [ { "id": "shorted", "name": "shorted", "upto": 5 },
                  { "id": "sound", "name": "sound", "normal": true, "upto": 100 },
                  { "id": "open", "name": "open" } ] }
] })";

constexpr const char* kFaults = R"({ "system": "airflow", "faults": [
  { "id": "fan-stopped", "name": "fan stopped", "what": "The fan stands still.", "frequency": 30, "source": "made up",
    "where": { "cooling": "fan" }, "aliases": ["nofan"],
    "rules": [ { "check": "fan", "outcomes": { "stopped": 0.7, "slow": "uncertain" } },
               { "check": "freezer-temp", "shift": 10, "spread": 3 } ],
    "confirm": ["fan"], "cautions": ["unplug"],
    "remedy": { "id": "new-fan", "name": "fit a fan", "steps": ["Fit it."], "minutes": 30, "parts": [20, 60],
                "areas": ["panel"], "proof": [ { "check": "fan", "expect": "blows", "when": "at once" } ] } },
  { "id": "fan-iced", "name": "fan iced", "what": "Ice holds the fan.", "frequency": 10, "source": "made up",
    "rules": [ { "check": "fan", "outcomes": { "stopped": 0.5 } } ], "remedy": { "same_as": "fan-stopped" } },
  { "id": "charge-low", "system": "sealed-system", "name": "charge low", "what": "Refrigerant is lost.",
    "frequency": 40, "source": "made up",
    "multipliers": [ { "where": { "age_years": { "min": 8 } }, "factor": 1.6 } ],
    "grades": [ { "id": "slight", "name": "slight", "share": 0.6 }, { "id": "lost", "name": "lost", "share": 0.4 } ],
    "rules": [ { "check": "freezer-temp", "by_grade": { "slight": { "shift": 6, "spread": 3 },
                                                        "lost": { "shift": 40, "spread": 5 } } },
               { "check": "complaint", "outcomes": { "warm": "expected" } } ],
    "look_alikes": [ { "fault": "fan-stopped", "tell": "the fan stands still" } ],
    "remedy": { "id": "recharge", "name": "recharge it", "steps": ["Seal it."], "minutes": 150, "parts": [60, 160],
                "who": "licensed" } }
] })";

std::string severity_word(Severity severity) {
    return severity == Severity::error ? "error" : severity == Severity::warning ? "warning" : "note";
}

}  // namespace

std::vector<SourceText> tiny_sources() {
    return {{"library.json", kLibrary},
            {"cautions.json", kCautions},
            {"checks/tiny.json", kChecks},
            {"faults/tiny.json", kFaults}};
}

Library library_from_text(const std::vector<SourceText>& sources) {
    Result<Library> result = load_library(sources);
    if (!result.has_value()) throw std::runtime_error("the library was refused:\n" + to_lines(result.diagnostics()));
    return std::move(result).value();
}

Library tiny_library() {
    return library_from_text(tiny_sources());
}

Library library_from_text(std::string_view checks, std::string_view faults) {
    std::vector<SourceText> sources = tiny_sources();
    // The tiny condition is settled by a check that may be gone.
    replace(sources, "library.json", R"(,
                    "known_by": { "check": "fan", "outcomes": ["blows"] })",
            "");
    sources[2].text = R"({ "place": "bench", "name": "At the bench", "checks": )" + std::string(checks) + " }";
    sources[3].text = R"({ "system": "airflow", "faults": )" + std::string(faults) + " }";
    return library_from_text(sources);
}

void replace(std::vector<SourceText>& sources, std::string_view file, std::string_view before, std::string_view after) {
    for (SourceText& source : sources) {
        if (source.name != file) continue;
        const std::size_t at = source.text.find(before);
        if (at == std::string::npos || source.text.find(before, at + 1) != std::string::npos) break;
        source.text.replace(at, before.size(), after);
        return;
    }
    throw std::runtime_error("not exactly once in " + std::string(file) + ": " + std::string(before));
}

Case case_from_text(std::string_view text, const Library& library) {
    Result<Case> result = read_case(text, "case.json", library);
    if (!result.has_value()) throw std::runtime_error("the case was refused:\n" + to_lines(result.diagnostics()));
    return std::move(result).value();
}

std::string to_lines(const Diagnostics& diagnostics) {
    std::string out;
    for (const Diagnostic& d : diagnostics) {
        out += severity_word(d.severity) + " " + d.place.file + ":" + std::to_string(d.place.line) + ":" +
               std::to_string(d.place.column) + " " + d.place.pointer + " " + d.id + ": " + d.what + " | " +
               d.expected + " | " + d.suggestion + "\n";
    }
    return out;
}

}  // namespace frostread::test
