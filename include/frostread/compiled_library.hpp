#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "frostread/case.hpp"
#include "frostread/library.hpp"

/// The rule library as dense arrays, and one unit's view of it. Both are immutable once made and
/// may be shared between threads. Words appear only at the edges; inside, everything is an index in
/// library order, so no number depends on hashing or on the spelling of an id.
namespace frostread {

using CheckIndex = std::uint32_t;
using FaultIndex = std::uint32_t;
using OutcomeIndex = std::uint32_t;
using ConditionIndex = std::uint32_t;

/// A fault at one grade. A fault without grades has one alternative. All alternatives of a fault
/// exclude each other.
using AlternativeIndex = std::uint32_t;

struct Alternative {
    FaultIndex fault = 0;
    std::uint32_t grade = 0;
    double share = 1.0;  ///< of the fault's frequency
};

/// What one alternative does to one look, banded or several check.
struct LookEffect {
    AlternativeIndex alternative = 0;
    std::int32_t variant = -1;  ///< index into trait conditions, -1: unconditional
    int decides = 0;
    std::uint32_t first = 0;  ///< rate * shape per outcome: CompiledCheck::shapes[first + outcome]
    double normal = 1.0;      ///< probability that the check stays normal, in (0, 1]
    double rate = 0.0;        ///< -ln normal
};

/// What one alternative does to one gauge.
struct GaugeEffect {
    AlternativeIndex alternative = 0;
    std::int32_t variant = -1;
    int decides = 0;
    bool unless_reference = false;
    double shift = 0.0;
    double spread_squared = 0.0;
};

/// The rows of one check. For `several` each outcome is a yes/no check of its own: `looks` holds,
/// per outcome, the rows in which "shape" has a single abnormal outcome (see item_first).
struct CompiledCheck {
    CheckKind kind = CheckKind::look;
    std::uint32_t outcome_count = 0;
    OutcomeIndex normal = 0;
    double background_normal = 1.0;  ///< n_0
    double background_rate = 0.0;    ///< lambda_0
    std::vector<double> background;  ///< lambda_0 * q_0 per outcome (normal: 0)
    std::vector<LookEffect> looks;
    std::vector<double> shapes;             ///< lambda_f * q_f per outcome (normal: 0)
    std::vector<std::uint32_t> item_first;  ///< several: looks of item k are [item_first[k], item_first[k+1])
    std::vector<double> item_background;    ///< several: lambda_0 of item k
    std::vector<GaugeEffect> gauges;
    double spread_squared = 1.0;  ///< gauge: s_0^2
    double width = 1.0;           ///< gauge: high - low of the possible range
};

class CompiledLibrary {
public:
    [[nodiscard]] const Library& library() const { return *library_; }
    [[nodiscard]] std::size_t check_count() const { return checks_.size(); }
    [[nodiscard]] std::size_t fault_count() const { return library_->faults.size(); }
    [[nodiscard]] std::size_t alternative_count() const { return alternatives_.size(); }
    [[nodiscard]] const Alternative& alternative(AlternativeIndex index) const { return alternatives_[index]; }
    [[nodiscard]] std::span<const Alternative> alternatives() const { return alternatives_; }
    /// First alternative of a fault; the others follow it.
    [[nodiscard]] AlternativeIndex first_alternative(FaultIndex fault) const { return first_alternative_[fault]; }
    [[nodiscard]] const CompiledCheck& check(CheckIndex index) const { return checks_[index]; }
    [[nodiscard]] std::optional<CheckIndex> check_index(std::string_view id) const;
    [[nodiscard]] std::optional<FaultIndex> fault_index(std::string_view id) const;
    [[nodiscard]] std::optional<OutcomeIndex> outcome_index(CheckIndex check, std::string_view id) const;
    /// Conditions on traits that rules refer to by LookEffect::variant; one per conditional rule.
    [[nodiscard]] std::span<const TraitCondition> variants() const { return variants_; }
    /// Variants of one fault on one check: exactly one of a group applies, or none. An empty
    /// condition is the rule for units on which no other variant of the group holds.
    [[nodiscard]] std::span<const std::vector<std::int32_t>> variant_groups() const { return variant_groups_; }
    /// Bytes held by the dense arrays (not the symbolic library).
    [[nodiscard]] std::size_t memory_bytes() const;

private:
    friend class LibraryCompiler;
    struct Hash {
        using is_transparent = void;
        std::size_t operator()(std::string_view s) const { return std::hash<std::string_view>{}(s); }
    };
    using IdTable = std::unordered_map<std::string, std::uint32_t, Hash, std::equal_to<>>;
    std::shared_ptr<const Library> library_;
    std::vector<Alternative> alternatives_;
    std::vector<AlternativeIndex> first_alternative_;
    std::vector<CompiledCheck> checks_;
    std::vector<TraitCondition> variants_;
    std::vector<std::vector<std::int32_t>> variant_groups_;
    IdTable check_ids_, fault_ids_;
};

/// Precondition: `library` came out of load_library (validated), or satisfies the same demands.
[[nodiscard]] std::shared_ptr<const CompiledLibrary> compile(std::shared_ptr<const Library> library);

/// Whether a condition holds on a unit.
enum class Truth { no, unknown, yes };
[[nodiscard]] Truth holds(const TraitCondition& condition, const UnitTraits& unit);

/// Share of units, among those that agree with what is stated, on which the condition holds (1 or 0
/// when everything it asks for is stated). Unstated traits are averaged over the library's mix.
[[nodiscard]] double share_holding(const Library& library, const TraitCondition& condition, const UnitTraits& unit);

/// One unit's view: how often each fault is the cause here, which checks exist, which rule variants apply.
class UnitModel {
public:
    [[nodiscard]] const CompiledLibrary& compiled() const { return *compiled_; }
    [[nodiscard]] std::shared_ptr<const CompiledLibrary> shared_library() const { return compiled_; }
    [[nodiscard]] const UnitTraits& unit() const { return unit_; }
    /// Prior weight per alternative: frequency / 1000 * multipliers * share of grade; 0 when the unit cannot have it.
    [[nodiscard]] std::span<const double> prior() const { return prior_; }
    [[nodiscard]] bool exists(CheckIndex check) const { return exists_[check] != 0; }
    /// Whether the rule variant applies (-1 always does).
    [[nodiscard]] bool applies(std::int32_t variant) const {
        return variant < 0 || variant_on_[static_cast<std::size_t>(variant)] != 0;
    }
    /// Which of the variants that rules name for the check apply, one bit each in ascending order (from the 65th on
    /// they share bits).
    [[nodiscard]] std::uint64_t variant_bits(CheckIndex check) const { return variant_bits_[check]; }
    [[nodiscard]] double nothing_wrong() const { return nothing_wrong_; }
    [[nodiscard]] double something_else() const { return something_else_; }
    [[nodiscard]] double second_fault() const { return second_fault_; }
    /// Tells this fit from every other of the process; copies share it. 0: never fitted.
    [[nodiscard]] std::uint64_t serial() const { return serial_; }

private:
    friend void fit_to_unit(const std::shared_ptr<const CompiledLibrary>& compiled, const UnitTraits& unit,
                            UnitModel& model);
    std::shared_ptr<const CompiledLibrary> compiled_;
    UnitTraits unit_;
    std::vector<double> prior_;
    std::vector<std::uint8_t> exists_;
    std::vector<std::uint8_t> variant_on_;
    std::vector<std::uint64_t> variant_bits_;
    double nothing_wrong_ = 0.0, something_else_ = 0.0, second_fault_ = 0.0;
    std::uint64_t serial_ = 0;
};

[[nodiscard]] UnitModel fit_to_unit(const std::shared_ptr<const CompiledLibrary>& compiled, const UnitTraits& unit);
/// The same into a model of an earlier unit, whose memory is used again.
void fit_to_unit(const std::shared_ptr<const CompiledLibrary>& compiled, const UnitTraits& unit, UnitModel& model);

/// Why the fault shows so in the check on this unit: what its rule says of it; "" when it says nothing. Valid as long
/// as the library.
[[nodiscard]] std::string_view reason_of(const UnitModel& model, FaultIndex fault, CheckIndex check);

/// The number a gauge's normal or a band is relative to: a trait, another gauge's reading, or a
/// derived quantity ("heater-ohms": V^2/P). None when it cannot be had from what is known.
[[nodiscard]] std::optional<double> reference_value(const Library& library, std::string_view reference,
                                                    const Case& the_case);

/// Ids of the traits that the reference is worked out from: itself, or those of a derived quantity; none of a gauge.
[[nodiscard]] std::vector<std::string> traits_of_reference(const Library& library, std::string_view reference);

/// Ids of the derived quantities that rules may refer to.
[[nodiscard]] std::span<const std::string_view> derived_reference_ids();

}  // namespace frostread
