#pragma once

#include <cstddef>
#include <memory>
#include <string>
#include <string_view>

#include "frostread/diagnostic.hpp"
#include "frostread/library.hpp"
#include "frostread/report.hpp"

/// Values to text: a report, a reference card or diagnostics as plain text, JSON or a printable page.
/// Nothing is computed here, and every caution a value carries is in every form of it.
namespace frostread {

/// How text for people is laid out.
struct TextStyle {
    std::size_t width = 80;  ///< columns, at least 40
    bool colour = false;     ///< ANSI colours; a word always says the same
};

/// Details of the text form that a person may ask for.
struct ReportTextOptions {
    TextStyle style;
    std::size_t max_faults = 5;  ///< rows of the ranking
    std::string why_fault;       ///< id of a fault to explain besides the leader; empty: none
};

/// Answer first, cautions before the step they belong to, the next action last. Ends in a newline.
[[nodiscard]] std::string to_text(const Report& report, const ReportTextOptions& options = {});

/// The documented result (docs/result.md): every key always there, fixed order, fixed rounding.
/// `indent` < 0 gives one line without a newline.
[[nodiscard]] std::string to_json(const Report& report, int indent = 2);

/// One self-contained page for the printer: no script, nothing fetched.
[[nodiscard]] std::string to_html(const Report& report);

/// file:line:column: error: text [id], the source line, a caret with the suggestion.
[[nodiscard]] std::string to_text(const Diagnostics& diagnostics, const TextStyle& style = {});

/// The same as a JSON array of { severity, id, file, pointer, line, column, what, expected, suggestion }.
[[nodiscard]] std::string to_json(const Diagnostics& diagnostics, int indent = 2);

/// Reference card of a check, fault or caution. Precondition: `id` is one of them.
[[nodiscard]] std::string card_text(const std::shared_ptr<const CompiledLibrary>& library, std::string_view id,
                                    const TextStyle& style = {});
[[nodiscard]] std::string card_html(const std::shared_ptr<const CompiledLibrary>& library, std::string_view id);

}  // namespace frostread
