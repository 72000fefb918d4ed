#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "frostread/quantity.hpp"
#include "frostread/result.hpp"

/// Calculators for the bench. Below are first the typed functions, in canonical units, then the one
/// table of calculators that dispatch, help, documents and tests read. Nothing here prints or opens
/// a file. Pressures are absolute unless a name says gauge.
namespace frostread {

// ---------------------------------------------------------------- saturation

/// One refrigerant's saturation curve: ln(p/pc) = (Tc/T) * sum n_i * (1 - T/Tc)^t_i, T in kelvin.
struct Refrigerant {
    struct Term {
        double factor;
        double exponent;
    };
    std::string_view id;            ///< "R-134a"
    std::string_view safety_class;  ///< "A3": how it burns and poisons
    double critical_k;
    double critical_kpa;
    std::span<const Term> terms;
    double error_percent;     ///< largest error of pressure from -40 to +60 °C against the equation of state, %
    double error_k;           ///< the same as an error of temperature, K
    std::string_view source;  ///< where the equation was published
    [[nodiscard]] bool flammable() const { return safety_class != "A1"; }
};

/// Every curve is used from kSaturationLow to kSaturationHigh; the equations hold beyond, but no
/// household circuit does. The stated error was measured from -45 to +65 °C in 5 K steps.
inline constexpr double kSaturationLow = -60.0;         ///< °C
inline constexpr double kSaturationHigh = 80.0;         ///< °C
inline constexpr double kStandardAtmosphere = 101.325;  ///< kPa

[[nodiscard]] std::span<const Refrigerant> refrigerants();

/// By "R-134a", "r134a", "134a"; null when not known.
[[nodiscard]] const Refrigerant* find_refrigerant(std::string_view typed);

/// Saturation pressure in kPa absolute at °C, and the other way round; nothing outside the range.
[[nodiscard]] std::optional<double> saturation_kpa(const Refrigerant& refrigerant, double celsius);
[[nodiscard]] std::optional<double> saturation_celsius(const Refrigerant& refrigerant, double kpa);

/// The same by name; nothing for a refrigerant that is not known.
[[nodiscard]] std::optional<double> saturation_kpa(std::string_view refrigerant, double celsius);
[[nodiscard]] std::optional<double> saturation_celsius(std::string_view refrigerant, double kpa);

/// Air pressure at an altitude in m by the U.S. Standard Atmosphere 1976 (troposphere), kPa.
/// Requires -500 <= metres <= 5000.
[[nodiscard]] double standard_air_pressure(double metres);

}  // namespace frostread
