#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "frostread/diagnostic.hpp"
#include "templog/log_layout.hpp"

/// The first lines of a log, cut into what stands before the header, the header and rows of values.
namespace frostread::templog {

struct SampleLine {
    std::size_t number = 0;
    std::string_view text;
};

struct Sample {
    char separator = ',';
    std::vector<std::string> header;
    std::size_t header_line = 0;
    std::string header_text;
    std::vector<std::string> units;  ///< of a line of units under the header
    std::vector<SampleLine> data;
};

/// `separator` is worked out when it is zero.
[[nodiscard]] Sample take_sample(std::string_view text, char separator);

/// 1 "time" such as 08:00, 2 ...: for messages.
[[nodiscard]] std::string list_columns(const Sample& sample);

/// The numbers of a column of the sample, sorted.
[[nodiscard]] std::vector<double> sample_numbers(const Sample& sample, std::size_t column);

/// A time of day without a date.
[[nodiscard]] bool is_clock(std::string_view cell);

/// How the times are written; numeric dates are left as day-first, to be settled by all rows.
[[nodiscard]] Diagnostics settle_time_form(const Sample& sample, std::string_view file, const LogOptions& options,
                                           Layout& layout);

inline constexpr std::string_view kColumnsHelp =
    "--columns time=1,fridge=2,freezer=3 (numbers or names; also clock, evaporator, room, watts)";

}  // namespace frostread::templog
