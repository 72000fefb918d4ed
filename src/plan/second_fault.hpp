#pragma once

#include <optional>
#include <span>
#include <vector>

#include "plan/candidates.hpp"
#include "plan/stop_cost.hpp"

/// A second fault beside the one that is about to be repaired. Done alone, the repair helps a little and the owner
/// calls again; so a cheap look at what else may be wrong, and a second repair that is likely enough, belong to
/// the same visit.
namespace frostread::plan {

/// What the belief says of sets that hold a given remedy and others. All masses are of such sets only.
class SecondFaults {
public:
    /// `second_visit`: money that a fault left behind costs beyond its repair. Remedies that cost what the unit
    /// is worth, that the person may not do, or that are hardly suspected count for nothing.
    SecondFaults(const Belief& belief, RemedyIndex first, const RepairCosts& costs, Who may, double second_visit);

    /// Remedies that pay on the same visit, likeliest first: left undone each would cost more, by its probability,
    /// than it costs done in vain.
    [[nodiscard]] std::vector<RemedyIndex> worth_doing() const;

    /// A look that may follow another.
    struct Further {
        const AnswerRows* rows = nullptr;
        double cost = 0.0;  ///< money
    };
    /// Expected money that a look saves by showing which further remedies to do, before its own cost. After its
    /// answer the best of `further`, if one is worth its cost, may follow: a glance is worth what it leads to.
    [[nodiscard]] double worth_of_look(const AnswerRows& rows, std::span<const Further> further = {}) const;

    /// Probability of every remedy beside the first, given that the first is needed (0 for the first).
    [[nodiscard]] std::vector<double> beside() const;
    /// The same after an answer.
    [[nodiscard]] std::vector<double> beside(std::span<const double> row) const;

private:
    /// Money saved by doing at once what pays, of masses that need not be normalised.
    [[nodiscard]] double gain(std::span<const double> masses) const;

    const Belief& belief_;
    const RepairCosts& costs_;
    RemedyIndex first_;
    double second_visit_;
    std::vector<bool> counts_;  ///< per remedy
};

/// A check that may show a second fault.
struct SecondLook {
    std::size_t candidate = 0;
    AnswerRows rows;    ///< as the check finds the belief: LookAhead::rows_as_found
    double cost = 0.0;  ///< money
};

/// The candidate of the look to take first, if one is worth its cost. Of looks that are worth the same but for
/// `about_equal` (money), the one that saves most on its own.
[[nodiscard]] std::optional<std::size_t> best_second_look(const SecondFaults& others, std::span<const SecondLook> looks,
                                                          double about_equal);

}  // namespace frostread::plan
