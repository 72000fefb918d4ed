#pragma once

#include <string>
#include <vector>

#include "frostread/templog.hpp"
#include "templog/series.hpp"

/// The small plot for a terminal: a band of characters per compartment, the compressor's running as
/// a shade below, events as letters.
namespace frostread::templog {

/// Lines without a newline, at most `width` columns wide.
[[nodiscard]] std::vector<std::string> text_plot(const Log& log, const LogFindings& findings, const LogStyle& style);

/// Columns that a UTF-8 text takes (one per character; the plot uses no wide ones).
[[nodiscard]] std::size_t display_width(std::string_view text);

/// Text cut into lines of at most `width` columns at blanks; later lines begin with `indent` blanks.
[[nodiscard]] std::vector<std::string> wrap(std::string_view text, std::size_t width, std::size_t indent);

}  // namespace frostread::templog
