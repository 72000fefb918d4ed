#pragma once

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "frostread/case.hpp"
#include "frostread/compiled_library.hpp"

/// Readings as they stood in earlier cases, byte for byte. Most readings of a night were made before, with the same
/// outcome or the same rounded value, and the same bytes are read in the same way.
namespace frostread::batch {

class WholeReadings {
public:
    WholeReadings();

    /// Of readings with nothing but a check, a value, "sure" and "after".
    struct Known {
        std::string text;  ///< from { to }; empty: none
        CheckIndex check = 0;
        std::vector<std::string> outcomes;
        std::optional<double> value;
        std::string typed;
        bool sure = true;
        std::map<std::string, bool> after;
    };
    /// The reading that stands at the beginning of `rest`, or null. It may be overlooked, never mistaken.
    [[nodiscard]] const Known* find(std::string_view rest) const;
    /// `text` was read as `reading` from its first byte to its last. Unusual ones are not kept, older ones give way.
    void remember(std::string_view text, CheckIndex check, const Reading& reading);

private:
    std::vector<Known> known_;  ///< by hash, two places for each
};

}  // namespace frostread::batch
