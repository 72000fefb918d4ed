#pragma once

#include <cstdint>
#include <map>
#include <vector>

#include "plan/candidates.hpp"
#include "plan/stop_cost.hpp"
#include "plan/testing_price.hpp"

/// What a test is worth: expected cost of the job after it, with what is learnt used well.
namespace frostread::plan {

/// Figures that steer the planner; docs/planner.md says how they were chosen.
struct Tuning {
    double caution = 1.2;      ///< a wrong repair weighs so many times its cost while planning
    double overlap = 1.6;      ///< tests tell partly the same: only 1 / overlap of their bits counts for later
    double call_back = 30.0;   ///< minutes: what a wrong repair means beyond its own cost, while planning
    double comparable = 0.8;   ///< endings at least so likely as the leader are tried by probability over cost
    double about_equal = 3.0;  ///< minutes: steps that save so nearly the same go by bits per cost
    std::size_t seconds = 14;  ///< second steps tried after each answer
    std::size_t firsts = 6;    ///< first steps that are looked at two deep
    std::size_t block = 3;     ///< tests behind one closed panel that are valued together
};

/// Value of one candidate as the next step, in money and minutes.
struct StepValue {
    std::size_t candidate = 0;
    double bits = 0.0;
    double minutes = 0.0;  ///< StepCost
    double cost = 0.0;     ///< money, waiting included
    double saving = 0.0;   ///< expected cost saved against stopping now, net of cost
    /// What it is worth that earlier readings are silenced, where they only confused: no merit of the test.
    double unearned = 0.0;
    AreaMask opens = 0;
    std::vector<std::size_t> also;  ///< candidates worth doing while it is open, best first
};

class LookAhead {
public:
    LookAhead(const UnitModel& model, const Findings& findings, const Belief& belief,
              const std::vector<Candidate>& candidates, const AccessCosts& access, const Economy& economy, Who may,
              const Tuning& tuning);

    /// Values of all candidates, one step deep; parallel to the candidates.
    [[nodiscard]] std::vector<StepValue> one_step(const Access& now);
    /// Sharpens the best of them by a second step and by blocks behind closed panels. A candidate for
    /// somebody else (`usable` false) is never a second step.
    void two_steps(const Access& now, const std::vector<bool>& usable, std::vector<StepValue>& values);
    /// Stopping now.
    [[nodiscard]] StopCost stop_now(const Access& now);
    [[nodiscard]] const RepairCosts& costs_at(AreaMask open);
    /// Price of later tests, known after one_step().
    [[nodiscard]] const TestingPrice& price() const { return price_; }
    /// Weights of the sets as the candidate finds them: earlier readings it silences are taken out.
    [[nodiscard]] std::vector<double> weights_before(const Candidate& candidate) const;

    /// What the candidate's answers do to the sets of the belief: with earlier readings that it silences taken out,
    /// and each answer as likely as everything that was read makes it.
    [[nodiscard]] AnswerRows rows_as_found(const Candidate& candidate) const;

private:
    /// The belief cut to the sets that still matter, with the groups they stand in.
    struct Slice {
        std::vector<std::uint32_t> sets;
        std::vector<double> weights;         ///< parallel to sets, not normalised
        std::vector<std::uint32_t> groups;   ///< that occur
        std::vector<std::uint32_t> ends;     ///< parallel to groups: one past the group's last set
        std::vector<std::uint32_t> classes;  ///< parallel to groups: remedy classes numbered among themselves
        std::size_t class_count = 0;
        StopTable table;
        double total = 0.0;
    };
    /// Sets below `cut` of the total are left out, and the rest scaled up to it.
    void make_slice(std::span<const double> weights, double cut, Slice& slice) const;
    [[nodiscard]] double cost_of(const Candidate& candidate, const Access& now, Access& after, double& minutes) const;
    [[nodiscard]] std::vector<TestingPrice::Offer> offers(const Access& now,
                                                          const std::vector<StepValue>& values) const;
    [[nodiscard]] std::uint64_t drops_of(const Candidate& candidate) const;
    void take_out(std::uint64_t findings, std::vector<double>& weights) const;
    void take_out(std::uint64_t findings, Slice& slice) const;
    /// What stands in every group of the slice, times the row; into masses_. Returns the total.
    double slice_masses(const Slice& slice, std::span<const double> row);
    double slice_masses(const Slice& slice);
    /// Expected cost beyond the right repairs after the masses in `masses_` (unscaled): the cheaper of stopping and
    /// testing on.
    [[nodiscard]] double waste(const Slice& slice, const RepairCosts& costs, double total);
    /// The same after the candidate's answer, scaled. `predicts`: the sets that say how likely each answer is; other
    /// than `slice` where the candidate silences earlier readings, which foretell its answer all the same. Gives up,
    /// with something no less than `limit`, once it cannot come below it.
    [[nodiscard]] double expected_waste(const Slice& slice, const Slice& predicts, const AnswerRows& rows,
                                        const RepairCosts& costs, double limit);
    /// The right repairs alone, scaled: no test changes what they cost, but for the areas that it opens.
    [[nodiscard]] double needed(const Slice& slice, const RepairCosts& costs) const;
    void after_answer(std::span<const double> weights, std::span<const double> row, bool silences,
                      std::vector<double>& next) const;
    /// Tests behind one panel that are done together.
    struct Block {
        std::vector<std::size_t> members;  ///< candidates, the opener first
        AnswerRows rows;
    };
    void keep_block(const StepValue& value, const std::vector<StepValue>& values, std::vector<Block>& blocks) const;
    [[nodiscard]] AnswerRows joint_rows(const std::vector<std::size_t>& members) const;
    [[nodiscard]] AnswerRows rows_as_found(const Candidate& candidate, AnswerRows rows) const;
    /// Cost beyond the right repairs with the best second step, times the slice's total.
    [[nodiscard]] double best_second(const Slice& slice, std::uint64_t dropped, const Access& access, std::size_t first,
                                     const std::vector<std::size_t>& seconds, const std::vector<Block>& blocks);
    void value_block(std::size_t first, const Access& now, const std::vector<bool>& usable, double stop,
                     StepValue& value);

    const UnitModel& model_;
    const Belief& belief_;
    const std::vector<Candidate>& candidates_;
    const AccessCosts& access_;
    const Economy& economy_;
    Who may_;
    Tuning tuning_;
    StopCosts stop_;
    std::vector<std::uint64_t> drops_;               ///< per candidate, as bits
    std::vector<std::vector<double>> finding_rows_;  ///< likelihood of dropped findings over sets
    std::map<AreaMask, RepairCosts> costs_;
    std::vector<double> masses_, classes_;
    Slice changed_;  ///< scratch of best_second
    TestingPrice price_;
};

/// decide() with other figures, for measuring them.
[[nodiscard]] Decision decide_with(const UnitModel& model, const Case& the_case, const Findings& findings,
                                   const Posterior& posterior, const JobState& job, const PlanOptions& options,
                                   const Tuning& tuning);

}  // namespace frostread::plan
