#pragma once

#include <string>
#include <vector>

#include "frostread/present.hpp"
#include "frostread/session.hpp"

/// Views of a session as text for people. Every form prints cautions before the step they belong to.
namespace frostread::present {

// ---------------------------------------------------------------- call

/// After a line: what was put down, what to mind, the leaders with how they moved, cautions, the next step.
[[nodiscard]] std::string call_update(const View& view, const TextStyle& style);

/// What a line would change; ends in "nothing recorded."
[[nodiscard]] std::string call_what_if(const View& view, const TextStyle& style);

/// The leaders on one line: "25 % charge low ▲   14 % condenser dirty ▼".
[[nodiscard]] std::string leaders_line(const View& view, const TextStyle& style, std::size_t most = 3);

/// The next step in full: cautions, steps, what each answer would settle.
[[nodiscard]] std::string next_step(const Report& report, const TextStyle& style);

/// Reasons for and against one fault, one row per reading.
[[nodiscard]] std::string reasons(const Report& report, const std::string& fault, const TextStyle& style);

/// Unit, readings in order, what was skipped and taken back, what is open.
[[nodiscard]] std::string case_overview(const Library& library, const Case& the_case, UnitPreference units,
                                        const TextStyle& style);

// ---------------------------------------------------------------- guide

/// Cautions, the question, why it is asked, the choices.
[[nodiscard]] std::string question_text(const GuideQuestion& question, const TextStyle& style);

/// How it is done and how to tell the answers apart; cautions first.
[[nodiscard]] std::string how_text(const GuideQuestion& question, const TextStyle& style);

/// What the question separates and what each answer would mean.
[[nodiscard]] std::string why_text(const GuideQuestion& question, const TextStyle& style);

/// After an answer: what was put down and what it spoke for and against.
[[nodiscard]] std::string answer_text(const View& view, const TextStyle& style);

/// The end: what to do and how to prove it, the evidence, the way, the shorter way.
[[nodiscard]] std::string recap_text(const Recap& recap, const TextStyle& style);

// ---------------------------------------------------------------- both

/// The repair of the report and what belongs to the same visit; "" without a repair. `lead` begins the heading,
/// `remark` stands below the steps of the first.
[[nodiscard]] std::string repair_text(const Report& report, std::string_view lead, const std::string& remark,
                                      const TextStyle& style);

/// Weights for and against in two columns, with their sum; then reasons_told.
[[nodiscard]] std::string reason_table(const ReportLedger& why, const TextStyle& style);
/// What lies behind the heaviest readings that speak for it, in words; "" when the rules say nothing.
[[nodiscard]] std::string reasons_told(const ReportLedger& why, const TextStyle& style);

/// What becomes of the plug when the person leaves.
enum class PlugAtTheEnd { as_it_is, goes_in, stays_out, comes_out };
/// A unit that is retired is not plugged in again, and one that must stay without power is said to.
[[nodiscard]] PlugAtTheEnd plug_at_the_end(const Report& report);

/// "Before you go: close up again (behind the rear cover), then put the plug back in."; "" when all is shut and in.
/// What only somebody else may close is left as it is, without power, and said to be theirs.
[[nodiscard]] std::string close_up(const Report& report);

/// The same as a line of a report that ends the visit; "" while testing goes on.
[[nodiscard]] std::string before_you_go(const Report& report, const TextStyle& style);

/// Why a further repair belongs to the same visit.
[[nodiscard]] std::string same_visit_reason(const ReportRepair& further);

/// Ids of the cautions of a further repair that do not stand above the ones before it.
[[nodiscard]] std::vector<std::string> further_cautions(const Report& report, std::size_t further);

/// Those cautions of a report that a step names.
[[nodiscard]] std::vector<ReportCaution> cautions_of(const Report& report, const std::vector<std::string>& ids);

/// Steps with their numbers, wrapped.
[[nodiscard]] std::string numbered(const std::vector<std::string>& steps, std::size_t width);

/// "! text" for each caution, wrapped.
[[nodiscard]] std::string caution_block(const std::vector<ReportCaution>& cautions, const TextStyle& style,
                                        std::string_view indent = "");

}  // namespace frostread::present
