#pragma once

#include <cstddef>
#include <cstdint>

namespace frostread {

/// places[i]: how many of the numbers are greater than numbers[i], or equal and stand before it: where it belongs,
/// largest first. For a few dozen that is far quicker than a sort, whose comparisons nobody can foresee.
void places_by_count(const double* numbers, std::size_t count, std::uint32_t* places);

}  // namespace frostread
