#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "frostread/compiled_library.hpp"

/// The evidence engine: pure functions from unit and readings to an exact posterior over sets of
/// faults. Method: docs/method.md (competing causes, additive shifts, readings that may be wrong).
namespace frostread {

/// One reading as evidence.
struct Finding {
    CheckIndex check = 0;
    OutcomeIndex outcome = 0;      ///< look, banded: what was seen; several: the item this is about
    bool absent = false;           ///< several: the item was denied ("none" was said)
    double deviation = 0.0;        ///< gauge: reading minus normal, in the gauge's unit or percent
    double width = 0.0;            ///< gauge: possible range in the unit of `deviation`; 0 takes the check's own
    double low = 0.0, high = 0.0;  ///< gauge: limits of the mean deviation
    bool reference_known = false;  ///< gauge: what the normal is relative to was itself read
    double trust = 1.0;            ///< rho: probability that the reading is what it claims; 0 moves nothing
    std::size_t reading = 0;       ///< index into Case::readings
    friend bool operator==(const Finding&, const Finding&) = default;
};

/// Why a reading is not (fully) evidence.
enum class NoteKind {
    replaced,           ///< a later reading of the same check counts
    superseded,         ///< a better check silences it
    void_condition,     ///< a condition is known not to hold: it says nothing
    trust_lowered,      ///< a condition is not known to hold
    not_on_this_unit,   ///< the unit has no such thing
    no_reference,       ///< what it is relative to is not known
    contradicts_trait,  ///< reserved for readings that contradict a stated trait
};

struct FindingNote {
    NoteKind kind = NoteKind::replaced;
    std::size_t reading = 0;  ///< index into Case::readings
    std::string about;        ///< check, condition, trait or reference id
};

struct Findings {
    std::vector<Finding> items;
    std::vector<FindingNote> notes;
};

/// Readings to findings: latest wins, superseded ones are silenced, things said together are split,
/// conditions lower or void the trust. Order of readings of different checks does not matter.
[[nodiscard]] Findings gather(const UnitModel& model, const Case& the_case);

enum class HypothesisKind : std::uint8_t { nothing_wrong, faults, something_else };

/// One hypothesis: a set of at most three faults at a grade, in ascending order.
struct FaultSet {
    HypothesisKind kind = HypothesisKind::nothing_wrong;
    std::uint8_t size = 0;
    std::array<std::uint16_t, 3> members{};  ///< AlternativeIndex
    [[nodiscard]] bool contains(AlternativeIndex alternative) const;
    friend bool operator==(const FaultSet&, const FaultSet&) = default;
};

struct WeightedSet {
    FaultSet set;
    double probability = 0.0;
};

struct InferOptions {
    int max_faults = 2;          ///< 1..3
    std::size_t max_sets = 400;  ///< the likeliest sets that are listed; marginals are over all sets always
    double keep_above = 1e-7;    ///< sets below this probability are summed but not listed
};

struct Posterior {
    std::vector<WeightedSet> sets;    ///< listed hypotheses, likeliest first; ties in library order
    std::vector<double> alternative;  ///< marginal per alternative, over all sets
    std::vector<double> fault;        ///< marginal per fault
    double nothing_wrong = 0.0;
    double something_else = 0.0;
    double unlisted = 0.0;      ///< total of the sets below keep_above
    double log_evidence = 0.0;  ///< ln P(readings) relative to the normalised prior
};

/// Precondition: 1 <= options.max_faults <= 3; every finding's trust in [0, 1].
/// Ensures: all probabilities are finite, in [0, 1], and nothing_wrong + something_else + sum over
/// fault sets = 1 to rounding. Never empty, never NaN, however contradictory the findings.
[[nodiscard]] Posterior infer(const UnitModel& model, const Findings& findings, const InferOptions& options = {});

/// L'(finding | set): trust * L + (1 - trust) * flat. For something_else: flat.
[[nodiscard]] double likelihood(const UnitModel& model, const Finding& finding, const FaultSet& set);

/// L(finding | set) of a reading that is what it claims (trust 1); something_else: flat.
[[nodiscard]] double pure_likelihood(const UnitModel& model, const Finding& finding, const FaultSet& set);

/// B: the flat likelihood of a reading that is wrong.
[[nodiscard]] double flat_likelihood(const UnitModel& model, const Finding& finding);

/// Prior weight of a set (not normalised), as the sum uses it.
[[nodiscard]] double prior_weight(const UnitModel& model, const FaultSet& set);

/// The likeliest fault, or none when "nothing wrong" or "something else" is likelier than any.
[[nodiscard]] std::optional<FaultIndex> leader(const Posterior& posterior);

/// One fault's place in the ranking.
struct RankedFault {
    FaultIndex fault = 0;
    double probability = 0.0;
    std::vector<double> grades;  ///< probability per grade, in library order
};

/// All faults that this unit can have, by probability, ties in library order.
[[nodiscard]] std::vector<RankedFault> rank(const UnitModel& model, const Posterior& posterior);

}  // namespace frostread
