#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "frostread/case.hpp"
#include "frostread/diagnostic.hpp"
#include "frostread/quantity.hpp"

/// What a person typed or wrote as the value of a check or trait, against the library. Shared by case
/// files and by CHECK=VALUE. A refusal comes back without a place; the caller knows where it stands.
namespace frostread {

/// Puts one word or quantity into `reading`. `bare`: what a number without unit means.
/// A several check takes a list with commas.
[[nodiscard]] std::optional<Diagnostic> set_value(Reading& reading, const Check& check, std::string_view typed,
                                                  const Measure* bare);

/// Several words at once; only for a several check.
[[nodiscard]] std::optional<Diagnostic> set_words(Reading& reading, const Check& check,
                                                  const std::vector<std::string_view>& words);

/// Puts a word or number into `unit`.
[[nodiscard]] std::optional<Diagnostic> set_trait(UnitTraits& unit, const Trait& trait, std::string_view typed);

/// The measure a check's or trait's numbers are in; null when it has none.
[[nodiscard]] const Measure* own_measure(const Check& check);

/// A refusal of a name: unknown (with the nearest) or fitting several.
[[nodiscard]] Diagnostic refuse_name(std::string_view thing, std::string_view typed, const NameMatch& match);

}  // namespace frostread
