#pragma once

#include <vector>

#include "frostread/bench_calc.hpp"

/// Cautions of the calculators: the value is asked for, so somebody is about to measure it.
namespace frostread {

/// For anything read with gauges; a refrigerant that burns puts its own caution first.
[[nodiscard]] std::vector<CalcCaution> pressure_cautions(const Refrigerant& refrigerant);

extern const CalcCaution kCautionFlammable;     ///< R-600a, R-290
extern const CalcCaution kCautionLicensed;      ///< the circuit is not opened by anyone else
extern const CalcCaution kCautionHighPressure;  ///< gauges and a circuit under pressure
extern const CalcCaution kCautionUnplug;        ///< resistance readings
extern const CalcCaution kCautionLive;          ///< voltage, current and power readings
extern const CalcCaution kCautionCapacitor;     ///< a charged capacitor
extern const CalcCaution kCautionHotHeater;     ///< a heater that was on

}  // namespace frostread
