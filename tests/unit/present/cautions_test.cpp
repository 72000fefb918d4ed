#include <algorithm>
#include <memory>
#include <nlohmann/json.hpp>

#include "frostread/files.hpp"
#include "frostread/present.hpp"
#include "frostread/review.hpp"
#include "present/writers.hpp"
#include "support/catch.hpp"

/// No writer may drop a caution: over every fault of the shipped library, made to lead by its own signs.
using namespace frostread;

namespace {

std::shared_ptr<const CompiledLibrary> shipped() {
    static const auto library = [] {
        Result<Library> loaded = load_library(embedded_library_sources());
        REQUIRE(loaded.has_value());
        return compile(std::make_shared<const Library>(std::move(*loaded)));
    }();
    return library;
}

/// One blank for every run of blanks and line ends, so that wrapped text can be searched.
std::string flat(const std::string& text) {
    std::string out;
    for (const char letter : text) {
        const bool blank = letter == ' ' || letter == '\n';
        if (!blank || (!out.empty() && out.back() != ' ')) {
            out += blank ? ' ' : letter;
        }
    }
    return out;
}

/// A case whose readings are what the fault's confirming checks and strongest signs would show.
Case case_of(const UnitModel& model, const std::vector<Question>& table, FaultIndex fault, std::size_t readings) {
    const Library& library = model.compiled().library();
    Case made;
    for (const Sign& sign : signs_of_fault(model, table, fault)) {
        const Question& question = table[sign.question];
        const Check& check = library.checks[question.check];
        const Answer& answer = question.answers[sign.answer];
        const bool again = std::any_of(made.readings.begin(), made.readings.end(),
                                       [&](const Reading& reading) { return reading.check == check.id; });
        if (sign.decibans < 0.0 || again || answer.deviation || answer.absent || made.readings.size() == readings) {
            continue;
        }
        Reading reading;
        reading.check = check.id;
        reading.outcomes = {check.outcomes[answer.outcome].id};
        made.readings.push_back(std::move(reading));
    }
    return made;
}

}  // namespace

TEST_CASE("every caution of a report stands in its text, its JSON and its page", "[present][cautions]") {
    const auto library = shipped();
    const UnitModel model = fit_to_unit(library, {});
    const std::vector<Question> table = evidence_table(model);
    PlanOptions plan = plan_options(library->library());
    plan.look_ahead = 1;
    std::size_t cautions = 0;
    for (FaultIndex fault = 0; fault < library->fault_count(); ++fault) {
        for (const std::size_t readings : {std::size_t{1}, std::size_t{4}}) {
            const Report report = diagnose(model, case_of(model, table, fault, readings), plan);
            const std::string text = flat(to_text(report));
            const std::string page = flat(to_html(report));
            const nlohmann::json json = nlohmann::json::parse(to_json(report));
            for (const ReportCaution& caution : report.cautions) {
                INFO(library->library().faults[fault].id << ": " << caution.id);
                CHECK(text.find(flat(caution.text)) != std::string::npos);
                CHECK(page.find(flat(present::html_escape(caution.text))) != std::string::npos);
                CHECK(std::any_of(json.at("cautions").begin(), json.at("cautions").end(),
                                  [&](const nlohmann::json& entry) { return entry.at("text") == caution.text; }));
                ++cautions;
            }
            // Whatever a step needs is among the cautions that travel with the report.
            std::vector<std::string> needed;
            if (report.test) {
                needed = report.test->cautions;
            }
            if (report.repair && report.action == Action::repair) {
                needed.insert(needed.end(), report.repair->cautions.begin(), report.repair->cautions.end());
            }
            for (const std::string& id : needed) {
                INFO(id);
                CHECK(std::any_of(report.cautions.begin(), report.cautions.end(),
                                  [&](const ReportCaution& caution) { return caution.id == id; }));
            }
        }
    }
    CHECK(cautions > library->fault_count());
}

TEST_CASE("a leader in the sealed system always brings the refrigerant cautions", "[present][cautions]") {
    const auto library = shipped();
    const UnitModel model = fit_to_unit(library, {});
    const std::vector<Question> table = evidence_table(model);
    PlanOptions plan = plan_options(library->library());
    plan.look_ahead = 1;
    std::size_t sealed = 0;
    for (FaultIndex fault = 0; fault < library->fault_count(); ++fault) {
        const Report report = diagnose(model, case_of(model, table, fault, 6), plan);
        REQUIRE(!report.faults.empty());
        if (report.faults.front().system != "sealed-system") {
            continue;
        }
        ++sealed;
        for (const char* id : {"flammable-refrigerant", "never-vent", "licensed-only", "local-code"}) {
            INFO(report.faults.front().id << " " << id);
            CHECK(std::any_of(report.cautions.begin(), report.cautions.end(),
                              [&](const ReportCaution& caution) { return caution.id == id; }));
        }
    }
    CHECK(sealed >= 3);
}

TEST_CASE("the flammable caution is left out only when the refrigerant is known not to burn", "[present][cautions]") {
    const auto library = shipped();
    const auto has_flame = [&](const std::string& refrigerant) {
        UnitTraits unit;
        if (!refrigerant.empty()) {
            unit.words["refrigerant"] = refrigerant;
        }
        const UnitModel model = fit_to_unit(library, unit);
        Case made = case_of(model, evidence_table(model), *library->fault_index("refrigerant-low"), 5);
        made.unit = unit;
        const Report report = diagnose(model, made, plan_options(library->library()));
        REQUIRE(report.faults.front().system == "sealed-system");
        return std::any_of(report.cautions.begin(), report.cautions.end(),
                           [](const ReportCaution& caution) { return caution.id == "flammable-refrigerant"; });
    };
    CHECK(has_flame(""));
    CHECK(has_flame("unknown"));
    CHECK(has_flame("R-600a"));
    CHECK_FALSE(has_flame("R-134a"));
}

TEST_CASE("the cautions of a step stand between its heading and its first line", "[present][cautions]") {
    Report report;
    report.conclusion = "Not settled.";
    report.cautions = {{"unplug", "Pull the plug first."}, {"fins", "Fins cut."}, {"code", "Local code first."}};
    report.action = Action::test;
    report.test.emplace();
    report.test->question = "What does the frost look like?";
    report.test->minutes = 24.0;
    report.test->steps = {"Take the panel off.", "Look."};
    report.test->cautions = {"unplug", "fins"};
    const std::string text = flat(to_text(report));
    const std::size_t heading = text.find("Next: What does the frost look like?");
    const std::size_t step = text.find("1. Take the panel off.");
    REQUIRE(heading != std::string::npos);
    REQUIRE(step != std::string::npos);
    for (const char* words : {"! Pull the plug first.", "! Fins cut."}) {
        CHECK(text.find(words) > heading);
        CHECK(text.find(words) < step);
    }
    CHECK(text.find("! Local code first.") < heading);
    const std::string page = flat(to_html(report));
    CHECK(page.find("Pull the plug first.") < page.find("Take the panel off."));
}

TEST_CASE("cards print the cautions of what they describe before anything else", "[present][cautions]") {
    const auto library = shipped();
    for (const Check& check : library->library().checks) {
        const std::string text = flat(card_text(library, check.id));
        const std::string page = flat(card_html(library, check.id));
        const std::size_t how = text.find(" How ");
        REQUIRE(how != std::string::npos);
        for (const std::string& id : check.cautions) {
            const Caution* caution = find_caution(library->library(), id);
            REQUIRE(caution != nullptr);
            INFO(check.id << ": " << id);
            CHECK(text.find(flat(caution->text)) < how);
            CHECK(page.find(flat(present::html_escape(caution->text))) != std::string::npos);
        }
    }
    for (const Fault& fault : library->library().faults) {
        const std::string text = flat(card_text(library, fault.id));
        const std::size_t remedy = text.find("Remedy: ");
        REQUIRE(remedy != std::string::npos);
        for (const std::string& id : fault.remedy.cautions) {
            INFO(fault.id << ": " << id);
            CHECK(text.find(flat(find_caution(library->library(), id)->text)) < remedy);
        }
    }
}
