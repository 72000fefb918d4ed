#pragma once

#include <array>
#include <cstdint>
#include <limits>
#include <span>
#include <vector>

#include "frostread/planner.hpp"
#include "plan/access.hpp"
#include "plan/belief.hpp"

/// What it costs, in money, to stop testing and repair: repairs tried in order of probability over cost,
/// each wrong one paid in full, and the last resort of giving the unit up.
namespace frostread::plan {

/// A unit that is declared sound, or mended, and is not, means a second visit: so many minutes, common practice,
/// no source.
inline constexpr double kSecondVisitMinutes = 60.0;
/// A repair that leaves a second fault behind helps a little, so it is judged only when the compartments have had a
/// day to settle (the proof that remedies ask for: 24 h of running).
inline constexpr double kProofWaitMinutes = 1440.0;
/// Explaining to the owner what is normal, common practice, no source.
inline constexpr double kExplainMinutes = 5.0;

/// Money per minute of work; kept off zero so that minutes count even for who asks nothing for labour.
[[nodiscard]] double money_per_minute(const Economy& economy);

/// Money that a second fault left behind costs beyond its repair: the day until it shows, and coming again.
[[nodiscard]] double left_behind_money(const Economy& economy);

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

/// Some groups of a belief with the remedies that they ask for, numbered among themselves.
struct StopTable {
    static constexpr std::uint32_t kNothingWrong = ~std::uint32_t{0};
    struct Row {
        std::uint32_t group = 0;
        std::uint32_t count = 0;  ///< 0: no action ends it, short of giving the unit up
        std::array<std::uint32_t, 3> actions{};
    };
    std::vector<Row> rows;
    std::vector<std::uint32_t> actions;  ///< remedy, or kNothingWrong: declaring the unit sound
    void assign(const Belief& belief, std::span<const std::uint32_t> groups);
};

/// Works on masses that need not be normalised; the result is scaled by their total. Keeps its buffers,
/// since the look-ahead asks some ten thousand times.
class StopCosts {
public:
    explicit StopCosts(const Belief& belief);
    /// Masses per group.
    [[nodiscard]] StopCost operator()(std::span<const double> masses, const RepairCosts& costs, double caution);
    /// Masses per row of the table. Actions below the share `negligible` are not tried. When no less than
    /// `enough` is wasted, some bound not below it may be returned for what is wasted.
    [[nodiscard]] StopCost operator()(const StopTable& table, std::span<const double> masses, const RepairCosts& costs,
                                      double caution, double negligible = 1e-4,
                                      double enough = std::numeric_limits<double>::infinity());

private:
    struct Step {
        double ratio = 0.0;
        std::uint32_t action = 0;  ///< index into StopTable::actions
    };
    StopTable all_;
    std::vector<double> marginal_, solved_;
    std::vector<Step> order_;
    std::vector<std::uint32_t> position_;
};

}  // namespace frostread::plan
