#pragma once

#include "frostread/templog.hpp"

/// A two-compartment refrigerator as a lumped model, run with good and bad parts. It makes the logs
/// that a real unit would make, with shapes nobody drew by hand.
///
/// Sources of the parameters:
/// - fridge heat capacity 54 kJ/K: 15 kg of food at 3.6 kJ/(kg K), the textbook problem "warm-up after
///   the machine stops" (Heat and Mass Transfer: Fundamentals and Applications, 6th ed., 5-121);
/// - total closed-door load near 70 W: Hossain, Mondal & Ahammed 2025 (scse.2025.3.156), R-600a, 4 and −20 °C;
/// - the compressor's capacity and power: polynomial of a household R-600a compressor as published by a
///   component maker, read in a public simulation repository (units there not stated, W and °C fit);
/// - share of heater energy that melts frost, 30 %: Bansal, Fothergill & Fernandes, Int. J. Refrigeration 33
///   (2010) 589-599 (abstract);
/// - splits between the compartments, coupling, thermostats, coil and air masses: constructed here so that
///   run time and energy fall inside published ranges (0.33 to 0.44 of the time; about 0.9 kWh a day).
namespace frostread::test {

/// The unit and what is wrong with it; the defaults are a sound unit.
struct FridgeModel {
    double room = 25.0;            ///< degC
    double ua_fridge = 1.5;        ///< W/K to the room
    double ua_freezer = 0.75;      ///< W/K to the room
    double ua_between = 0.25;      ///< W/K
    double c_fridge_food = 54e3;   ///< J/K
    double c_freezer_food = 30e3;  ///< J/K
    double c_air_share = 0.2;      ///< of the above that is air and walls, which the probe sees
    double ua_food = 6.0;          ///< W/K between food and air
    double coupling = 4.0;         ///< W/K, fan running and damper open
    double fan_watts = 6.0;
    double coil_below_air = 8.0;    ///< K, evaporating temperature below the freezer air
    double condenser_above = 15.0;  ///< K above the room
    double freezer_on = -16.5, freezer_off = -19.5;
    double damper_open = 5.0, damper_shut = 3.0;
    double capacity = 1.0;  ///< share of the compressor's cooling that is left
    bool heater_works = true;
    double defrost_run_h = 8.0;  ///< of running between defrosts
    double heater_watts = 300.0;
    double heat_end = 8.0;  ///< degC of the coil at which its terminator opens
    double longest_heat_min = 30.0;
    bool damper_stuck_shut = false;
};

struct ModelRun {
    Log log;  ///< all five channels, one row a minute, after the first `settle_hours`
    double run_share = 0.0;
    double kwh_per_day = 0.0;
    double mean_fridge = 0.0, mean_freezer = 0.0;
    std::size_t defrosts = 0;
    std::size_t starts = 0;
};

/// Explicit Euler at one second. `noise` is the probes' standard deviation in K.
[[nodiscard]] ModelRun run_model(const FridgeModel& model, double hours, double noise, double settle_hours = 24.0,
                                 double interval_s = 60.0);

}  // namespace frostread::test
