#include "batch/json_numbers.hpp"

#include <array>
#include <cmath>
#include <nlohmann/json.hpp>

namespace frostread::batch {

void append_rounded(std::string& out, double value, int places) {
    const double scale = places == 9 ? 1e9 : 1e3;
    const double rounded = std::round(value * scale) / scale;
    if (rounded == 0.0) {
        out += "0.0";
        return;
    }
    // The general writer's own formatter, without its document: the same digits by construction.
    std::array<char, 64> buffer{};
    out.append(buffer.data(), nlohmann::detail::to_chars(buffer.data(), buffer.data() + buffer.size(), rounded));
}

void append_quoted(std::string& out, const std::string& text) {
    bool plain = true;
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        plain = plain && byte >= 0x20U && byte < 0x7FU && byte != '"' && byte != '\\';
    }
    if (plain)
        out.append(1, '"').append(text).append(1, '"');
    else
        out += nlohmann::json(text).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

}  // namespace frostread::batch
