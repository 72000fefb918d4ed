#include <array>

#include "frostread/bench_calc.hpp"

/// Coefficients of the published saturation-pressure equations. Each set keeps the critical point
/// it was fitted with. The errors are against the fluid's reference equation of state, solved for
/// equal pressure and equal Gibbs energy; tests/published/saturation_test.cpp measures them again.
namespace frostread {
namespace {

using Term = Refrigerant::Term;

constexpr std::array<Term, 4> kR134a{{{-7.7513, 1.0}, {2.9263, 1.5}, {-2.6622, 1.9}, {-3.9711, 4.25}}};
constexpr std::array<Term, 4> kR600a{{{-6.85093103, 1.0}, {1.36543198, 1.5}, {-1.32542691, 2.5}, {-2.56190994, 4.5}}};
constexpr std::array<Term, 5> kR290{{{-6.7722, 1.0}, {1.6938, 1.5}, {-1.3341, 2.2}, {-3.1876, 4.8}, {0.94937, 6.2}}};
constexpr std::array<Term, 5> kR12{{{-7.0834, 1.0}, {4.3562, 1.5}, {-3.5249, 1.67}, {-2.8872, 4.14}, {-0.89926, 10.0}}};
constexpr std::array<Term, 5> kR22{{{-7.078, 1.0}, {1.7211, 1.5}, {-1.6379, 2.2}, {-3.7952, 4.8}, {0.86937, 6.2}}};
// The third exponent is 2; a value of 3 is in circulation and is wrong by up to 27 %.
constexpr std::array<Term, 5> kR1234yf{{{-7.4507, 1.0}, {2.164, 1.5}, {-1.674, 2.0}, {-3.318, 4.0}, {-1.617, 9.0}}};

// Safety classes: ASHRAE 34 / ISO 817, from memory.
constexpr std::array<Refrigerant, 6> kRefrigerants{{
    {"R-134a", "A1", 374.21, 4059.28, kR134a, 0.006, 0.002,
     "fit to Tillner-Roth & Baehr, J. Phys. Chem. Ref. Data 23 (1994) 657"},
    {"R-600a", "A3", 407.81, 3629.0, kR600a, 0.009, 0.002, "Buecker & Wagner, J. Phys. Chem. Ref. Data 35 (2006) 929"},
    {"R-290", "A3", 369.89, 4251.2, kR290, 0.010, 0.005,
     "Lemmon, McLinden & Wagner, J. Chem. Eng. Data 54 (2009) 3141"},
    {"R-12", "A1", 385.12, 4136.1, kR12, 0.017, 0.006,
     "fit to Marx, Pruss & Wagner, VDI Fortschritt-Berichte 19 no. 57 (1992)"},
    {"R-22", "A1", 369.295, 4990.0, kR22, 0.020, 0.005,
     "fit to Kamei, Beyerlein & Jacobsen, Int. J. Thermophys. 16 (1995) 1155"},
    {"R-1234yf", "A2L", 367.85, 3384.4, kR1234yf, 0.024, 0.010, "Lemmon & Akasaka, Int. J. Thermophys. 43 (2022) 119"},
}};

}  // namespace

std::span<const Refrigerant> refrigerants() {
    return kRefrigerants;
}

}  // namespace frostread
