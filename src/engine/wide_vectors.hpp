#pragma once

#include <cstddef>
#include <cstring>

// For inner loops over plain arrays: two builds, chosen at start, with 256-bit vectors where the processor has
// them. Both do the same operations in the same order on each element, so no result depends on the machine.
// Not with a sanitizer, whose start-up does not bear the choice.
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && !defined(__SANITIZE_ADDRESS__)
#define FROSTREAD_WIDE_VECTORS __attribute__((target_clones("avx2", "default")))
#else
#define FROSTREAD_WIDE_VECTORS
#endif

namespace frostread {

/// Four numbers side by side, on every machine: sums over lanes come out in the same order whether the processor
/// adds four at a time or two. (A vector type of the compiler, as g++ and clang have it.)
using FourDoubles = double __attribute__((vector_size(32)));

inline void load_four(FourDoubles& to, const double* from) {
    std::memcpy(&to, from, sizeof to);
}

inline void store_four(double* to, const FourDoubles& from) {
    std::memcpy(to, &from, sizeof from);
}

}  // namespace frostread
