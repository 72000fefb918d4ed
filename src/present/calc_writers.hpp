#pragma once

#include <string>

#include "frostread/bench_calc.hpp"
#include "frostread/present.hpp"

/// A bench calculation as text for people and as JSON for scripts; docs/bench-calc.md gives the keys.
/// Both put every caution before the first number.
namespace frostread::present {

[[nodiscard]] std::string calc_text(const CalcResult& result, const TextStyle& style = {});

/// `indent` < 0 gives one line without a newline.
[[nodiscard]] std::string calc_json(const CalcResult& result, int indent = 2);

}  // namespace frostread::present
