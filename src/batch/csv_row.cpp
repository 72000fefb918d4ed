#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "batch/case_runner.hpp"
#include "frostread/present.hpp"
#include "frostread/why.hpp"

/// One row per case (RFC 4180). Cautions stand before the step they belong to.
namespace frostread {

std::string_view batch_csv_header() {
    return "case,leader,probability,second,second_probability,nothing_wrong,something_else,doubtful,cautions,verdict,"
           "next_check,next_fault,minutes,error";
}

namespace batch {

namespace {

std::string field(std::string_view text) {
    if (text.find_first_of(",\"\r\n") == std::string_view::npos) return std::string(text);
    std::string quoted = "\"";
    for (const char c : text) {
        if (c == '"') quoted += '"';
        quoted += c;
    }
    return quoted + "\"";
}

std::string number(double value, double places) {
    return fmt::format("{}", std::round(value * places) / places + 0.0);
}

std::string joined(const std::vector<std::string>& words) {
    std::string out;
    for (const std::string& word : words) out += (out.empty() ? "" : " ") + word;
    return out;
}

}  // namespace

std::string csv_row(const Diagnosed& diagnosed) {
    ReportOptions options;
    options.pivotal = false;
    options.why_above = 2.0;
    Decision decision;
    if (diagnosed.decision != nullptr) decision = *diagnosed.decision;
    decision.alternatives.clear();
    decision.repairs.clear();
    const Report report =
        build_report(diagnosed.model, diagnosed.the_case, diagnosed.findings, diagnosed.posterior, decision, options);
    const BatchVerdict verdict = verdict_of(diagnosed);
    std::vector<std::string> doubtful, cautions;
    for (const ReportDoubt& doubt : report.doubtful) doubtful.push_back(doubt.check);
    for (const ReportCaution& caution : report.cautions) cautions.push_back(caution.id);
    // The best fault that does not lead: what a reader compares the leader with.
    const auto second = std::find_if(report.faults.begin(), report.faults.end(),
                                     [&](const ReportFault& fault) { return fault.id != verdict.leader; });
    std::string row = field(diagnosed.the_case.id);
    const auto add = [&row](const std::string& text) { row += "," + text; };
    add(verdict.leader);
    add(number(verdict.probability, 1e9));
    add(second == report.faults.end() ? "" : second->id);
    add(second == report.faults.end() ? "" : number(second->probability, 1e9));
    add(number(report.nothing_wrong, 1e9));
    add(number(report.something_else, 1e9));
    add(joined(doubtful));
    add(joined(cautions));
    add(verdict.action.value_or(""));
    add(verdict.check);
    add(verdict.fault);
    // As "next" of the line has it: who retires a unit or hands it over does not spend the minutes of the repair.
    const bool repairs = report.repair && report.action == Action::repair;
    const double minutes = report.test ? report.test->minutes : repairs ? report.repair->minutes : 0.0;
    add(diagnosed.decision != nullptr ? number(minutes, 1e3) : "");
    add("");
    return row;
}

std::string csv_error_row(const std::optional<std::string>& case_id, const Diagnostics& problems) {
    std::string what;
    for (const Diagnostic& problem : problems)
        if (problem.severity == Severity::error)
            what += (what.empty() ? "" : " | ") + where_words(problem) + ": " + what_words(problem);
    return field(case_id.value_or("")) + ",bad-case" + std::string(12, ',') + field(what);
}

}  // namespace batch

}  // namespace frostread
