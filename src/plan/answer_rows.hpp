#pragma once

#include <vector>

#include "plan/candidates.hpp"
#include "plan/likelihood_rows.hpp"

namespace frostread::plan {

/// Likelihood rows of imagined readings. An imagined reading goes through gather() like a real one, so
/// that trust, references, limits and what it silences are exactly what they would be.
class RowMaker {
public:
    RowMaker(const UnitModel& model, const Case& the_case, const Findings& findings, const Belief& belief);

    /// Fills answers, rows, coarse and drops. False when such a reading would be no evidence.
    bool fill(Candidate& candidate, Reading reading);

private:
    /// What one imagined reading becomes.
    struct Imagined {
        std::vector<Finding> own;                              ///< findings of the check itself
        std::vector<std::size_t> gone;                         ///< earlier findings that are silenced or replaced
        std::vector<std::pair<std::size_t, Finding>> changed;  ///< earlier findings that read differently
    };
    /// Whether this answer would be no evidence beside what was read already.
    [[nodiscard]] bool silenced(const Check& check, const Outcome& outcome) const;
    [[nodiscard]] Imagined imagine(const Reading& reading);
    void fill_look(Candidate& candidate, Reading& reading);
    void fill_several(Candidate& candidate, const Finding& like);
    void fill_gauge(Candidate& candidate, Reading& reading, const Finding& like);
    /// Multiplies a row by what the reading does to earlier findings that now read differently.
    void apply_changes(const std::vector<std::pair<std::size_t, Finding>>& changed, std::span<double> row);
    /// Index of the set's pattern on the check, over sets; the patterns' members in `patterns`.
    void find_patterns(CheckIndex check);

    const UnitModel& model_;
    const Library& library_;
    Case case_;
    const Findings& findings_;
    const Belief& belief_;
    LikelihoodRows likelihoods_;
    std::vector<bool> referred_;           ///< checks that other readings are measured against
    std::vector<std::uint32_t> pattern_;   ///< per set
    std::vector<FaultSet> patterns_;       ///< sets cut down to the members that touch the check
    std::vector<char> touches_;            ///< per alternative
    std::vector<std::uint64_t> slot_key_;  ///< of find_patterns
    std::vector<std::uint32_t> slot_pattern_;
};

}  // namespace frostread::plan
