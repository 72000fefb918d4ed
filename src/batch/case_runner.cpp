#include "batch/case_runner.hpp"

#include <algorithm>
#include <utility>

#include "batch/fast_reader.hpp"
#include "batch/line_writer.hpp"
#include "engine/stages.hpp"
#include "frostread/files.hpp"
#include "frostread/present.hpp"

namespace frostread::batch {

namespace {

constexpr std::size_t kFewSets = 16;
constexpr double kFewAbove = 1e-5;

}  // namespace

CaseRunner::CaseRunner(std::shared_ptr<const CompiledLibrary> library, const BatchOptions& options)
    : library_(std::move(library)), options_(options) {
    if (options.plain) return;
    reader_ = std::make_unique<FastReader>(*library_);
    if (!options.all_faults) writer_ = std::make_unique<LineWriter>(library_, options);
}

CaseRunner::~CaseRunner() = default;

bool CaseRunner::read(const CaseText& item, BatchEntry& entry) {
    if (item.trouble) {
        entry.diagnostics.push_back(*item.trouble);
        return false;
    }
    checks_ = {};
    if (reader_ && reader_->read(item.text, case_)) {
        checks_ = reader_->checks();
        return true;
    }
    Result<Case> careful = read_case(item.text, *item.file, library_->library());
    entry.diagnostics = std::move(careful.diagnostics());
    for (Diagnostic& diagnostic : entry.diagnostics)
        if (diagnostic.place.line > 0) diagnostic.place.line += item.line - 1;
    if (careful) case_ = std::move(*careful);
    return careful.has_value();
}

void CaseRunner::run(const CaseText& item, BatchEntry& entry) {
    entry.bad = false;
    entry.case_id.reset();
    entry.line.clear();
    entry.csv.clear();
    entry.diagnostics.clear();
    entry.verdict = BatchVerdict{};
    entry.change.reset();
    entry.score.reset();
    if (read(item, entry)) {
        if (!case_.id.empty()) entry.case_id = case_.id;
        answer(item, case_, entry);
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

/// A line shows few sets, so few are put in order, unless the leader's reasons ask for one further down.
Posterior CaseRunner::infer_for_line(const UnitModel& model, const Findings& findings, bool plans) const {
    if (!writer_ || plans || options_.csv || options_.score || options_.compare)
        return infer(model, findings, options_.infer);
    InferOptions few = options_.infer;
    few.max_sets = kFewSets;
    few.keep_above = kFewAbove;
    Posterior posterior = infer(model, findings, few);
    if (posterior.sets.size() < LineWriter::kListedSets) return infer(model, findings, options_.infer);
    const auto best = std::max_element(posterior.fault.begin(), posterior.fault.end());
    bool with = best == posterior.fault.end(), without = with;
    for (const WeightedSet& weighted : posterior.sets) {
        bool holds_it = false;
        for (std::size_t i = 0; i < weighted.set.size; ++i) {
            const FaultIndex fault = library_->alternative(weighted.set.members.at(i)).fault;
            holds_it = holds_it || fault == static_cast<FaultIndex>(best - posterior.fault.begin());
        }
        (holds_it ? with : without) = true;
        if (with && without) return posterior;
    }
    return infer(model, findings, options_.infer);
}

void CaseRunner::answer(const CaseText& item, const Case& the_case, BatchEntry& entry) {
    fit_to_unit(library_, the_case.unit, model_);
    const UnitModel& model = model_;
    gather(model, the_case, checks_, findings_);
    const Findings& findings = findings_;
    const bool plans = options_.next && (options_.closed_next || !the_case.closed);
    const Posterior posterior = infer_for_line(model, findings, plans);
    std::optional<Decision> decision;
    if (plans) decision = decide(model, the_case, findings, posterior, job_state(model, the_case), options_.plan);
    const Diagnosed diagnosed{the_case, model, findings, posterior, decision ? &*decision : nullptr, entry.diagnostics};
    entry.verdict = verdict_of(diagnosed);
    if (options_.lines && writer_ && !plans)
        writer_->append(entry.line, diagnosed);
    else if (options_.lines)
        entry.line = result_line(diagnosed, options_);
    if (options_.csv) entry.csv = csv_row(diagnosed);
    if (options_.score && the_case.closed) entry.score = score_of(diagnosed);
    if (options_.compare)
        entry.change = change_of(&diagnosed, entry.verdict, entry.case_id, item.old_result, options_.old_results);
}

}  // namespace frostread::batch
