#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "frostread/present.hpp"

/// Building blocks of the writers: columns by display width, wrapping, bars, escapes.
namespace frostread::present {

/// Columns a terminal uses for `text` (UTF-8): combining marks take none, wide characters two.
/// ANSI colour sequences take none.
[[nodiscard]] std::size_t display_width(std::string_view text);

/// Breaks `text` at blanks so that no line is wider than `width`; a word that is wider stands alone.
/// Line breaks in the text are kept.
[[nodiscard]] std::vector<std::string> wrap(std::string_view text, std::size_t width);

/// wrap, with `first` before the first line and `rest` before the others; ends in a newline.
/// `width` counts the indents. Empty text gives `first` alone.
[[nodiscard]] std::string wrapped(std::string_view text, std::size_t width, std::string_view first = "",
                                  std::string_view rest = "");

/// Text filled up with blanks to `width` columns; longer text stays as it is.
[[nodiscard]] std::string pad_right(std::string_view text, std::size_t width);
[[nodiscard]] std::string pad_left(std::string_view text, std::size_t width);

/// At most `width` columns, cut with an ellipsis.
[[nodiscard]] std::string cut(std::string_view text, std::size_t width);

/// A bar of eighths of a block: share 0..1 of `width` columns, not filled up.
[[nodiscard]] std::string bar(double share, std::size_t width);

/// "84 %", "0.4 %", "under 0.1 %", "over 99.9 %": never a flat 0 or 100 that nobody can know.
[[nodiscard]] std::string percent_words(double probability);

/// "12 min", "1 h 5 min", "24 h".
[[nodiscard]] std::string minutes_words(double minutes);

/// A number for people: whole when large, else one decimal, no trailing zeros.
[[nodiscard]] std::string plain_number(double value);

enum class Ink { plain, bold, dim, caution, good };

/// Text in a colour when the style has colour, else the text.
[[nodiscard]] std::string inked(std::string_view text, Ink ink, const TextStyle& style);

/// & < > " ' as entities.
[[nodiscard]] std::string html_escape(std::string_view text);

/// The shared style sheet of the printable pages.
[[nodiscard]] std::string_view html_style();

/// "a, b and c".
[[nodiscard]] std::string join_words(const std::vector<std::string>& words, std::string_view last = "and");

/// "How to open it, behind the freezer panel: …", one for each area that is to be opened. It stands below the steps,
/// which say when.
[[nodiscard]] std::vector<std::string> opening_sentences(const std::vector<std::string>& names,
                                                         const std::vector<std::string>& how);

/// What lies behind the heaviest readings that speak for the favoured set: "Freezer fan: A dead motor …".
[[nodiscard]] std::vector<std::string> told_reasons(const ReportLedger& why);

/// First letter as a capital (ASCII).
[[nodiscard]] std::string sentence_case(std::string_view text);

}  // namespace frostread::present
