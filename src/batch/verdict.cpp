#include <algorithm>

#include "batch/case_runner.hpp"
#include "frostread/batch.hpp"
#include "frostread/present.hpp"
#include "present/report_words.hpp"

namespace frostread::batch {

BatchVerdict verdict_of(const Diagnosed& diagnosed) {
    const Library& library = diagnosed.model.compiled().library();
    const Posterior& posterior = diagnosed.posterior;
    BatchVerdict verdict;
    if (const auto first = leader(posterior)) {
        verdict.leader = library.faults[*first].id;
        verdict.probability = posterior.fault[*first];
    } else {
        const bool sound = posterior.nothing_wrong >= posterior.something_else;
        verdict.leader = sound ? "nothing-wrong" : "something-else";
        verdict.probability = sound ? posterior.nothing_wrong : posterior.something_else;
    }
    if (diagnosed.decision == nullptr) return verdict;
    verdict.action = to_word(diagnosed.decision->action);
    if (diagnosed.decision->test) verdict.check = library.checks[diagnosed.decision->test->check].id;
    // Before a test too: the line names the repair that the test is a last look before.
    if (diagnosed.decision->repair) verdict.fault = library.faults[diagnosed.decision->repair->fault].id;
    return verdict;
}

namespace {

/// What a line leaves out of a full result, so that a night of cases stays small: faults below the
/// floor, and the reasons of all but the leading fault.
void shorten(Report& report, const BatchOptions& options) {
    if (options.all_faults) return;
    auto& faults = report.faults;
    const auto small = std::find_if(faults.begin(), faults.end(),
                                    [&](const ReportFault& fault) { return fault.probability < options.floor; });
    faults.erase(std::max(small, faults.begin() + (faults.empty() ? 0 : 1)), faults.end());
}

}  // namespace

std::string result_line(const Diagnosed& diagnosed, const BatchOptions& options) {
    ReportOptions report_options;
    report_options.units = options.units;
    report_options.pivotal = false;
    report_options.confidence = options.plan.economy.confidence;
    report_options.why_above = options.all_faults ? options.floor : 2.0;
    const Decision none;
    Report report = build_report(diagnosed.model, diagnosed.the_case, diagnosed.findings, diagnosed.posterior,
                                 diagnosed.decision != nullptr ? *diagnosed.decision : none, report_options);
    for (const Diagnostic& warning : diagnosed.input) report.warnings.push_back(present::input_warning(warning));
    shorten(report, options);
    std::string line = to_json(report, -1);
    if (diagnosed.decision != nullptr) return line;
    // No step was worked out, so none is claimed: the whole member becomes null.
    const std::size_t next = line.find(",\"next\":{"), after = line.find(",\"alternatives\":", next);
    return line.replace(next, after - next, ",\"next\":null");
}

}  // namespace frostread::batch
