#pragma once

#include <string>

#include "frostread/bench_calc.hpp"

/// Numbers of a result as people read them: in the units they prefer, the other unit in brackets.
namespace frostread {

/// "-12.3 °C (9.9 °F)", "184 kPa absolute (26.7 psi)", "1.2 kΩ", "52 g (1.83 oz)".
[[nodiscard]] std::string full_text(double canonical, Dimension dimension, UnitPreference units);

/// The same in one unit.
[[nodiscard]] std::string short_text(double canonical, Dimension dimension, UnitPreference units);

/// A pressure as a manifold shows it at this air pressure: "0.83 bar gauge (12 psi)", or a vacuum.
[[nodiscard]] std::string gauge_text(double kpa_absolute, double air_kpa, UnitPreference units);

[[nodiscard]] CalcFigure figure(std::string key, std::string label, double canonical, Dimension dimension,
                                UnitPreference units);
[[nodiscard]] CalcFigure gauge_figure(std::string key, std::string label, double kpa_absolute, double air_kpa,
                                      UnitPreference units);
[[nodiscard]] CalcFigure word_figure(std::string key, std::string label, std::string words);

/// `value` with at most `decimals` digits after the point, no trailing zeros, never "-0".
[[nodiscard]] std::string plain_text(double value, int decimals);

/// The same, for tests of layout: rounds half away from zero.
[[nodiscard]] double rounded(double value, int decimals);

}  // namespace frostread
