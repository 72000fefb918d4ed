#pragma once

#include <span>
#include <vector>

#include "frostread/planner.hpp"
#include "plan/access.hpp"
#include "plan/belief.hpp"

/// What it costs, in money, to stop testing and repair: repairs tried in order of probability over cost,
/// each wrong one paid in full, and the last resort of giving the unit up.
namespace frostread::plan {

/// A unit declared sound that is not means a second visit: so many minutes, common practice, no source.
inline constexpr double kSecondVisitMinutes = 60.0;
/// Explaining to the owner what is normal, common practice, no source.
inline constexpr double kExplainMinutes = 5.0;

/// Money per minute of work; kept off zero so that minutes count even for who asks nothing for labour.
[[nodiscard]] double money_per_minute(const Economy& economy);

/// Costs of repair with certain areas open.
struct RepairCosts {
    std::vector<double> own;      ///< per remedy: done once, labour + parts (+ referral)
    double failed = 0.0;          ///< to find that it did not help
    double explain = 0.0;         ///< nothing wrong, and right
    double explain_failed = 0.0;  ///< nothing wrong, and not right
    double last_resort = 0.0;     ///< giving up the unit: its worth
    std::vector<double> needed;   ///< per group: the right repairs alone, or the last resort if cheaper
};

[[nodiscard]] RepairCosts repair_costs(const Belief& belief, const AccessCosts& access, const Library& library,
                                       const Economy& economy, Who may, AreaMask open);

/// One repair done right: labour with opening, parts, and the referral when the person may not do it.
[[nodiscard]] double repair_money(const Remedy& remedy, const AccessCosts& access, const Library& library,
                                  const Economy& economy, Who may, AreaMask open);

/// Faults that cost more to repair than the unit is worth all end in retiring it, so they need not be told
/// apart: their groups get one class. Returns their probability.
double mark_hopeless(Belief& belief, const RepairCosts& costs);

struct StopCost {
    double wasted = 0.0;  ///< expected cost beyond the right repair
    double needed = 0.0;  ///< expected cost of the right repairs
    [[nodiscard]] double total() const { return wasted + needed; }
};

/// Works on masses per group that need not be normalised; the result is scaled by their total. Keeps its
/// buffers, since the look-ahead asks some ten thousand times.
class StopCosts {
public:
    explicit StopCosts(const Belief& belief) : belief_(belief) {}
    [[nodiscard]] StopCost operator()(std::span<const double> masses, const RepairCosts& costs, double caution);

private:
    struct Step {
        double ratio = 0.0;
        std::size_t action = 0;  ///< remedy, or remedies.size() for "nothing is wrong"
    };
    const Belief& belief_;
    std::vector<double> marginal_, solved_;
    std::vector<Step> order_;
    std::vector<std::int32_t> position_;
};

}  // namespace frostread::plan
