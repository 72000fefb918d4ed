#pragma once

#include <span>

#include "benchcalc/inputs.hpp"
#include "frostread/bench_calc.hpp"

/// The calculators behind the table in registry.cpp. Each takes parsed inputs and gives the figures,
/// the verdict and what goes into a case; formula, source and range come from the table.
namespace frostread {

[[nodiscard]] Result<CalcResult> run_saturation(const CalcInputs& inputs);
[[nodiscard]] Result<CalcResult> run_superheat(const CalcInputs& inputs);
[[nodiscard]] Result<CalcResult> run_subcooling(const CalcInputs& inputs);
[[nodiscard]] Result<CalcResult> run_standing(const CalcInputs& inputs);
[[nodiscard]] Result<CalcResult> run_thermistor(const CalcInputs& inputs);
[[nodiscard]] Result<CalcResult> run_heater(const CalcInputs& inputs);
[[nodiscard]] Result<CalcResult> run_windings(const CalcInputs& inputs);
[[nodiscard]] Result<CalcResult> run_earth(const CalcInputs& inputs);
[[nodiscard]] Result<CalcResult> run_power(const CalcInputs& inputs);
[[nodiscard]] Result<CalcResult> run_capacitor(const CalcInputs& inputs);
[[nodiscard]] Result<CalcResult> run_run_time(const CalcInputs& inputs);
[[nodiscard]] Result<CalcResult> run_dew_point(const CalcInputs& inputs);
[[nodiscard]] Result<CalcResult> run_charge(const CalcInputs& inputs);

}  // namespace frostread
