#include "frostread/report.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "frostread/compiled_library.hpp"
#include "present/caution_list.hpp"
#include "present/report_words.hpp"
#include "present/writers.hpp"

namespace frostread {

namespace {

using present::CautionList;
using present::finding_words;

/// Everything the parts of a report are made from.
struct Source {
    const UnitModel& model;
    const CompiledLibrary& compiled;
    const Library& library;
    const Case& the_case;
    const Findings& findings;
    const Posterior& posterior;
    UnitPreference units;
    std::vector<std::string> keep_off = {};  ///< cautions of readings that forbid power

    [[nodiscard]] const Check& check_of(const Finding& finding) const { return library.checks[finding.check]; }
    [[nodiscard]] present::ValueWords words_of(const Finding& finding) const {
        return finding_words(check_of(finding), finding, the_case.readings[finding.reading], units);
    }
    [[nodiscard]] std::string fault_name(const std::optional<FaultIndex>& fault) const {
        return fault ? library.faults[*fault].name : "nothing wrong or something not listed";
    }
    [[nodiscard]] std::string fault_id(const std::optional<FaultIndex>& fault) const {
        return fault ? library.faults[*fault].id : "";
    }
};

/// The fault that tells the rival from the favoured set, or the kind of hypothesis.
std::string rival_id(const Source& source, const Ledger& ledger) {
    if (ledger.rival.kind == HypothesisKind::nothing_wrong) {
        return "nothing-wrong";
    }
    if (ledger.rival.kind == HypothesisKind::something_else) {
        return "something-else";
    }
    std::string first;
    for (std::size_t i = 0; i < ledger.rival.size; ++i) {
        const AlternativeIndex member = ledger.rival.members.at(i);
        const std::string& id = source.library.faults[source.compiled.alternative(member).fault].id;
        if (!ledger.favoured.contains(member)) {
            return id;
        }
        first = first.empty() ? id : first;
    }
    return first;
}

ReportLedger ledger_of(const Source& source, const Ledger& ledger) {
    ReportLedger out;
    out.favoured_words = present::set_words(source.compiled, ledger.favoured);
    out.rival_words = present::set_words(source.compiled, ledger.rival);
    out.rival = rival_id(source, ledger);
    out.prior_db = ledger.prior_db;
    out.margin_db = ledger.margin_db;
    for (const ReadingWeight& weight : ledger.weights) {
        const Finding& finding = source.findings.items[weight.finding];
        const present::ValueWords words = source.words_of(finding);
        const Check& check = source.check_of(finding);
        std::string because;
        for (std::size_t i = 0; i < ledger.favoured.size && because.empty() && weight.decibans > 0.0; ++i)
            because = reason_of(source.model, source.compiled.alternative(ledger.favoured.members.at(i)).fault,
                                finding.check);
        out.weights.push_back({check.id, check.name, words.value, words.words, weight.decibans, std::move(because)});
    }
    return out;
}

std::vector<ReportFault> faults_of(const Source& source, const ReportOptions& options) {
    std::vector<ReportFault> out;
    for (const RankedFault& ranked : rank(source.model, source.posterior)) {
        const Fault& fault = source.library.faults[ranked.fault];
        ReportFault entry;
        entry.id = fault.id;
        entry.name = fault.name;
        entry.system = fault.system;
        entry.probability = ranked.probability;
        for (std::size_t grade = 0; grade < fault.grades.size() && grade < ranked.grades.size(); ++grade) {
            entry.grades.emplace_back(fault.grades[grade].id, ranked.grades[grade]);
            entry.grade_names.push_back(fault.grades[grade].name);
        }
        if (out.empty() || ranked.probability >= options.why_above || fault.id == options.why_fault) {
            entry.why = ledger_of(source, explain(source.model, source.findings, source.posterior, ranked.fault));
        }
        out.push_back(std::move(entry));
    }
    return out;
}

std::vector<ReportDoubt> doubts_of(const Source& source) {
    std::vector<ReportDoubt> out;
    for (const DoubtfulReading& doubt : doubtful_readings(source.model, source.findings, source.posterior)) {
        const Finding& finding = source.findings.items[doubt.finding];
        const present::ValueWords words = source.words_of(finding);
        const Check& check = source.check_of(finding);
        out.push_back({check.id, check.name, words.value, words.words, doubt.probability_wrong, doubt.surprise});
    }
    return out;
}

std::vector<ReportPivot> pivots_of(const Source& source) {
    std::vector<ReportPivot> out;
    for (const PivotalReading& pivot : pivotal_readings(source.model, source.findings, source.posterior)) {
        const Finding& finding = source.findings.items[pivot.finding];
        const Check& check = source.check_of(finding);
        ReportPivot entry;
        entry.check = check.id;
        entry.check_name = check.name;
        if (pivot.deviation) {
            entry.instead = "normal";
            entry.instead_words = "normal";
        } else {
            entry.instead = check.outcomes[pivot.instead].id;
            entry.instead_words = check.outcomes[pivot.instead].name;
        }
        entry.new_leader = source.fault_id(pivot.new_leader);
        entry.new_leader_name = source.fault_name(pivot.new_leader);
        out.push_back(std::move(entry));
    }
    return out;
}

/// A step of the check itself says when to plug in.
bool says_plug_in(const Check& check) {
    return std::any_of(check.steps.begin(), check.steps.end(), [](const std::string& step) {
        return step.find("lug in") != std::string::npos || step.find("plug back") != std::string::npos;
    });
}

/// What the person does, in order: power on again, wait for what must hold, then the check itself.
std::vector<std::string> test_steps(const Source& source, const Check& check, const CheckValue& value) {
    std::vector<std::string> steps;
    if (check.power == Power::on && source.the_case.job.power == "off" && value.opens.empty() && !says_plug_in(check))
        steps.emplace_back("Hands, tools and wires clear of the fan and of open contacts: put the plug back in.");
    // It has to run before the next panel comes off, and not with this one still off.
    const std::vector<std::string>& open = source.the_case.job.open_areas;
    if (check.power == Power::on && source.the_case.job.power == "off" && !value.opens.empty() && !open.empty()) {
        std::vector<std::string> names;
        for (const std::string& id : open) {
            const Area* area = find_area(source.library, id);
            names.push_back(area == nullptr ? id : area->name);
        }
        steps.push_back(fmt::format("Close up what is open ({}), hands and tools clear, and put the plug back in.",
                                    present::join_words(names)));
    }
    for (const std::string& id : value.waits) {
        if (const Condition* condition = find_condition(source.library, id)) {
            steps.push_back(fmt::format("Wait until this holds: {}.", condition->name));
        }
    }
    // The check's own steps say when to open what; what must be proved before comes first there.
    steps.insert(steps.end(), check.steps.begin(), check.steps.end());
    return steps;
}

/// A panel is off, the mains is on, and the test is somewhere else.
bool leaves_a_live_panel(const JobRecord& job, const Check& check) {
    const auto is_needed = [&](const std::string& id) {
        return std::find(check.areas.begin(), check.areas.end(), id) != check.areas.end();
    };
    return job.power == "on" && !job.open_areas.empty() &&
           std::none_of(job.open_areas.begin(), job.open_areas.end(), is_needed);
}

/// While a leak or the like leads, gas may stand about the unit: said before every test, also where it is not opened.
void add_gas_cautions(const Source& source, CautionList& cautions) {
    const auto leading = leader(source.posterior);
    if (!leading) return;
    const std::string& system = source.library.faults[*leading].system;
    for (const Caution& caution : source.library.cautions) {
        const auto& systems = caution.systems;
        if (caution.plug_stays_out && std::find(systems.begin(), systems.end(), system) != systems.end())
            cautions.add(caution.id);
    }
}

ReportTest test_of(const Source& source, const CheckValue& value) {
    const Check& check = source.library.checks[value.check];
    ReportTest out;
    out.check = check.id;
    out.name = check.name;
    out.question = check.question;
    out.minutes = value.minutes;
    out.wait_minutes = value.wait_minutes;
    out.bits = value.bits;
    out.opens = value.opens;
    out.repeat = value.repeat;
    out.steps = test_steps(source, check, value);
    out.takes_quantity = check.kind == CheckKind::gauge || check.kind == CheckKind::banded;
    if (out.takes_quantity)
        out.answers.emplace_back(preferred_measure(find_measure(check.unit)->dimension, source.units).symbol);
    for (const Outcome& outcome : check.outcomes)
        if (holds(outcome.where, source.the_case.unit) != Truth::no) out.answers.push_back(outcome.id);
    CautionList cautions(source.library, source.the_case.unit);
    cautions.add(source.keep_off);
    if (leaves_a_live_panel(source.the_case.job, check))
        for (const Caution& caution : source.library.cautions)
            if (caution.on_live_panel) cautions.add(caution.id);
    add_gas_cautions(source, cautions);
    cautions.add_areas(check.areas);
    cautions.add(check.cautions);
    for (const std::string& id : value.opens) {
        const Area* area = find_area(source.library, id);
        out.opens_names.push_back(area == nullptr ? id : area->name);
        out.opens_how.push_back(area == nullptr ? "" : area->how_to_open);
    }
    for (const CheckIndex other : value.also) {
        const Check& also = source.library.checks[other];
        out.also.push_back(also.id);
        out.also_names.push_back(also.name);
        out.also_minutes.push_back(also.minutes);
        cautions.add_areas(also.areas);
        cautions.add(also.cautions);
    }
    out.cautions = cautions.ids();
    for (const ExpectedOutcome& outcome : value.outcomes) {
        out.outcomes.push_back({outcome.label, outcome.probability, source.fault_id(outcome.leader),
                                source.fault_name(outcome.leader), outcome.leader_probability});
    }
    return out;
}

ReportQuestion question_of(const Source& source, const TraitQuestion& asked) {
    ReportQuestion out;
    out.trait = asked.trait;
    if (const Trait* trait = find_trait(source.library, asked.trait)) {
        out.name = trait->name;
        out.question = trait->question;
        out.how = trait->how;
    }
    out.minutes = asked.minutes;
    out.bits = asked.bits;
    for (const TraitQuestion::Answer& answer : asked.answers) {
        out.outcomes.push_back({answer.label, answer.probability, source.fault_id(answer.leader),
                                source.fault_name(answer.leader), answer.leader_probability});
        out.values.push_back(answer.value);
    }
    return out;
}

std::string proof_sentence(const Library& library, const Proof& proof) {
    const Check* check = find_check(library, proof.check);
    if (check == nullptr) {
        return fmt::format("{} {}", proof.expect, proof.when);
    }
    const Outcome* outcome = find_outcome(*check, proof.expect);
    return fmt::format("{}: {}{}{}", present::sentence_case(check->name),
                       outcome == nullptr ? proof.expect : outcome->name, proof.when.empty() ? "" : ", ", proof.when);
}

/// Those that this unit can show; all of them where it can show none, rather than leave a cure unproved.
std::vector<std::string> proof_sentences(const Source& source, const std::vector<Proof>& proofs) {
    std::vector<std::string> on_unit, all;
    for (const Proof& proof : proofs) {
        const Check* check = find_check(source.library, proof.check);
        all.push_back(proof_sentence(source.library, proof));
        if (check == nullptr || holds(check->where, source.the_case.unit) != Truth::no) on_unit.push_back(all.back());
    }
    return on_unit.empty() ? all : on_unit;
}

ReportRepair repair_of(const Source& source, const RepairOption& option) {
    const Fault& fault = source.library.faults[option.fault];
    ReportRepair out;
    out.remedy = option.remedy;
    out.name = fault.remedy.name;
    out.fault = fault.id;
    out.fault_name = fault.name;
    out.steps.insert(out.steps.end(), fault.remedy.steps.begin(), fault.remedy.steps.end());
    out.proof = proof_sentences(source, fault.remedy.proof);
    CautionList cautions(source.library, source.the_case.unit);
    cautions.add(source.keep_off);
    cautions.add_areas(fault.remedy.areas);
    cautions.add(fault.remedy.cautions);
    cautions.add(fault.cautions);
    cautions.add_system(fault.system);
    out.cautions = cautions.ids();
    out.probability = option.probability;
    out.minutes = option.minutes;
    out.parts = option.parts;
    out.cost = option.cost;
    out.who = option.who;
    return out;
}

/// Every fault that a person would act on: the leader and the members of the likeliest set.
void add_fault_cautions(const Source& source, const Report& report, CautionList& cautions) {
    const auto add = [&](const Fault& fault) {
        cautions.add(fault.cautions);
        cautions.add_system(fault.system);
    };
    if (!report.faults.empty()) {
        if (const Fault* leader = find_fault(source.library, report.faults.front().id)) {
            add(*leader);
        }
    }
    if (!source.posterior.sets.empty()) {
        const FaultSet& best = source.posterior.sets.front().set;
        for (std::size_t i = 0; best.kind == HypothesisKind::faults && i < best.size; ++i) {
            add(source.library.faults[source.compiled.alternative(best.members.at(i)).fault]);
        }
    }
}

CautionList all_cautions(const Source& source, const Report& report) {
    CautionList cautions(source.library, source.the_case.unit);
    cautions.add(source.keep_off);
    add_fault_cautions(source, report, cautions);
    if (report.test) {
        cautions.add(report.test->cautions);
    }
    if (report.repair && report.action == Action::repair) {
        cautions.add(report.repair->cautions);
    }
    for (const ReportRepair& further : report.same_visit) {
        cautions.add(further.cautions);
    }
    for (const Caution& caution : source.library.cautions)
        if (caution.on_retire && report.action == Action::retire) cautions.add(caution.id);
    return cautions;
}

std::vector<ReportCaution> with_texts(const CautionList& cautions) {
    std::vector<ReportCaution> out;
    for (const Caution* caution : cautions.sorted()) {
        out.push_back({caution->id, caution->text});
    }
    return out;
}

}  // namespace

Report build_report(const UnitModel& model, const Case& the_case, const Findings& findings, const Posterior& posterior,
                    const Decision& decision, const ReportOptions& options) {
    const CompiledLibrary& compiled = model.compiled();
    const Source source{model,    compiled,  compiled.library(), the_case,
                        findings, posterior, options.units,      keep_off_cautions(model, findings)};
    Report report;
    if (!the_case.id.empty()) {
        report.case_id = the_case.id;
    }
    report.library_name = source.library.name;
    report.library_version = source.library.version;
    report.overlays = source.library.overlays;
    report.unit_words = present::unit_words(source.library, the_case.unit);
    report.faults = faults_of(source, options);
    report.nothing_wrong = posterior.nothing_wrong;
    report.something_else = posterior.something_else;
    for (const WeightedSet& weighted : posterior.sets) {
        if (report.sets.size() == options.max_sets) {
            break;
        }
        report.sets.push_back({present::set_ids(compiled, weighted.set), weighted.probability});
    }
    report.doubtful = doubts_of(source);
    if (options.pivotal) {
        report.pivotal = pivots_of(source);
    }
    report.action = decision.action;
    report.because = decision.because;
    if (decision.test) {
        report.test = test_of(source, *decision.test);
    }
    if (decision.repair) {
        report.repair = repair_of(source, *decision.repair);
    }
    for (const RepairOption& option : decision.same_visit) {
        report.same_visit.push_back(repair_of(source, option));
    }
    if (decision.ask) {
        report.ask = question_of(source, *decision.ask);
    }
    for (const std::string& id : the_case.job.open_areas) {
        const Area* area = find_area(source.library, id);
        if (area != nullptr && area->who > decision.may)
            report.left_open.emplace_back(area->name, area->who);
        else
            report.still_open.push_back(area == nullptr ? id : area->name);
    }
    report.plug_out = the_case.job.power == "off";
    report.worth = decision.worth;
    report.currency = source.library.economy.currency;
    for (const CheckValue& value : decision.alternatives) {
        report.alternatives.push_back(test_of(source, value));
    }
    for (const RepairOption& option : decision.repairs) {
        report.repairs.push_back(repair_of(source, option));
    }
    CautionList cautions = all_cautions(source, report);
    report.cautions = with_texts(cautions);
    for (const ReportTest& other : report.alternatives) {
        cautions.add(other.cautions);
    }
    report.named_cautions = with_texts(cautions);
    report.plug_stays_out = !source.keep_off.empty();
    if (report.action == Action::refer || report.action == Action::retire)
        for (const ReportCaution& caution : report.cautions)
            report.plug_stays_out = report.plug_stays_out || find_caution(source.library, caution.id)->plug_stays_out;
    for (const std::string& overlay : report.overlays) {
        report.warnings.push_back(fmt::format("Your shop's own rules were used: {}.", overlay));
    }
    for (std::string& sentence : present::note_sentences(source.library, the_case, findings)) {
        report.warnings.push_back(std::move(sentence));
    }
    report.conclusion = present::conclusion_sentence(report, options.confidence);
    return report;
}

Report diagnose(const UnitModel& model, const Case& the_case, const PlanOptions& plan,
                const InferOptions& infer_options, const ReportOptions& options) {
    const Findings findings = gather(model, the_case);
    const Posterior posterior = infer(model, findings, infer_options);
    const Decision decision = decide(model, the_case, findings, posterior, job_state(model, the_case), plan);
    return build_report(model, the_case, findings, posterior, decision, options);
}

}  // namespace frostread
