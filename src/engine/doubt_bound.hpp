#pragma once

#include "engine/set_weights.hpp"

/// What leaving out one finding can do, without a new sum over all pairs: the sets of the leading fault's likeliest
/// grade, which hold most of the weight, are worked out one by one; for all others the worst that a partner allows is
/// taken.
namespace frostread {

struct WithoutFinding {
    double total_at_most = 0.0;  ///< never below total_without
    bool leads = false;          ///< true only when the fault surely stays likelier than everything else
};

/// Requires: the weights hold no triples.
[[nodiscard]] WithoutFinding bound_without(const CompiledLibrary& compiled, const SetWeights& from,
                                           const FindingRow& without, FaultIndex leading);

}  // namespace frostread
