#pragma once

#include <string>
#include <string_view>

#include "frostread/quantity.hpp"

/// The tables of measures and what people call them; parsing and printing of amounts stand in quantity.cpp.
namespace frostread {

struct DimensionWords {
    Dimension dimension;
    std::string_view name;     ///< with article, as in "not a temperature"
    std::string_view example;  ///< of how it is typed
    std::string_view si;       ///< measure id shown under si
    std::string_view us;
};

[[nodiscard]] const DimensionWords& words_of(Dimension dimension);

/// The measure that a person means; `wanted` null: of any dimension. Null when there is none.
[[nodiscard]] const Measure* measure_of(std::string_view spelling, const Dimension* wanted);

/// The spelling nearest to a unit that nobody knows, or a hint; "" when none is near.
[[nodiscard]] std::string nearest_unit(std::string_view spelling, Dimension dimension);

}  // namespace frostread
