#include "files/value_parser.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/text.hpp"

namespace frostread {

namespace {

Diagnostic refuse(std::string id, std::string what, std::string expected, std::string suggestion = "") {
    Diagnostic diagnostic;
    diagnostic.id = std::move(id);
    diagnostic.what = std::move(what);
    diagnostic.expected = std::move(expected);
    diagnostic.suggestion = std::move(suggestion);
    return diagnostic;
}

/// "a", "a and b" or "a, b and 7 more".
std::string fitting(const std::vector<std::string>& matches) {
    constexpr std::size_t kShown = 5;
    const std::size_t shown = matches.size() > kShown + 1 ? kShown : matches.size();
    std::string out;
    for (std::size_t i = 0; i < shown; ++i) {
        if (i > 0) out += i + 1 == matches.size() ? " and " : ", ";
        out += matches[i];
    }
    if (shown < matches.size()) out += fmt::format(" and {} more", matches.size() - shown);
    return out;
}

Diagnostic refuse_ambiguous(std::string_view typed, const NameMatch& match) {
    return refuse("ambiguous-name", fmt::format("{} fits {}", text::quoted(typed), fitting(match.matches)),
                  "more letters");
}

/// Begins as a number does. No outcome word begins so.
bool looks_like_quantity(std::string_view typed) {
    if (typed.starts_with("−")) return true;
    if (!typed.empty() && (typed.front() == '+' || typed.front() == '-' || typed.front() == '.')) {
        typed.remove_prefix(1);
    }
    typed = text::trim(typed);
    return !typed.empty() && ((typed.front() >= '0' && typed.front() <= '9') || typed.front() == '.');
}

std::vector<std::string> outcome_words(const Check& check) {
    std::vector<std::string> words;
    for (const Outcome& outcome : check.outcomes) words.push_back(outcome.id);
    return words;
}

std::optional<Diagnostic> set_outcome(Reading& reading, const Check& check, std::string_view typed) {
    NameMatch match = match_outcome(check, typed);
    if (match.unique()) {
        reading.outcomes = {std::move(match.matches.front())};
        reading.typed = typed;
        return std::nullopt;
    }
    // What is as it should be is called so, whatever the check calls it.
    const Outcome* normal = normal_outcome(check);
    if (match.matches.empty() && normal != nullptr &&
        (text::equal_ignoring_case(typed, "ok") || text::equal_ignoring_case(typed, "normal"))) {
        reading.outcomes = {normal->id};
        reading.typed = typed;
        return std::nullopt;
    }
    const std::vector<std::string> known = outcome_words(check);
    if (!match.matches.empty()) {
        return refuse_ambiguous(typed, match);
    }
    std::string expected = text::join_or(known);
    if (check.kind == CheckKind::banded) expected += ", or a quantity";
    return refuse("unknown-outcome", fmt::format("{} has no outcome {}", check.id, text::quoted(typed)),
                  std::move(expected), std::move(match.nearest));
}

std::optional<Diagnostic> out_of_range(std::string_view subject, const Quantity& quantity, const NumberRange& range,
                                       const Measure& own) {
    const double value = convert(quantity, own).value;
    const bool low = range.min && value < *range.min - 1e-9;
    const bool high = range.max && value > *range.max + 1e-9;
    if (!low && !high && std::isfinite(value)) return std::nullopt;
    std::string expected;
    if (range.min && range.max) {
        Quantity from = convert({*range.min, &own}, *quantity.measure);
        Quantity to = convert({*range.max, &own}, *quantity.measure);
        if (from.value > to.value) std::swap(from, to);
        expected = fmt::format("a value from {} to {}", to_text(from), to_text(to));
    }
    return refuse("out-of-range", fmt::format("{} cannot be {}", subject, to_text(quantity, 6)), std::move(expected));
}

/// Reads a quantity for `subject`; the number comes back in `own`, and `typed_out` with its unit.
std::optional<Diagnostic> read_quantity(std::string_view subject, std::string_view typed, const Measure& own,
                                        const Measure* bare, const NumberRange& range, double& number,
                                        std::string& typed_out) {
    Result<Quantity> parsed = parse_quantity(typed, own.dimension, bare);
    if (!parsed.has_value()) {
        Diagnostic diagnostic = std::move(parsed.diagnostics().front());
        const std::string_view article_words = dimension_words(own.dimension);
        if (diagnostic.id == "wrong-quantity") {
            diagnostic.what = fmt::format("{} takes {}, not {}", subject, article_words, text::quoted(typed));
            diagnostic.expected.clear();
        } else if (diagnostic.id == "not-a-number") {
            diagnostic.what = fmt::format("{} takes {}, not {}", subject, article_words, text::quoted(typed));
        }
        return diagnostic;
    }
    const Quantity quantity = *parsed;
    if (auto refusal = out_of_range(subject, quantity, range, own)) return refusal;
    number = convert(quantity, own).value;
    typed_out = typed;
    const char last = typed.empty() ? ' ' : typed.back();
    const bool had_unit = !((last >= '0' && last <= '9') || last == '.');
    if (!had_unit && !quantity.measure->symbol.empty()) typed_out += fmt::format(" {}", quantity.measure->symbol);
    return std::nullopt;
}

/// A gauge's own words, "recommended"; typed in full or by a prefix that fits one.
std::optional<double> gauge_word(const Check& check, std::string_view typed, std::string& full) {
    std::optional<double> found;
    for (const auto& [word, number] : check.words) {
        if (text::equal_ignoring_case(word, typed)) {
            full = word;
            return number;
        }
        if (!typed.empty() && text::starts_with_ignoring_case(word, typed)) {
            if (found) return std::nullopt;
            found = number;
            full = word;
        }
    }
    return found;
}

std::optional<Diagnostic> set_quantity(Reading& reading, const Check& check, std::string_view typed,
                                       const Measure* bare) {
    const Measure* own = own_measure(check);
    if (own == nullptr) return refuse("unknown-unit", fmt::format("{} has no unit", check.id), "");
    double number = 0.0;
    std::string with_unit;
    if (auto refusal = read_quantity(check.id, typed, *own, bare, check.range, number, with_unit)) {
        if (refusal->id == "not-a-number" && !check.words.empty()) {
            std::vector<std::string> words;
            for (const auto& [word, unused] : check.words) words.push_back(word);
            refusal->expected += fmt::format(", or {}", text::join_or(words));
            if (refusal->suggestion.empty()) {
                refusal->suggestion = text::nearest(typed, std::span<const std::string>(words));
            }
        }
        // "4 µF" for a percentage: of what, and how the one comes out of the other.
        if (!check.worked_out.empty() && refusal->id != "out-of-range") refusal->expected = check.worked_out;
        return refusal;
    }
    reading.value = number;
    reading.typed = std::move(with_unit);
    return std::nullopt;
}

}  // namespace

const Measure* own_measure(const Check& check) {
    if (check.kind != CheckKind::banded && check.kind != CheckKind::gauge) return nullptr;
    return find_measure(check.unit);
}

Diagnostic refuse_name(std::string_view thing, std::string_view typed, const NameMatch& match) {
    if (match.matches.size() > 1) {
        return refuse_ambiguous(typed, match);
    }
    return refuse(fmt::format("unknown-{}", thing), fmt::format("no {} is named {}", thing, text::quoted(typed)), "",
                  match.nearest);
}

std::optional<Diagnostic> set_value(Reading& reading, const Check& check, std::string_view typed, const Measure* bare) {
    typed = text::trim(typed);
    if (typed.empty()) {
        const bool quantity = own_measure(check) != nullptr;
        return refuse("empty-text", fmt::format("{} has no value", check.id),
                      quantity ? std::string(dimension_words(own_measure(check)->dimension))
                               : text::join_or(outcome_words(check)));
    }
    switch (check.kind) {
        case CheckKind::look:
            return set_outcome(reading, check, typed);
        case CheckKind::several:
            return set_words(reading, check, text::split(typed, ','));
        case CheckKind::banded:
            return looks_like_quantity(typed) ? set_quantity(reading, check, typed, bare)
                                              : set_outcome(reading, check, typed);
        case CheckKind::gauge:
            break;
    }
    std::string word;
    if (const auto number = gauge_word(check, typed, word)) {
        reading.value = *number;
        reading.typed = word;
        return std::nullopt;
    }
    return set_quantity(reading, check, typed, bare);
}

std::optional<Diagnostic> set_words(Reading& reading, const Check& check, const std::vector<std::string_view>& words) {
    if (check.kind != CheckKind::several && words.size() != 1) {
        return refuse("wrong-type", fmt::format("{} takes one value, not a list", check.id),
                      check.outcomes.empty() ? "a quantity" : text::join_or(outcome_words(check)));
    }
    std::vector<std::string> outcomes;
    std::vector<std::string> typed;
    for (const std::string_view word : words) {
        Reading one;
        if (auto refusal = set_outcome(one, check, text::trim(word))) return refusal;
        const std::string& id = one.outcomes.front();
        if (std::find(outcomes.begin(), outcomes.end(), id) == outcomes.end()) outcomes.push_back(id);
        typed.emplace_back(text::trim(word));
    }
    const Outcome* normal = normal_outcome(check);
    if (normal != nullptr && outcomes.size() > 1 &&
        std::find(outcomes.begin(), outcomes.end(), normal->id) != outcomes.end()) {
        return refuse("contradiction", fmt::format("{} cannot be {} and something else", check.id, normal->id),
                      fmt::format("{} alone, or what was found", normal->id));
    }
    reading.outcomes = std::move(outcomes);
    reading.typed = text::join(typed, ", ");
    return std::nullopt;
}

std::optional<Diagnostic> set_trait(UnitTraits& unit, const Trait& trait, std::string_view typed) {
    typed = text::trim(typed);
    if (trait.is_number) {
        const Measure* own = find_measure(trait.unit);
        if (own == nullptr) return refuse("unknown-unit", fmt::format("{} has no unit", trait.id), "");
        double number = 0.0;
        std::string with_unit;
        if (auto refusal = read_quantity(trait.id, typed, *own, own, trait.range, number, with_unit)) return refusal;
        unit.numbers[trait.id] = number;
        return std::nullopt;
    }
    const NameMatch match = match_trait_value(trait, typed);
    if (match.unique()) {
        unit.words[trait.id] = match.matches.front();
        return std::nullopt;
    }
    if (!match.matches.empty()) {
        return refuse_ambiguous(typed, match);
    }
    std::vector<std::string> known;
    for (const TraitValue& value : trait.values) known.push_back(value.id);
    return refuse("unknown-value", fmt::format("{} has no value {}", trait.id, text::quoted(typed)),
                  text::join_or(known), match.nearest);
}

}  // namespace frostread
