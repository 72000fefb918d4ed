#include "batch/whole_readings.hpp"

#include <cstdint>
#include <cstring>
#include <utility>

namespace frostread::batch {

namespace {

constexpr std::size_t kPlaces = 4096;  ///< even; about 350 bytes each
constexpr std::size_t kShortest = 8, kLongest = 192;

std::uint64_t eight_bytes(const char* from) {
    std::uint64_t word = 0;
    std::memcpy(&word, from, sizeof word);
    return word;
}

/// Requires: at least eight bytes. Only speed depends on it.
std::size_t place_of(std::string_view text) {
    constexpr std::uint64_t kOdd = 0x9E3779B97F4A7C15U;
    std::uint64_t hash = text.size() * kOdd;
    for (std::size_t at = 0; at + 8 < text.size(); at += 8) {
        hash = (hash ^ eight_bytes(text.data() + at)) * kOdd;
        hash ^= hash >> 32U;
    }
    hash = (hash ^ eight_bytes(text.data() + text.size() - 8)) * kOdd;
    return static_cast<std::size_t>(hash >> 40U) % kPlaces;
}

/// Where a reading at the beginning of `rest` probably ends: behind a } that the next reading or the end of the list
/// follows. 0: nowhere.
std::size_t likely_end(std::string_view rest) {
    for (std::size_t end = rest.find('}'); end != std::string_view::npos; end = rest.find('}', end)) {
        ++end;
        const std::string_view then = rest.substr(end);
        if (then.starts_with(']') || then.starts_with(",{")) return end;
    }
    return 0;
}

}  // namespace

WholeReadings::WholeReadings() : known_(kPlaces) {}

const WholeReadings::Known* WholeReadings::find(std::string_view rest) const {
    const std::string_view text = rest.substr(0, likely_end(rest));
    if (text.size() < kShortest || text.size() > kLongest) return nullptr;
    const std::size_t place = place_of(text);
    if (known_[place].text == text) return &known_[place];
    if (known_[place ^ 1U].text == text) return &known_[place ^ 1U];
    return nullptr;
}

void WholeReadings::remember(std::string_view text, CheckIndex check, const Reading& reading) {
    if (text.size() < kShortest || text.size() > kLongest) return;
    if (reading.skipped || !reading.at.empty() || !reading.note.empty() || !reading.origin.empty()) return;
    const std::size_t place = place_of(text);
    std::swap(known_[place], known_[place ^ 1U]);
    known_[place] = {std::string(text), check,        reading.outcomes, reading.value,
                     reading.typed,     reading.sure, reading.after};
}

}  // namespace frostread::batch
