#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "frostread/templog.hpp"
#include "templog/series.hpp"

/// What the writers share: numbers in the person's units, times by the log's clock, and the facts of
/// a log in the order in which every form shows them.
namespace frostread::templog {

class LogWords {
public:
    LogWords(const Log& log, const LogFindings& findings, UnitPreference units)
        : log_(log), findings_(findings), us_(units == UnitPreference::us) {}

    [[nodiscard]] double degrees(double celsius) const { return us_ ? celsius * 1.8 + 32.0 : celsius; }
    [[nodiscard]] std::string temperature(double celsius) const;  ///< "3.5 °C", "38.3 °F"
    [[nodiscard]] std::string difference(double kelvin) const;    ///< "2.0 K", "3.6 °F"
    [[nodiscard]] std::string rate(double kelvin_per_hour) const;
    [[nodiscard]] std::string_view degree_sign() const { return us_ ? "°F" : "°C"; }
    [[nodiscard]] std::string when(double seconds) const;  ///< "17 Apr 09:12" or "hour 1.2"
    [[nodiscard]] std::string limit(const LogCompartment& compartment) const;

    /// "2 days 3 h" of log, first and last row, interval.
    [[nodiscard]] std::string headline() const;
    [[nodiscard]] std::string where_from() const;  ///< what the means and swings are taken over

    /// A subject and sentences about it: compressor, power, defrosts, doors, trend.
    struct Fact {
        std::string subject;
        std::vector<std::string> sentences;
    };
    [[nodiscard]] std::vector<Fact> facts() const;
    [[nodiscard]] Fact above_limits() const;                       ///< subject "Too warm"
    [[nodiscard]] std::string issue(const LogIssue& issue) const;  ///< "3 rows: the time cannot … (lines 4, 9, 12)"
    [[nodiscard]] std::string rows() const;

private:
    [[nodiscard]] Fact compressor() const;
    [[nodiscard]] Fact defrosts() const;
    [[nodiscard]] Fact doors() const;
    [[nodiscard]] Fact trends() const;

    const Log& log_;
    const LogFindings& findings_;
    bool us_;
};

[[nodiscard]] std::string_view to_word(RunSource source);

/// A number with a typographer's minus, which a reader does not take for a dash.
[[nodiscard]] std::string with_minus(double value, int decimals);
/// The last part of a path, fit to be shown; "standard input" for "-".
[[nodiscard]] std::string file_title(std::string_view name);
/// "3.5 °C" of a reading's "3.5 degC".
[[nodiscard]] std::string shown_value(const Reading& reading);
/// "45 min" below two hours, else "3.2 h".
[[nodiscard]] std::string duration(double seconds);
/// "1 cycle", "3 cycles".
[[nodiscard]] std::string plural(std::size_t count, std::string_view one, std::string_view many);

/// Lowest and highest known value of each of `count` equal slices; NaN where nothing is known.
struct Slice {
    float low = 0.0F, high = 0.0F;
};
[[nodiscard]] std::vector<Slice> slices(const Values& values, std::size_t count);

/// Round numbers from `low` to `high`, about `count` of them.
[[nodiscard]] std::vector<double> round_ticks(double low, double high, std::size_t count);

/// Ticks of a time axis: seconds since the first row, with its label; on round hours or midnights.
struct TimeTick {
    double seconds = 0.0;
    std::string label;
};
[[nodiscard]] std::vector<TimeTick> time_ticks(const Log& log, std::size_t most);

}  // namespace frostread::templog
