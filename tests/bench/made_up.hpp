#pragma once

#include <cstdint>

#include "frostread/library.hpp"

/// Units and libraries drawn from a seed, for measuring.
namespace frostread::bench {

/// The library with every rule's weight off by up to `decibels` either way: probabilities on the odds
/// scale, shifts by the same factor as an amplitude. Names, prices and frequencies stay.
[[nodiscard]] Library jittered(const Library& library, std::uint64_t seed, double decibels);

}  // namespace frostread::bench
