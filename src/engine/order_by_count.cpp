#include "engine/order_by_count.hpp"

#include "engine/wide_vectors.hpp"

namespace frostread {

FROSTREAD_WIDE_VECTORS
void places_by_count(const double* numbers, std::size_t count, std::uint32_t* places) {
    for (std::size_t i = 0; i < count; ++i) {
        const double one = numbers[i];
        std::uint64_t greater = 0, equal = 0;
        for (std::size_t j = 0; j < count; ++j) {
            greater += numbers[j] > one ? 1U : 0U;
            equal += numbers[j] == one ? 1U : 0U;
        }
        for (std::size_t j = 0; equal > 1 && j < i; ++j) greater += numbers[j] == one ? 1U : 0U;
        places[i] = static_cast<std::uint32_t>(greater);
    }
}

}  // namespace frostread
