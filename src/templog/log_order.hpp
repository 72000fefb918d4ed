#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "frostread/templog.hpp"
#include "templog/log_time.hpp"

/// Rows as read, in the order of the file, and the step that turns them into one ascending series.
namespace frostread::templog {

struct RawRows {
    std::vector<double> time;
    std::vector<std::uint32_t> line;
    std::array<std::vector<float>, kLogChannels> values;  ///< empty when there is no such column
    bool clock_has_seconds = true;
};

/// Counts one kind of trouble and keeps the first lines it was seen on.
class IssueCounter {
public:
    IssueCounter(std::string id, std::string what, bool left_out)
        : issue_{std::move(id), std::move(what), 0, {}, left_out} {}
    void add(std::size_t line) {
        if (issue_.first_lines.size() < 5 && (issue_.first_lines.empty() || issue_.first_lines.back() != line)) {
            issue_.first_lines.push_back(line);
        }
        ++issue_.count;
    }
    [[nodiscard]] const LogIssue& issue() const { return issue_; }

private:
    LogIssue issue_;
};

/// Restarts and clock changes are laid end to end, late rows put in their place, rows of the same
/// time joined or named as duplicates. Fills `log.seconds`, `log.values`, `log.start`.
void put_in_order(RawRows& rows, const TimeForm& form, Log& log);

}  // namespace frostread::templog
