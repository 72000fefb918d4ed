#pragma once

#include <array>
#include <cstddef>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "batch/scores.hpp"
#include "frostread/batch.hpp"
#include "frostread/library.hpp"

/// What a batch says about all its cases together.
namespace frostread::cli {

/// --score. Takes the scores in input order, so that sums are the same bytes whatever --jobs is.
class ScoreReport {
public:
    explicit ScoreReport(const Library& library) : library_(library) {}
    void take(const BatchEntry& entry);
    [[nodiscard]] std::string text() const;
    [[nodiscard]] std::string json() const;

private:
    struct Worst {
        double loss = 0.0;
        std::string case_id;
        BatchScore score;
        std::string leader;
    };
    [[nodiscard]] std::vector<std::string> systems() const;
    [[nodiscard]] double per_found(double sum) const;
    [[nodiscard]] double per_case(double sum) const;

    const Library& library_;
    std::size_t cases_ = 0, open_ = 0, bad_ = 0, found_ = 0, first_ = 0, first_three_ = 0, drawn_ = 0;
    double loss_ = 0.0, brier_ = 0.0;
    score::Calibration calibration_{10};
    std::map<std::pair<std::string, std::string>, std::size_t> systems_;  ///< (found, predicted)
    std::vector<Worst> worst_;                                            ///< by falling loss, at most ten
};

/// --compare.
class CompareReport {
public:
    /// The lines to print about this case; empty when nothing changed.
    [[nodiscard]] std::string take(const BatchEntry& entry);
    [[nodiscard]] std::string json_line(const BatchEntry& entry) const;
    [[nodiscard]] std::string text() const;  ///< the table and the sum, after all cases
    [[nodiscard]] std::string json() const;
    [[nodiscard]] std::size_t changed() const { return changed_; }
    void set_old_count(std::size_t lines) { old_count_ = lines; }

private:
    std::size_t compared_ = 0, changed_ = 0, leaders_ = 0, verdicts_ = 0, tests_ = 0, new_ = 0, old_count_ = 0;
    std::map<std::pair<std::string, std::string>, std::size_t> leaders_table_;  ///< (before, now)
};

}  // namespace frostread::cli
