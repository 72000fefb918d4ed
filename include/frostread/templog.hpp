#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "frostread/case.hpp"
#include "frostread/quantity.hpp"
#include "frostread/result.hpp"

/// Readings out of a temperature log: the table a data logger left in the unit overnight becomes a
/// series, the series becomes cycles, defrosts and spells, and these become readings of a case.
///
/// Terms follow IEC 62552-3 (household refrigerating appliances, energy and volume; wording ours, from
/// memory): a *temperature control cycle* runs from one compressor start to the next; a *defrost and
/// recovery period* from the start of a defrost until the compartment is back in its ordinary band;
/// a *steady state* is a run of control cycles outside of these. docs/templog.md says where this
/// simplifies.
///
/// Temperatures are degC, power is W, times are seconds since the first row, unless said otherwise.
/// Nothing is guessed across a gap.
namespace frostread {

enum class LogChannel { fridge, freezer, evaporator, room, watts };
inline constexpr std::size_t kLogChannels = 5;
[[nodiscard]] std::string_view to_word(LogChannel channel);

enum class DateOrder { detect, day_first, month_first };
enum class LogTimeUnit { detect, seconds, minutes, hours };
enum class LogTemperature { detect, celsius, fahrenheit };

/// What the person said of the file; everything left at its default is worked out from the file.
struct LogOptions {
    char separator = '\0';  ///< ',', ';' or tab; '\0': worked out
    /// Role ("time", "clock", "fridge", "freezer", "evaporator", "room", "watts") and the column's
    /// number from 1 or its name. Empty: by the names in the header.
    std::vector<std::pair<std::string, std::string>> columns;
    DateOrder date_order = DateOrder::detect;
    LogTimeUnit time_unit = LogTimeUnit::detect;
    LogTemperature temperature = LogTemperature::detect;
};

/// Rows or cells that were not plain: how many, which, and what was done with them.
struct LogIssue {
    std::string id;                        ///< stable: "bad-time", "duplicate-row", "out-of-order"
    std::string what;                      ///< a phrase for people: "the time cannot be read: row left out"
    std::size_t count = 0;                 ///< rows (cells for issues of cells)
    std::vector<std::size_t> first_lines;  ///< line numbers from 1, the first few
    bool left_out = false;                 ///< the row or cell was not used
};

struct LogColumn {
    LogChannel channel = LogChannel::fridge;
    std::size_t number = 0;  ///< from 1
    std::string name;        ///< as in the header; may be empty
    std::string unit;        ///< "°C", "°F", "W", "kW"
};

/// A log as a series in ascending time.
struct Log {
    std::string name;
    std::vector<double> seconds;                          ///< strictly ascending, since the first row
    std::array<std::vector<float>, kLogChannels> values;  ///< empty: no such column; NaN: cell missing
    std::optional<double> start;  ///< first row, seconds since 1970 as the file's own clock shows it
    std::vector<LogColumn> columns;
    std::size_t rows_read = 0;             ///< data rows in the file
    std::vector<LogIssue> issues;          ///< in a fixed order
    std::vector<std::string> assumptions;  ///< sentences: what was assumed and why
    [[nodiscard]] bool has(LogChannel channel) const { return !values[static_cast<std::size_t>(channel)].empty(); }
    [[nodiscard]] const std::vector<float>& of(LogChannel channel) const {
        return values[static_cast<std::size_t>(channel)];
    }
};

/// Reads the whole text of a log. Bad rows are counted and named, never an error by themselves.
/// Errors: log-empty, log-no-time, log-no-signal (after a note [log-rows] for each kind of trouble), log-columns
/// (with what the file has), log-time-unit, log-date-order, log-not-text.
[[nodiscard]] Result<Log> parse_log(std::string_view text, std::string_view file_name, const LogOptions& options = {});

// ---------------------------------------------------------------- findings

/// From `from` to `to`, seconds since the first row.
struct LogSpan {
    double from = 0.0, to = 0.0;
    [[nodiscard]] double length() const { return to - from; }
};

/// One temperature control cycle: compressor start, stop, next start.
struct LogCycle {
    double start = 0.0, stop = 0.0, end = 0.0;
    bool steady = false;  ///< outside defrost and recovery, pull-down, gaps and door openings
    [[nodiscard]] double run_share() const { return (stop - start) / (end - start); }
};

struct LogDefrost {
    double start = 0.0, heat_end = 0.0;
    std::optional<double> recovered;       ///< back in the ordinary band; none: not within the log
    std::optional<double> peak;            ///< degC, evaporator if logged, else freezer
    std::optional<double> freezer_peak;    ///< degC
    std::optional<double> interval_h;      ///< since the start of the defrost before, by the clock
    std::optional<double> run_interval_h;  ///< the same in compressor run time
    std::string seen_by;                   ///< "power", "evaporator" or "freezer"
};

struct LogDoor {
    LogChannel compartment = LogChannel::fridge;
    double start = 0.0, peak_time = 0.0;
    double rise = 0.0;  ///< K
};

/// Straight line through window means: K per day, with twice its standard error.
struct LogTrend {
    double per_day = 0.0, uncertainty = 0.0;
    bool clear = false;  ///< larger than its uncertainty and than 0.3 K (2 points of run time) over the log
};

struct LogCompartment {
    LogChannel channel = LogChannel::fridge;
    double mean = 0.0, minimum = 0.0, maximum = 0.0;  ///< over all known time, degC
    std::optional<double> steady_mean;
    std::optional<double> swing;  ///< K, peak to peak within a cycle, median of the steady ones
    std::optional<LogTrend> trend;
    double limit = 0.0;            ///< 4 degC for the fridge, -15 degC for the freezer
    double hours_above = 0.0;      ///< in all
    double longest_above_h = 0.0;  ///< in one stretch; a dip of less than 10 min does not end it
    LogSpan longest_above;
};

enum class RunSource { none, watts, evaporator, freezer, fridge };

struct LogCaution {
    std::string id;
    std::string text;
};

struct LogFindings {
    double length_h = 0.0, known_h = 0.0, interval_s = 0.0;
    std::vector<LogSpan> gaps;
    RunSource run_source = RunSource::none;
    std::vector<LogSpan> runs;  ///< compressor running
    std::vector<LogCycle> cycles;
    std::vector<LogSpan> steady;  ///< steady periods
    double steady_h = 0.0;
    std::optional<double> run_share;         ///< 0..1 over all time with a known state
    std::optional<double> steady_run_share;  ///< over the steady cycles
    std::optional<double> cycles_per_hour;
    /// K/h of the freezer (else fridge) from the start after a warm-up - a defrost, the first start of
    /// the log - over the first two hours of running, or to the stop. Median of these.
    std::optional<double> pull_down_rate;
    std::size_t pull_downs = 0;        ///< how many went into it
    std::optional<double> cycle_rate;  ///< K/h of the same compartment within the steady cycles' runs
    LogChannel pull_down_of = LogChannel::freezer;
    std::optional<double> running_watts, idle_watts, heater_watts, mean_watts;
    std::optional<LogTrend> run_trend;  ///< points of run time (%) per day
    std::vector<LogCompartment> compartments;
    std::optional<double> room_mean, evaporator_min;
    std::vector<LogDoor> doors;
    bool doors_visible = false;  ///< the interval is short enough to see them
    std::vector<LogDefrost> defrosts;
    bool defrost_visible = false;      ///< a channel that shows defrosts is there
    bool defrost_each_cycle = false;   ///< the coil clears itself in every off period
    std::size_t short_bursts = 0;      ///< power for under a minute, well above running: tries to start
    std::vector<std::string> remarks;  ///< sentences
    std::vector<LogCaution> cautions;  ///< to be shown before everything else
};

/// Finds everything that the channels allow. Ensures: spans ascend and do not overlap.
[[nodiscard]] LogFindings analyse_log(const Log& log);

/// The findings as readings of a case; `origin` names the file, the note the period each came from.
/// `typed` carries a unit, so that parse_reading accepts it. Empty when the log says nothing.
[[nodiscard]] std::vector<Reading> readings_from_log(const Log& log, const LogFindings& findings,
                                                     std::string_view origin);

// ---------------------------------------------------------------- writers: cautions come first in every one

struct LogStyle {
    UnitPreference units = UnitPreference::si;
    std::size_t width = 80;
    bool colour = false;
};

/// Plain text with a small plot, at most `style.width` columns.
[[nodiscard]] std::string log_to_text(const Log& log, const LogFindings& findings, const std::vector<Reading>& readings,
                                      const LogStyle& style = {});
/// One JSON object, "frostread_templog": 1; docs/templog.md has the table of its members.
[[nodiscard]] std::string log_to_json(const Log& log, const LogFindings& findings,
                                      const std::vector<Reading>& readings);
[[nodiscard]] std::string log_to_svg(const Log& log, const LogFindings& findings, const LogStyle& style = {});
/// One page without scripts or links to elsewhere; prints on paper.
[[nodiscard]] std::string log_to_html(const Log& log, const LogFindings& findings, const std::vector<Reading>& readings,
                                      const LogStyle& style = {});

}  // namespace frostread
