#pragma once

#include <string>

#include "frostread/templog.hpp"

namespace frostread::templog {

/// The picture of a log. Without the heading (cautions, name, length) it goes into a page that has them.
[[nodiscard]] std::string draw_log(const Log& log, const LogFindings& findings, const LogStyle& style,
                                   bool with_heading);

}  // namespace frostread::templog
