#pragma once

#include <memory>
#include <optional>
#include <span>
#include <string>

#include "frostread/batch.hpp"

/// One worker's way from the text of a case to its answer.
namespace frostread::batch {

/// A case with everything that was worked out about it.
struct Diagnosed {
    const Case& the_case;
    const UnitModel& model;
    const Findings& findings;
    const Posterior& posterior;
    const Decision* decision;  ///< null when the next step was not asked for
    const Diagnostics& input;  ///< warnings of the reader
};

class FastReader;
class LineWriter;

class CaseRunner {
public:
    CaseRunner(std::shared_ptr<const CompiledLibrary> library, const BatchOptions& options);
    ~CaseRunner();
    CaseRunner(const CaseRunner&) = delete;
    CaseRunner& operator=(const CaseRunner&) = delete;
    CaseRunner(CaseRunner&&) = delete;
    CaseRunner& operator=(CaseRunner&&) = delete;

    /// Fills every field of `entry` that the options ask for. Never throws for a bad case.
    void run(const CaseText& item, BatchEntry& entry);

private:
    /// By the fast reader, or by the careful one when that declines. False: bad; the entry says why.
    bool read(const CaseText& item, BatchEntry& entry);
    [[nodiscard]] Posterior infer_for_line(const UnitModel& model, const Findings& findings, bool plans) const;
    void answer(const CaseText& item, const Case& the_case, BatchEntry& entry);

    std::shared_ptr<const CompiledLibrary> library_;
    const BatchOptions& options_;
    std::unique_ptr<FastReader> reader_;  ///< null: every case by the careful reader
    std::unique_ptr<LineWriter> writer_;  ///< null: every line by the general writer
    Case case_;                           ///< of the moment; kept for its memory
    UnitModel model_;                     ///< likewise
    Findings findings_;                   ///< likewise
    std::span<const CheckIndex> checks_;  ///< of the readings, when the fast reader read them
};

/// One line of JSON as `frostread diagnose --json` would say it, with what BatchOptions leaves out.
[[nodiscard]] std::string result_line(const Diagnosed& diagnosed, const BatchOptions& options);

/// { "case": …, "error": { "where": …, "what": …, "id": …, "pointer": … } }
[[nodiscard]] std::string error_line(const std::optional<std::string>& case_id, const Diagnostics& problems);

/// The id of a case that could not be read as a whole, when its text is JSON at all.
[[nodiscard]] std::optional<std::string> id_of_bad_case(const std::string& text);

[[nodiscard]] BatchVerdict verdict_of(const Diagnosed& diagnosed);

/// Columns of batch_csv_header.
[[nodiscard]] std::string csv_row(const Diagnosed& diagnosed);
[[nodiscard]] std::string csv_error_row(const std::optional<std::string>& case_id, const Diagnostics& problems);

/// Requires: the case is closed.
[[nodiscard]] BatchScore score_of(const Diagnosed& diagnosed);

/// `diagnosed` is null for a case that is bad now. `old_line` may be anything.
[[nodiscard]] BatchChange change_of(const Diagnosed* diagnosed, const BatchVerdict& now,
                                    const std::optional<std::string>& case_id, const std::string& old_line,
                                    const OldResults* others);

/// Where and what, each on one line: "night.jsonl:17:30" and "no check is named …; expected …".
[[nodiscard]] std::string where_words(const Diagnostic& problem);
[[nodiscard]] std::string what_words(const Diagnostic& problem);

}  // namespace frostread::batch
