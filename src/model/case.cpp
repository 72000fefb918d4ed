#include "frostread/case.hpp"

namespace frostread {

std::optional<std::size_t> latest_reading(const Case& the_case, std::string_view check) {
    for (std::size_t i = the_case.readings.size(); i-- > 0;) {
        const Reading& reading = the_case.readings[i];
        if (reading.check == check && !reading.skipped) return i;
    }
    return std::nullopt;
}

}  // namespace frostread
