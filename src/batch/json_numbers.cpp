#include "batch/json_numbers.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstdint>
#include <nlohmann/json.hpp>

#include "base/text.hpp"

namespace frostread::batch {

namespace {

struct Scale {
    unsigned places;
    double all;               ///< 10^places = of_two * of_five
    std::uint64_t units;      ///< the same as a whole number
    double of_five, per_two;  ///< 5^places; 2^-places
};

constexpr Scale kThree{3, 1e3, 1000, 125.0, 0x1p-3};
constexpr Scale kNine{9, 1e9, 1000000000, 1953125.0, 0x1p-9};

/// Whether the general writer is sure to write `number`, the double nearest to units / 10^places, as that decimal.
/// It looks for the shortest decimal that reads back as the number, but in a range a little narrower than all that do:
/// so the decimal must not lie near the edge, which is half of a last place away (a quarter below a power of two).
bool is_written_short(double number, double units, const Scale& scale) {
    constexpr std::uint64_t kLowHalf = (std::uint64_t{1} << 27U) - 1, kFraction = (std::uint64_t{1} << 52U) - 1;
    const auto bits = std::bit_cast<std::uint64_t>(number);
    const double high = std::bit_cast<double>(bits & ~kLowHalf), low = number - high;
    // Number less decimal, times 5^places: the products are exact, and so is the difference of neighbours.
    const double off = (high * scale.of_five - units * scale.per_two) + low * scale.of_five;
    const double half_of_last_place = std::bit_cast<double>(bits & ~kFraction) * 0x1p-53 * scale.of_five;
    return off == 0.0 || ((bits & kFraction) != 0 && std::abs(off) < 0.98 * half_of_last_place);
}

constexpr std::array<char, 200> kPairs = [] {
    std::array<char, 200> pairs{};
    for (std::size_t i = 0; i < 100; ++i) {
        pairs[2 * i] = static_cast<char>('0' + i / 10);
        pairs[2 * i + 1] = static_cast<char>('0' + i % 10);
    }
    return pairs;
}();

char* write_digits(char* to, std::uint64_t number, unsigned count) {
    unsigned left = count;
    for (; left >= 2; left -= 2, number /= 100) std::copy_n(kPairs.data() + 2 * (number % 100), 2, to + left - 2);
    if (left == 1) *to = static_cast<char>('0' + number % 10);
    return to + count;
}

/// The same for nine digits, whose parts need not wait for each other.
char* write_nine(char* to, std::uint32_t number) {
    const std::uint32_t high = number / 10000, low = number % 10000, middle = high % 10000;
    *to = static_cast<char>('0' + high / 10000);
    std::size_t at = 1;
    for (const std::uint32_t pair : {middle / 100, middle % 100, low / 100, low % 100}) {
        std::copy_n(kPairs.data() + 2 * std::size_t{pair}, 2, to + at);
        at += 2;
    }
    return to + 9;
}

unsigned count_digits(std::uint64_t number) {
    unsigned count = 1;
    for (; number >= 10; number /= 10) ++count;
    return count;
}

char* strip_zeros(const char* from, char* end) {
    while (end - from > 1 && end[-1] == '0') --end;
    return end;
}

/// As the general writer lays out the shortest digits: with an exponent below 0.0001.
char* write_decimal(char* to, std::uint64_t units, const Scale& scale) {
    const std::uint64_t whole = units / scale.units, rest = units % scale.units;
    if (whole > 0 || rest * 10000 >= scale.units) {
        to = whole < 10 ? write_digits(to, whole, 1) : write_digits(to, whole, count_digits(whole));
        *to++ = '.';
        return strip_zeros(to, scale.places == 9 ? write_nine(to, static_cast<std::uint32_t>(rest))
                                                 : write_digits(to, rest, scale.places));
    }
    std::array<char, 24> digits{};
    const unsigned count = count_digits(units);
    const char* const end = strip_zeros(digits.data(), write_digits(digits.data(), units, count));
    *to++ = digits[0];
    if (end - digits.data() > 1) *to++ = '.';
    to = std::copy<const char*>(digits.data() + 1, end, to);
    to = std::copy_n("e-0", 3, to);
    *to++ = static_cast<char>('0' + (scale.places + 1 - count));
    return to;
}

}  // namespace

char* write_rounded(char* to, double value, int places) {
    constexpr double kMost = 1e12;  // units that are counted here
    const Scale& scale = places == 9 ? kNine : kThree;
    const double scaled = value * scale.all;
    if (std::abs(scaled) < kMost) {
        auto units = static_cast<std::int64_t>(scaled);
        const double rest = scaled - static_cast<double>(units);
        units += rest >= 0.5 ? 1 : rest <= -0.5 ? -1 : 0;
        if (units == 0) return std::copy_n("0.0", 3, to);
        const auto amount = static_cast<double>(units < 0 ? -units : units);
        if (is_written_short(amount / scale.all, amount, scale)) {
            *to = '-';
            return write_decimal(to + (units < 0 ? 1 : 0), static_cast<std::uint64_t>(units < 0 ? -units : units),
                                 scale);
        }
    }
    const double rounded = std::round(scaled) / scale.all;
    // The general writer's own formatter, without its document: the same digits by construction.
    return nlohmann::detail::to_chars(to, to + kLongestNumber, rounded);
}

void append_rounded(std::string& out, double value, int places) {
    std::array<char, kLongestNumber> buffer{};
    char* const end = write_rounded(buffer.data(), value, places);
    out.append(buffer.data(), static_cast<std::size_t>(end - buffer.data()));
}

bool is_plain_text(std::string_view text) {
    unsigned all = 0;
    bool plain = true;
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        all |= byte;
        plain = plain && byte >= 0x20U && byte != '"' && byte != '\\';
    }
    return plain && (all < 0x80U || !text::first_invalid_utf8(text));
}

void append_quoted(std::string& out, std::string_view text) {
    if (is_plain_text(text))
        out.append(1, '"').append(text).append(1, '"');
    else
        out += nlohmann::json(text).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

}  // namespace frostread::batch
