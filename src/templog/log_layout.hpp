#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "frostread/templog.hpp"
#include "templog/log_text.hpp"
#include "templog/log_time.hpp"

/// How a log file is laid out: settled once from its first lines (the order of day and month from all
/// of them), with every guess put into words.
namespace frostread::templog {

struct Layout {
    char separator = ',';
    std::size_t first_data_line = 1;
    std::string header_line;  ///< as it stands, to know it again when a restarted logger repeats it
    std::size_t header_cells = 0;
    std::optional<std::size_t> time, clock;                      ///< column indices from 0
    std::array<std::optional<std::size_t>, kLogChannels> value;  ///< by channel
    std::array<CellUnit, kLogChannels> unit{};
    TimeForm form;
    std::vector<LogColumn> columns;
    std::vector<std::string> assumptions;
};

[[nodiscard]] Result<Layout> find_layout(std::string_view text, std::string_view file, const LogOptions& options);

/// Settles whether numeric dates are day-first or month-first. `form` is given the kind.
/// Errors: log-date-order when the rows contradict each other or the option.
[[nodiscard]] Diagnostics settle_date_order(std::string_view text, std::string_view file, const LogOptions& options,
                                            Layout& layout);

/// The role that a header name suggests: a channel's word, "time", "date", "clock" or "".
[[nodiscard]] std::string role_of_name(std::string_view name);
/// The temperature or power unit that a header name carries.
[[nodiscard]] CellUnit unit_of_name(std::string_view name);

[[nodiscard]] Diagnostic log_error(std::string id, std::string_view file, std::size_t line, std::string what,
                                   std::string expected = {}, std::string suggestion = {});

}  // namespace frostread::templog
