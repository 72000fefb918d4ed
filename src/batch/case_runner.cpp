#include "batch/case_runner.hpp"

#include <utility>

#include "frostread/files.hpp"
#include "frostread/present.hpp"

namespace frostread::batch {

namespace {

constexpr std::size_t kMostModels = 1024;  ///< kept per worker; a fleet has few kinds of units

/// Everything stated of a unit as one string. Equal keys mean equal models.
std::string key_of(const UnitTraits& unit) {
    std::string key;
    for (const auto& [trait, word] : unit.words) key.append(trait).append(1, '\0').append(word).append(1, '\0');
    key += '\1';
    for (const auto& [trait, number] : unit.numbers) {
        key.append(trait).append(1, '\0');
        key.append(reinterpret_cast<const char*>(&number), sizeof number);
    }
    return key;
}

}  // namespace

const UnitModel& CaseRunner::model_for(const UnitTraits& unit) {
    std::string key = key_of(unit);
    const auto found = models_.find(key);
    if (found != models_.end()) return found->second;
    if (models_.size() >= kMostModels) models_.clear();
    return models_.emplace(std::move(key), fit_to_unit(library_, unit)).first->second;
}

void CaseRunner::run(const CaseText& item, BatchEntry& entry) {
    entry = BatchEntry{};
    std::optional<Case> the_case;
    if (item.trouble) {
        entry.diagnostics.push_back(*item.trouble);
    } else {
        Result<Case> read = read_case(item.text, *item.file, library_->library());
        entry.diagnostics = std::move(read.diagnostics());
        for (Diagnostic& diagnostic : entry.diagnostics)
            if (diagnostic.place.line > 0) diagnostic.place.line += item.line - 1;
        if (read) the_case = std::move(*read);
    }
    if (the_case) {
        if (!the_case->id.empty()) entry.case_id = the_case->id;
        answer(item, *the_case, entry);
        return;
    }
    entry.bad = true;
    entry.case_id = id_of_bad_case(item.text);
    entry.verdict.leader = "bad-case";
    entry.line = error_line(entry.case_id, entry.diagnostics);
    if (options_.csv) entry.csv = csv_error_row(entry.case_id, entry.diagnostics);
    if (options_.compare)
        entry.change = change_of(nullptr, entry.verdict, entry.case_id, item.old_result, options_.old_results);
}

void CaseRunner::answer(const CaseText& item, const Case& the_case, BatchEntry& entry) {
    const UnitModel& model = model_for(the_case.unit);
    const Findings findings = gather(model, the_case);
    const Posterior posterior = infer(model, findings, options_.infer);
    std::optional<Decision> decision;
    if (options_.next)
        decision = decide(model, the_case, findings, posterior, job_state(model, the_case), options_.plan);
    const Diagnosed diagnosed{the_case, model, findings, posterior, decision ? &*decision : nullptr};
    entry.verdict = verdict_of(diagnosed);
    if (options_.lines) entry.line = result_line(diagnosed, options_);
    if (options_.csv) entry.csv = csv_row(diagnosed);
    if (options_.score && the_case.closed) entry.score = score_of(diagnosed);
    if (options_.compare)
        entry.change = change_of(&diagnosed, entry.verdict, entry.case_id, item.old_result, options_.old_results);
}

}  // namespace frostread::batch
