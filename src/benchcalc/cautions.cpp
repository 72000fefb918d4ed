#include "benchcalc/cautions.hpp"

namespace frostread {

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
