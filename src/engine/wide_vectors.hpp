#pragma once

#include <cstddef>
#include <cstring>
#include <new>
#include <vector>

// For inner loops over plain arrays: three builds, chosen at start, with 512- or 256-bit vectors where the processor
// has them. All do the same operations in the same order on each element, so no result depends on the machine.
// Not with a sanitizer, whose start-up does not bear the choice.
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && !defined(__SANITIZE_ADDRESS__)
#define FROSTREAD_WIDE_VECTORS __attribute__((target_clones("arch=x86-64-v4", "avx2", "default")))
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

/// So that long loops over an array do not meet the edge of a cache line at every other step.
template <class T>
struct LineAligned {
    using value_type = T;
    LineAligned() = default;
    template <class Other>
    LineAligned(const LineAligned<Other>& /*unused*/) {}
    [[nodiscard]] T* allocate(std::size_t count) {
        return static_cast<T*>(::operator new (count * sizeof(T), std::align_val_t{64}));
    }
    void deallocate(T* from, std::size_t /*count*/) {
        const auto alignment = std::align_val_t{64};
        ::operator delete(from, alignment);
    }
    friend bool operator==(const LineAligned& /*one*/, const LineAligned& /*other*/) { return true; }
};
using LongDoubles = std::vector<double, LineAligned<double>>;

inline void store_four(double* to, const FourDoubles& from) {
    std::memcpy(to, &from, sizeof from);
}

}  // namespace frostread
