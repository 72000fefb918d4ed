#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "frostread/engine.hpp"
#include "frostread/planner.hpp"
#include "frostread/quantity.hpp"
#include "frostread/result.hpp"

/// Saved cases in bulk: a stream of case texts in, one answer per case out, in the order of the input.
/// Memory does not grow with the number of cases. No file is opened here.
namespace frostread {

/// One case as it stood in an input.
struct CaseText {
    std::string text;
    const std::string* file = nullptr;  ///< name to put into messages; outlives the batch
    std::size_t line = 1;               ///< of the file, where the text begins
    std::optional<Diagnostic> trouble;  ///< the text could not be read at all; `text` is empty
    std::string old_result;             ///< --compare: the line of the earlier run with the same place
};

/// Where cases come from. Asked by one thread only.
class CaseSource {
public:
    virtual ~CaseSource() = default;
    /// Puts the next case into `item`, whose strings may be reused; false at the end.
    virtual bool next(CaseText& item) = 0;
    /// False: next() would have to wait for whoever feeds the input, so it is time to answer what is there.
    virtual bool ready() { return true; }
};

/// What one case comes down to. `leader` is a fault id, "nothing-wrong", "something-else" or, for a
/// bad case, "bad-case".
struct BatchVerdict {
    std::string leader;
    double probability = 0.0;
    std::optional<std::string> action;  ///< none when the next step was not asked for
    std::string check;                  ///< the next test; may be empty
    std::string fault;                  ///< the fault whose repair is meant; may be empty
};

/// How one case of an earlier run differs.
struct BatchChange {
    bool had_before = false;  ///< the earlier run had this case
    bool leader = false, verdict = false, next_test = false;
    BatchVerdict before;
    double leader_before = 0.0;  ///< probability that the earlier run gave to the present leader; < 0: not listed
    double before_now = 0.0;     ///< probability of the earlier leader now; < 0: not on this unit
    /// The readings whose weight for the earlier leader moved most.
    struct Move {
        std::string check, value;
        std::optional<double> before_db, now_db;  ///< none: the reading did not count
    };
    std::vector<Move> moves;
    [[nodiscard]] bool any() const { return had_before && (leader || verdict || next_test); }
};

/// How a closed case was judged. Each fault that was found is one entry.
struct BatchScore {
    struct Found {
        std::string fault;      ///< id, or "nothing-wrong"
        std::string system;     ///< id, or "nothing-wrong"
        std::string predicted;  ///< system that stood in its place in the ranking
        double probability = 0.0;
        std::size_t rank = 1;  ///< 1: only other faults that were found stand above it
    };
    std::vector<Found> found;
    double leader_probability = 0.0;
    bool leader_found = false;
    double brier = 0.0;
    std::string reasons;  ///< why the leader led; only for cases that went wrong
};

/// The answer to one case.
struct BatchEntry {
    bool bad = false;
    std::optional<std::string> case_id;
    std::string line;         ///< result or error as one JSON object, without a newline
    std::string csv;          ///< the same as one CSV row, without a newline; only when asked for
    Diagnostics diagnostics;  ///< errors of a bad case, warnings of a good one; places are those of the input
    BatchVerdict verdict;
    std::optional<BatchChange> change;  ///< only when asked for
    std::optional<BatchScore> score;    ///< only when asked for and the case is closed
};

/// Takes the answers, in input order, on the thread that called run_batch. False stops the batch.
class BatchSink {
public:
    virtual ~BatchSink() = default;
    virtual bool take(const CaseText& item, const BatchEntry& entry) = 0;
    /// Everything that came was taken, and nothing more is there at the moment: somebody may wait for it.
    virtual void idle() {}
};

/// Answers of an earlier run by case id, for cases that do not stand in the same place any more.
/// Asked by several threads at once.
class OldResults {
public:
    virtual ~OldResults() = default;
    /// The line of that case, or none.
    [[nodiscard]] virtual std::optional<std::string> find(const std::string& case_id) const = 0;
};

struct BatchOptions {
    unsigned jobs = 1;
    bool next = true;          ///< false: no next step, "next" is null; some hundred times faster
    bool closed_next = false;  ///< a next step for closed cases too, on which nothing is left to do
    bool all_faults = false;   ///< every fault, and reasons for all of them from `floor` up
    double floor = 0.001;      ///< faults below this probability are left out of a line
    bool lines = true;         ///< make BatchEntry::line of good cases
    bool csv = false;          ///< make BatchEntry::csv
    bool score = false;        ///< make BatchEntry::score
    bool compare = false;      ///< make BatchEntry::change
    bool plain = false;        ///< read and write every case by the general functions; the answers are the same
    const OldResults* old_results = nullptr;
    PlanOptions plan;
    InferOptions infer;
    UnitPreference units = UnitPreference::si;
};

/// Diagnoses every case of `source`. The same answers whatever `jobs` is.
/// Throws what a worker threw, at the place of that case.
void run_batch(const std::shared_ptr<const CompiledLibrary>& library, CaseSource& source, const BatchOptions& options,
               BatchSink& sink);

/// Header of the CSV form.
[[nodiscard]] std::string_view batch_csv_header();

/// An invented closed case out of the library's own model: a unit from the library's mix, hidden faults from its
/// prior, about `readings` readings. Deterministic in (library, seed, number), the same on every platform.
[[nodiscard]] Case draw_closed_case(const std::shared_ptr<const CompiledLibrary>& library, std::uint64_t seed,
                                    std::uint64_t number, std::size_t readings);

}  // namespace frostread
