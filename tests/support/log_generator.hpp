#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "frostread/templog.hpp"

/// Temperature logs whose truth is known exactly: straight legs up and down, defrosts at set run
/// times, noise and holes on request. Invented signals; they test the analysis, not refrigerators.
namespace frostread::test {

struct LogRecipe {
    double hours = 48.0;
    double interval_s = 60.0;
    double duty = 0.4;
    double period_min = 60.0;
    double fridge_mean = 3.5, fridge_swing = 2.0;
    double freezer_mean = -18.0, freezer_swing = 3.0;
    double coil_swing = 12.0;  ///< the coil ends 6 K below the freezer air, and rises to it
    double running_watts = 95.0, idle_watts = 2.0, heater_watts = 300.0;
    double defrost_run_h = 0.0;  ///< compressor run time between defrosts; 0: none
    double defrost_min = 25.0;
    double defrost_rise = 9.0;       ///< K of the freezer air above where it began
    double noise = 0.0;              ///< K, standard deviation
    double drift_per_day = 0.0;      ///< K per day, both compartments
    double resolution = 0.0;         ///< K; 0: as fine as it comes
    std::vector<double> door_hours;  ///< when the fridge door is opened
    double door_rise = 4.0;
    std::vector<LogSpan> gaps;  ///< s; rows within are missing
    bool fridge = true, freezer = true, coil = false, watts = false;
    std::uint32_t seed = 1;
};

struct LogTruth {
    double run_share = 0.0;                                       ///< over the whole log
    double steady_run_share = 0.0;                                ///< the recipe's duty
    double cycles_per_hour = 0.0;                                 ///< of undisturbed cycles
    double pull_down_rate = 0.0;                                  ///< K/h
    std::vector<double> defrost_starts, defrost_ends, recovered;  ///< s
    std::vector<double> cycle_starts;
};

struct GeneratedLog {
    Log log;
    LogTruth truth;
};

[[nodiscard]] GeneratedLog generate_log(const LogRecipe& recipe);

/// The same as a CSV text with a header: time as ISO from 2031-04-17T08:00:00, dots, commas.
[[nodiscard]] std::string to_csv(const Log& log);

}  // namespace frostread::test
