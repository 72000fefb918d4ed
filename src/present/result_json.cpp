#include <nlohmann/json.hpp>

#include "frostread/present.hpp"
#include "frostread/version.hpp"
#include "present/json_rounding.hpp"

/// The documented result: docs/result.md. Keys keep their order, numbers are rounded once, here.
namespace frostread {

namespace {

using Json = nlohmann::ordered_json;

constexpr auto probability = present::json_probability;
constexpr auto amount = present::json_amount;

Json weights(const ReportLedger& ledger) {
    Json list = Json::array();
    for (const ReportWeight& weight : ledger.weights) {
        list.push_back({{"check", weight.check}, {"value", weight.value}, {"weight_db", amount(weight.decibans)}});
    }
    return list;
}

Json fault(const ReportFault& entry) {
    Json grades = Json::object();
    for (const auto& [grade, share] : entry.grades) {
        grades[grade] = probability(share);
    }
    return {{"fault", entry.id},
            {"name", entry.name},
            {"system", entry.system},
            {"probability", probability(entry.probability)},
            {"grades", std::move(grades)},
            {"why", weights(entry.why)},
            {"rival", entry.why.rival},
            {"prior_db", amount(entry.why.prior_db)},
            {"margin_db", amount(entry.why.margin_db)}};
}

Json outcomes(const ReportTest& test) {
    Json list = Json::array();
    for (const ReportOutcome& outcome : test.outcomes) {
        Json leader = nullptr;
        if (!outcome.leader.empty()) {
            leader = outcome.leader;
        }
        list.push_back({{"outcome", outcome.words},
                        {"probability", probability(outcome.probability)},
                        {"leader", std::move(leader)},
                        {"leader_probability", probability(outcome.leader_probability)}});
    }
    return list;
}

Json question(const ReportQuestion& asked) {
    Json list = Json::array();
    for (std::size_t i = 0; i < asked.outcomes.size(); ++i) {
        const ReportOutcome& outcome = asked.outcomes[i];
        Json leader = nullptr;
        if (!outcome.leader.empty()) {
            leader = outcome.leader;
        }
        list.push_back({{"value", asked.values[i]},
                        {"probability", probability(outcome.probability)},
                        {"leader", std::move(leader)},
                        {"leader_probability", probability(outcome.leader_probability)}});
    }
    return {{"trait", asked.trait},
            {"question", asked.question},
            {"minutes", amount(asked.minutes)},
            {"bits", amount(asked.bits)},
            {"outcomes", std::move(list)}};
}

Json repair(const ReportRepair& option) {
    return {{"remedy", option.remedy},
            {"name", option.name},
            {"fault", option.fault},
            {"probability", probability(option.probability)},
            {"minutes", amount(option.minutes)},
            {"parts", amount(option.parts)},
            {"cost", amount(option.cost)},
            {"who", to_word(option.who)}};
}

/// The step to take. A test carries its own steps and cautions, a repair its own.
Json next(const Report& report) {
    Json out;
    out["action"] = to_word(report.action);
    out["check"] = nullptr;
    out["fault"] = nullptr;
    out["minutes"] = 0.0;
    out["wait_minutes"] = 0.0;
    out["bits"] = 0.0;
    out["opens"] = Json::array();
    out["also"] = Json::array();
    out["steps"] = Json::array();
    out["cautions"] = Json::array();
    out["because"] = report.because;
    out["outcomes"] = Json::array();
    out["repeat"] = false;
    out["repair"] = nullptr;
    out["same_visit"] = Json::array();
    out["worth"] = amount(report.worth);
    out["trait"] = nullptr;
    if (report.ask) {
        out["trait"] = question(*report.ask);
    }
    if (report.test) {
        const ReportTest& test = *report.test;
        out["check"] = test.check;
        out["minutes"] = amount(test.minutes);
        out["wait_minutes"] = amount(test.wait_minutes);
        out["bits"] = amount(test.bits);
        out["opens"] = test.opens;
        out["also"] = test.also;
        out["steps"] = test.steps;
        out["cautions"] = test.cautions;
        out["outcomes"] = outcomes(test);
        out["repeat"] = test.repeat;
    }
    for (const ReportRepair& further : report.same_visit) {
        Json entry = repair(further);
        entry["steps"] = further.steps;
        entry["cautions"] = further.cautions;
        out["same_visit"].push_back(std::move(entry));
    }
    if (report.repair) {
        const ReportRepair& option = *report.repair;
        out["fault"] = option.fault;
        out["repair"] = repair(option);
        if (!report.test && report.action == Action::repair) {
            out["minutes"] = amount(option.minutes);
            out["steps"] = option.steps;
            out["cautions"] = option.cautions;
        }
    }
    return out;
}

Json alternatives(const Report& report) {
    Json list = Json::array();
    for (const ReportTest& test : report.alternatives) {
        list.push_back({{"check", test.check},
                        {"minutes", amount(test.minutes)},
                        {"wait_minutes", amount(test.wait_minutes)},
                        {"bits", amount(test.bits)},
                        {"opens", test.opens},
                        {"cautions", test.cautions}});
    }
    return list;
}

Json doubtful(const Report& report) {
    Json list = Json::array();
    for (const ReportDoubt& doubt : report.doubtful) {
        list.push_back({{"check", doubt.check},
                        {"value", doubt.value},
                        {"probability_bad", probability(doubt.probability_wrong)},
                        {"surprise", probability(doubt.surprise)}});
    }
    return list;
}

Json pivotal(const Report& report) {
    Json list = Json::array();
    for (const ReportPivot& pivot : report.pivotal) {
        Json leader = nullptr;
        if (!pivot.new_leader.empty()) {
            leader = pivot.new_leader;
        }
        list.push_back({{"check", pivot.check}, {"instead", pivot.instead}, {"leader", std::move(leader)}});
    }
    return list;
}

}  // namespace

std::string to_json(const Report& report, int indent) {
    Json out;
    out["frostread_result"] = kResultFormat;
    out["case"] = nullptr;
    if (report.case_id) {
        out["case"] = *report.case_id;
    }
    out["library"] = {
        {"name", report.library_name}, {"version", report.library_version}, {"overlays", report.overlays}};
    // Cautions stand first as well as in their place, so that a reader of a long result meets them.
    out["cautions"] = Json::array();
    for (const ReportCaution& caution : report.named_cautions) {
        out["cautions"].push_back({{"id", caution.id}, {"text", caution.text}});
    }
    out["conclusion"] = report.conclusion;
    out["faults"] = Json::array();
    for (const ReportFault& entry : report.faults) {
        out["faults"].push_back(fault(entry));
    }
    out["nothing_wrong"] = probability(report.nothing_wrong);
    out["something_else"] = probability(report.something_else);
    out["sets"] = Json::array();
    for (const ReportSet& set : report.sets) {
        out["sets"].push_back({{"faults", set.faults}, {"probability", probability(set.probability)}});
    }
    out["doubtful"] = doubtful(report);
    out["pivotal"] = pivotal(report);
    out["next"] = next(report);
    out["alternatives"] = alternatives(report);
    out["repairs"] = Json::array();
    for (const ReportRepair& option : report.repairs) {
        out["repairs"].push_back(repair(option));
    }
    out["warnings"] = report.warnings;
    return out.dump(indent, ' ', false, Json::error_handler_t::replace) + (indent < 0 ? "" : "\n");
}

}  // namespace frostread
