#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "frostread/result.hpp"
#include "frostread/session.hpp"

/// A made-up unit with a hidden fault, to find it by asking for checks, and the planner's own way over the
/// same unit with the same answers. Everything comes out of the library's numbers and a seed: it tests a
/// person's method and the arithmetic, never whether the rules are true. May change between versions.
namespace frostread {

struct PracticeOptions {
    std::uint64_t seed = 1;
    std::string system;  ///< id; one of the hidden faults is of it; "" any
    std::string fault;   ///< id or "id:grade"; it is among the hidden faults; "" any
    UnitTraits unit;     ///< what is given; the other traits are drawn
    PlanOptions plan;
    InferOptions infer;
    UnitPreference units = UnitPreference::si;
    Who may = Who::technician;        ///< highest work the learner may do
    std::vector<std::string> cannot;  ///< as JobState::cannot
};

/// A check that is about to be done. Cautions are to be printed before its answer.
struct PracticeStep {
    CheckIndex check = 0;
    std::string name;
    std::vector<ReportCaution> cautions;  ///< most dangerous first
    std::vector<std::string> opens_names;
    std::string power;               ///< "", "on", "off": the plug has to be put so
    bool panels_off = false;         ///< something is open when it is plugged in
    std::vector<std::string> waits;  ///< what must be waited for, in words
    double minutes = 0.0;            ///< of work, with opening, closing and switching
    double wait_minutes = 0.0;
    std::string refused;  ///< why it cannot be done; "" when it can
};

/// What one reading told about what is hidden.
struct PracticeMove {
    std::string name;  ///< of the hidden fault, or "nothing wrong"
    double before = 0.0, after = 0.0;
    double decibans = 0.0;  ///< change of its log odds
};

struct PracticeRow {
    std::string check, name;
    std::string value;  ///< as in a result: outcome ids or the quantity
    std::string words;
    double minutes = 0.0, wait_minutes = 0.0;
    bool wrong = false;  ///< the reading was a wrong one, as one in fifty is
    std::vector<PracticeMove> moves;
    [[nodiscard]] double decibans() const;  ///< of the move that is largest
};

/// How a case is ended.
struct PracticeVerdict {
    enum class Kind {
        none,     ///< not ended
        repair,   ///< `faults` are to be repaired
        refer,    ///< handed over, perhaps for `faults`
        retire,   ///< not worth its repair
        finish,   ///< nothing is wrong
        give_up,  ///< the learner wants to be told
    };
    Kind kind = Kind::none;
    std::vector<std::string> faults;  ///< ids
};

enum class Judgement { none, wrong, partly, right };

/// One way over the unit, the learner's or the planner's.
struct PracticeRun {
    std::vector<PracticeRow> rows;
    double minutes = 0.0, wait_minutes = 0.0;
    std::size_t opened = 0;    ///< areas
    double probability = 0.0;  ///< of all that is hidden, after the last reading
    PracticeVerdict verdict;
    std::string verdict_words;
    Judgement judged = Judgement::none;
};

struct PracticeResult {
    std::uint64_t seed = 0;
    Case the_case;                    ///< closed with what was hidden, fit for a case file
    std::vector<std::string> hidden;  ///< "refrigerant-low:slight"; empty: nothing wrong
    std::string hidden_words;
    PracticeRun you, planner;
    std::size_t hints = 0;
    double points = 0.0;  ///< 0..100, see docs/practice.md
    double points_verdict = 0.0, points_way = 0.0, points_hints = 0.0;
    std::vector<std::size_t> most, nothing, away;  ///< rows of `you` that told most, nothing, the wrong thing
    std::vector<std::string> enough;               ///< names of own readings that would have been enough
    double enough_minutes = 0.0, enough_probability = 0.0;
    std::vector<ReportRepair> cures;      ///< of what was hidden
    std::vector<ReportCaution> cautions;  ///< of the cures, in full
    double repair_cost = 0.0;             ///< of all cures together, money
    double worth = 0.0;                   ///< of the unit
    [[nodiscard]] bool lost_cause() const { return repair_cost >= worth; }
};

class Practice {
public:
    /// Draws the case. Errors: unknown-fault, unknown-system, no-such-unit (nothing fits what was asked for).
    [[nodiscard]] static Result<Practice> draw(std::shared_ptr<const CompiledLibrary> library, PracticeOptions options);
    Practice(Practice&&) noexcept;
    Practice& operator=(Practice&&) noexcept;
    ~Practice();

    [[nodiscard]] const Library& library() const;
    [[nodiscard]] const std::shared_ptr<const CompiledLibrary>& shared_library() const;
    [[nodiscard]] const PracticeOptions& options() const;
    /// The unit, the complaint and what was read since; the job with what is open.
    [[nodiscard]] const Case& the_case() const;
    [[nodiscard]] std::string complaint_words() const;
    [[nodiscard]] bool exists(CheckIndex check) const;
    /// What is hidden. For tests: a prompt has no business with it.
    [[nodiscard]] const FaultSet& hidden() const;
    /// Seed of the answers; draw_case(model, case_seed, …) hides the same faults unless some were asked for.
    [[nodiscard]] std::uint64_t case_seed() const;
    [[nodiscard]] const UnitModel& model() const;

    /// The check as it would be done now; nothing happens yet.
    [[nodiscard]] PracticeStep prepare(CheckIndex check) const;
    /// Does it. Precondition: prepare(check).refused is empty. The row's moves are not filled in.
    const PracticeRow& take(CheckIndex check);
    [[nodiscard]] const std::vector<PracticeRow>& rows() const;
    [[nodiscard]] double minutes() const;
    [[nodiscard]] double wait_minutes() const;
    [[nodiscard]] std::size_t opened() const;
    /// Sentences on the last reading when it is no evidence.
    [[nodiscard]] std::vector<std::string> notes() const;

    /// What the engine and the planner say now; counts as a hint, once for the same readings.
    [[nodiscard]] Report hint();
    [[nodiscard]] std::size_t hints() const;

    /// Ends the case: the planner goes its own way, and both are judged. Precondition: fault ids exist.
    [[nodiscard]] PracticeResult judge(const PracticeVerdict& verdict) const;

private:
    struct State;
    explicit Practice(std::unique_ptr<State> state);
    std::unique_ptr<State> state_;
};

}  // namespace frostread
