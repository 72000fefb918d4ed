#pragma once

#include <vector>

#include "frostread/bench_calc.hpp"

/// Cautions of the calculators: a value is asked for, so somebody is about to measure it. Own words;
/// common practice, no source. The ids are those of the rule library.
namespace frostread {

inline constexpr CalcCaution kCautionFlammable{
    "flammable-refrigerant",
    "This refrigerant burns. No flame, no spark, no heat gun near the circuit; air the room, also at floor level."};
/// The same before the refrigerant is known.
inline constexpr CalcCaution kCautionMayBurn{"flammable-refrigerant",
                                             "R-600a and R-290 burn, R-1234yf can. No flame, no spark, no heat gun "
                                             "near the circuit; air the room, also at floor "
                                             "level."};
inline constexpr CalcCaution kCautionLicensed{
    "licensed-only",
    "Only a licensed refrigerant handler fits gauges or opens the circuit, by local code. Never vent it. Goggles and "
    "gloves: escaping liquid freezes skin and eyes."};
inline constexpr CalcCaution kCautionHighPressure{
    "high-pressure",
    "The circuit is under pressure. Use hoses and gauges rated for it, and never heat it to raise the reading."};
inline constexpr CalcCaution kCautionUnplug{
    "unplug-first",
    "Unplug the unit and prove it dead before you measure resistance. Take the part off its wires, or other parts are "
    "measured too."};
inline constexpr CalcCaution kCautionLive{
    "live-test",
    "Live measurement: mains can kill. Only for a person trained in electrical work. Clip the probes on with the plug "
    "out, keep clear of moving fans, hands off while it is on."};
inline constexpr CalcCaution kCautionCapacitor{
    "capacitor-charge",
    "A capacitor can hold a charge after the plug is out. Discharge it through a resistor and prove it at 0 V before "
    "you touch it."};
inline constexpr CalcCaution kCautionHotHeater{
    "hot-heater", "A defrost heater stays hot enough to burn for minutes after a defrost, and the fins beside it cut."};

/// For anything read with gauges; a refrigerant that burns puts its own caution first.
[[nodiscard]] std::vector<CalcCaution> pressure_cautions(const Refrigerant& refrigerant);

}  // namespace frostread
