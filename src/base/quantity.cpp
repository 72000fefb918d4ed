#include "frostread/quantity.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>

#include "base/measures.hpp"
#include "base/numeric.hpp"
#include "base/text.hpp"

/// Amounts as people write and read them.
namespace frostread {

namespace {

struct Number {
    double value = 0.0;
    std::string_view rest;  ///< what follows it
};

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

/// Reads a number at the front: sign (also U+2212), digits, point or decimal comma, exponent.
std::optional<Number> read_number(std::string_view typed) {
    constexpr std::string_view kMinus = "−";
    std::string digits;
    if (typed.starts_with(kMinus)) {
        digits = "-";
        typed.remove_prefix(kMinus.size());
    } else if (typed.starts_with('-') || typed.starts_with('+')) {
        if (typed.front() == '-') digits = "-";
        typed.remove_prefix(1);
    }
    typed = text::trim(typed);
    bool point = false;
    bool any = false;
    std::size_t i = 0;
    for (; i < typed.size(); ++i) {
        const char c = typed[i];
        if (is_digit(c)) {
            digits += c;
            any = true;
        } else if ((c == '.' || c == ',') && !point && (any || (i + 1 < typed.size() && is_digit(typed[i + 1])))) {
            if (c == ',') {
                // "1,200" may be twelve hundred or one and a fifth: nobody should guess.
                std::size_t after = 0;
                while (i + 1 + after < typed.size() && is_digit(typed[i + 1 + after])) ++after;
                const bool leading_zero = digits == "0" || digits == "-0" || !any;
                if (after == 3 && !leading_zero) return std::nullopt;
                if (after == 0) break;
            }
            if (!any) digits += '0';
            digits += '.';
            point = true;
        } else {
            break;
        }
    }
    if (!any) return std::nullopt;
    if (digits.back() == '.') digits.pop_back();
    // An exponent only when a number follows: "3 e" is no number and "2E" no unit.
    if (i < typed.size() && (typed[i] == 'e' || typed[i] == 'E')) {
        std::size_t j = i + 1;
        if (j < typed.size() && (typed[j] == '-' || typed[j] == '+')) ++j;
        if (j < typed.size() && is_digit(typed[j])) {
            digits += 'e';
            if (typed[i + 1] == '-') digits += '-';
            while (j < typed.size() && is_digit(typed[j])) digits += typed[j++];
            i = j;
        }
    }
    Number number;
    const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), number.value);
    if (error != std::errc() || end != digits.data() + digits.size() || !std::isfinite(number.value)) {
        return std::nullopt;
    }
    number.rest = text::trim(typed.substr(i));
    return number;
}

Diagnostic refuse(std::string id, std::string what, const DimensionWords& words, std::string suggestion = "") {
    Diagnostic diagnostic;
    diagnostic.id = std::move(id);
    diagnostic.what = std::move(what);
    diagnostic.expected = fmt::format("{}, such as {}", words.name, words.example);
    diagnostic.suggestion = std::move(suggestion);
    return diagnostic;
}

}  // namespace

Result<Quantity> parse_quantity(std::string_view typed, Dimension dimension, const Measure* bare) {
    const DimensionWords& words = words_of(dimension);
    const std::string_view trimmed = text::trim(typed);
    const std::optional<Number> number = read_number(trimmed);
    if (!number) {
        const bool comma = trimmed.find(',') != std::string_view::npos;
        return refuse("not-a-number", fmt::format("{} is not a number with a unit", text::quoted(trimmed)), words,
                      comma ? "write thousands without a comma, decimals with a point" : "");
    }
    Quantity quantity{number->value, bare};
    if (number->rest.empty()) {
        if (bare == nullptr && (dimension == Dimension::count || dimension == Dimension::money)) {
            quantity.measure = &canonical_measure(dimension);
        }
        if (quantity.measure == nullptr) {
            return refuse("unit-missing", fmt::format("{} has no unit", text::quoted(trimmed)), words);
        }
        return quantity;
    }
    quantity.measure = measure_of(number->rest, &dimension);
    if (quantity.measure == nullptr) {
        if (measure_of(number->rest, nullptr) != nullptr) {
            return refuse("wrong-quantity", fmt::format("{} is not {}", text::quoted(trimmed), words.name), words);
        }
        return refuse("unknown-unit", fmt::format("no unit is named {}", text::quoted(number->rest)), words,
                      nearest_unit(number->rest, dimension));
    }
    // A manifold marks vacuum without a sign; some people write it with one. Both mean below the atmosphere.
    if (quantity.measure->id == "inHg") quantity.value = std::abs(quantity.value);
    return quantity;
}

double to_canonical(const Quantity& quantity) {
    if (quantity.measure == nullptr) return quantity.value;
    return quantity.value * quantity.measure->factor + quantity.measure->offset;
}

double from_canonical(double canonical, const Measure& to) {
    return (canonical - to.offset) / to.factor;
}

Quantity convert(const Quantity& quantity, const Measure& to) {
    if (quantity.measure == &to) return quantity;
    return {from_canonical(to_canonical(quantity), to), &to};
}

std::string to_text(const Quantity& quantity, int digits) {
    const double value = numeric::round_to_digits(quantity.value, std::clamp(digits, 1, 15));
    std::string number;
    if (!std::isfinite(value)) {
        number = fmt::format("{}", value);
    } else {
        const double magnitude = std::abs(value);
        const int exponent = magnitude > 0.0 ? static_cast<int>(std::floor(std::log10(magnitude))) : 0;
        number = fmt::format("{:.{}f}", value, std::clamp(digits - 1 - exponent, 0, 12));
        if (number.find('.') != std::string::npos) {
            number.erase(number.find_last_not_of('0') + 1);
            if (number.back() == '.') number.pop_back();
        }
        if (number == "-0") number = "0";
    }
    if (quantity.measure == nullptr || quantity.measure->symbol.empty()) return number;
    return fmt::format("{} {}", number, quantity.measure->symbol);
}

}  // namespace frostread
