#include "benchcalc/cautions.hpp"

/// Own words; common practice, no source, unless one is named.
namespace frostread {

const CalcCaution kCautionFlammable{
    "flammable-refrigerant",
    "This refrigerant burns. No flame, no spark, no heat gun near the circuit; air the room, also at floor level."};
const CalcCaution kCautionLicensed{
    "licensed-only",
    "Only a licensed refrigerant handler fits gauges or opens the circuit, by local code. Never vent it. Goggles and "
    "gloves: escaping liquid freezes skin and eyes."};
const CalcCaution kCautionHighPressure{
    "high-pressure",
    "The circuit is under pressure. Use hoses and gauges rated for it, and never heat it to raise the reading."};
const CalcCaution kCautionUnplug{
    "unplug-first",
    "Unplug the unit and prove it dead before you measure resistance. Take the part off its wires, or other parts are "
    "measured too."};
const CalcCaution kCautionLive{
    "live-test",
    "Live measurement: mains can kill. Only for a person trained in electrical work. Clip the probes on with the plug "
    "out, keep clear of moving fans, hands off while it is on."};
const CalcCaution kCautionCapacitor{
    "capacitor-charge",
    "A capacitor can hold a charge after the plug is out. Discharge it through a resistor and prove it at 0 V before "
    "you touch it."};
const CalcCaution kCautionHotHeater{
    "hot-heater", "A defrost heater stays hot enough to burn for minutes after a defrost, and the fins beside it cut."};

std::vector<CalcCaution> pressure_cautions(const Refrigerant& refrigerant) {
    std::vector<CalcCaution> cautions;
    if (refrigerant.flammable()) {
        cautions.push_back(kCautionFlammable);
    }
    cautions.push_back(kCautionLicensed);
    cautions.push_back(kCautionHighPressure);
    return cautions;
}

}  // namespace frostread
