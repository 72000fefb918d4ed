#include <algorithm>
#include <cmath>

#include "frostread/templog.hpp"
#include "templog/compartments.hpp"
#include "templog/log_text.hpp"
#include "templog/log_time.hpp"

namespace frostread {

namespace {

using templog::fixed;

constexpr double kShortLog_h = 8.0;
constexpr double kTooOften_h = 4.5;         ///< by the clock; one to four a day are ordinary
constexpr double kTooLong_h = 1.5;          ///< from the start to cold again
constexpr double kHeatTooLong_h = 0.75;     ///< heater alone; 15 to 45 min are usual
constexpr double kTooHigh = 10.0;           ///< K of the freezer's air
constexpr double kLongWithoutRun_h = 24.0;  ///< of compressor run time
constexpr double kLongWithout_h = 48.0;     ///< by the clock, when the run time is not known

/// Collects readings with what they have in common.
class ReadingList {
public:
    ReadingList(const Log& log, const LogFindings& findings, std::string_view origin)
        : log_(log), findings_(findings), origin_(origin) {}

    Reading& add(std::string check, double value, int decimals, std::string_view unit, std::string note) {
        Reading& reading = add_plain(std::move(check), std::move(note));
        reading.typed = fixed(value, decimals) + " " + std::string(unit);
        reading.value = std::stod(fixed(value, decimals));
        return reading;
    }

    Reading& add_look(std::string check, std::string outcome, std::string note) {
        Reading& reading = add_plain(std::move(check), std::move(note));
        reading.typed = outcome;
        reading.outcomes.push_back(std::move(outcome));
        return reading;
    }

    /// "2031-04-17T08:00:00 to 2031-04-19T08:00:00", or hours of the log without a calendar.
    [[nodiscard]] std::string period(double from, double to) const {
        if (log_.start) {
            return templog::iso_time(*log_.start + from) + " to " + templog::iso_time(*log_.start + to);
        }
        return "hour " + fixed(from / 3600.0, 1) + " to " + fixed(to / 3600.0, 1) + " of the log";
    }
    [[nodiscard]] std::string whole() const { return "whole log, " + period(0.0, log_.seconds.back()); }
    [[nodiscard]] std::string steady() const {
        const auto& spans = findings_.steady;
        if (spans.empty()) {
            return whole() + ", no steady period found";
        }
        return fixed(findings_.steady_h, 1) + " h in steady periods, " + period(spans.front().from, spans.back().to);
    }

    [[nodiscard]] std::vector<Reading> take() { return std::move(readings_); }

private:
    Reading& add_plain(std::string check, std::string note) {
        Reading reading;
        reading.check = std::move(check);
        reading.note = "from the log: " + std::move(note);
        reading.origin = origin_;
        if (log_.start) {
            reading.at = templog::iso_time(*log_.start + log_.seconds.back());
        }
        // A night's log still says something, so it is left open; an hour or two is no log.
        if (templog::is_whole_day(findings_.known_h, findings_) || findings_.known_h < kShortLog_h) {
            reading.after["log-24h"] = templog::is_whole_day(findings_.known_h, findings_);
        }
        readings_.push_back(std::move(reading));
        return readings_.back();
    }

    const Log& log_;
    const LogFindings& findings_;
    std::string origin_;
    std::vector<Reading> readings_;
};

double longest_steady_h(const LogFindings& findings) {
    double longest = 0.0;
    for (const LogSpan& span : findings.steady) {
        longest = std::max(longest, span.length() / 3600.0);
    }
    return longest;
}

void add_compartments(ReadingList& list, const LogFindings& findings) {
    for (const LogCompartment& compartment : findings.compartments) {
        const bool fridge = compartment.channel == LogChannel::fridge;
        Reading& mean =
            list.add(fridge ? "fridge-temp" : "freezer-temp", compartment.steady_mean.value_or(compartment.mean), 1,
                     "degC", "mean over " + list.steady());
        mean.sure = compartment.steady_mean.has_value();
        if (templog::is_whole_day(findings.known_h, findings)) {
            mean.after["ran-24h"] = true;
        }
        if (fridge && findings.doors_visible && longest_steady_h(findings) >= 8.0) {
            mean.after["door-shut-8h"] = true;
        }
        if (compartment.swing) {
            list.add(fridge ? "fridge-swing" : "freezer-swing", *compartment.swing, 1, "K",
                     "peak to peak within a cycle, middle one over " + list.steady());
        }
    }
    if (findings.room_mean) {
        list.add("room-temp", *findings.room_mean, 1, "degC", "mean over the " + list.whole());
    }
}

void add_running(ReadingList& list, const LogFindings& findings) {
    const bool by_power = findings.run_source == RunSource::watts;
    // A damper or a fan that runs on moves the air temperatures too.
    const bool trusted = by_power || findings.run_source == RunSource::evaporator;
    const std::string how = by_power ? "by the power" : "by the slope of the temperature";
    const auto share = findings.steady_run_share ? findings.steady_run_share : findings.run_share;
    // Less than three hours, or a run of which neither start nor end was seen, is no share of time.
    if (share && findings.known_h >= 3.0 && (findings.cycles.size() >= 2 || by_power)) {
        Reading& run = list.add("run-time", 100.0 * *share, 0, "%",
                                how + ", " + (findings.steady_run_share ? list.steady() : list.whole()));
        run.sure = trusted;
    }
    if (findings.cycles_per_hour) {
        Reading& cycles = list.add("cycles-per-hour", *findings.cycles_per_hour, 2, "1/h",
                                   how + ", " + (findings.steady_run_share ? list.steady() : list.whole()));
        cycles.sure = trusted;
    }
    if (findings.pull_down_rate && findings.pull_down_of == LogChannel::freezer && *findings.pull_down_rate >= 0.0) {
        list.add("pull-down-rate", *findings.pull_down_rate, 1, "K/h",
                 "fall of the freezer over the first two hours of running after a warm-up, " +
                     std::to_string(findings.pull_downs) + (findings.pull_downs == 1 ? " start" : " starts"));
    }
    if (findings.running_watts) {
        list.add("power-draw", *findings.running_watts, 0, "W",
                 "middle power while the compressor runs, " + list.whole());
    } else if (findings.idle_watts && !findings.heater_watts && findings.known_h >= 3.0) {
        list.add("power-draw", *findings.idle_watts, 0, "W", "the compressor never ran, " + list.whole());
    }
}

void add_defrosts(ReadingList& list, const Log& log, const LogFindings& findings) {
    if (!findings.defrost_visible || findings.defrost_each_cycle) {
        return;
    }
    const auto& defrosts = findings.defrosts;
    const bool by_air = !log.has(LogChannel::watts) && !log.has(LogChannel::evaporator);
    if (defrosts.empty()) {
        const double run_h = findings.run_share.value_or(0.0) * findings.known_h;
        const bool run_known = findings.run_source != RunSource::none && findings.run_share;
        const bool hidden = std::any_of(findings.gaps.begin(), findings.gaps.end(),
                                        [](const LogSpan& gap) { return gap.length() > 1200.0; });
        if (!hidden && (run_known ? run_h >= kLongWithoutRun_h : findings.known_h >= kLongWithout_h)) {
            Reading& none =
                list.add_look("defrost-seen", "none",
                              "no defrost in " + fixed(findings.known_h, 1) + " h" +
                                  (run_known ? ", " + fixed(run_h, 1) + " h of running" : "") + ", " + list.whole());
            none.sure = !by_air;
        }
        return;
    }
    std::vector<double> lengths;
    std::vector<double> intervals;
    std::vector<double> run_intervals;
    double highest_rise = 0.0;
    // Without the freezer's air only the heating can be timed.
    const bool air = log.has(LogChannel::freezer);
    const auto freezer = std::find_if(findings.compartments.begin(), findings.compartments.end(),
                                      [](const LogCompartment& c) { return c.channel == LogChannel::freezer; });
    for (const LogDefrost& defrost : defrosts) {
        lengths.push_back(((air ? defrost.recovered.value_or(defrost.heat_end) : defrost.heat_end) - defrost.start) /
                          3600.0);
        if (defrost.interval_h) {
            intervals.push_back(*defrost.interval_h);
        }
        if (defrost.run_interval_h) {
            run_intervals.push_back(*defrost.run_interval_h);
        }
        if (defrost.freezer_peak && freezer != findings.compartments.end()) {
            highest_rise = std::max(highest_rise, *defrost.freezer_peak - freezer->steady_mean.value_or(freezer->mean));
        }
    }
    const auto middle = [](std::vector<double> values) {
        std::sort(values.begin(), values.end());
        return values.empty() ? 0.0 : values[values.size() / 2];
    };
    const std::string seen = std::to_string(defrosts.size()) + (defrosts.size() == 1 ? " defrost" : " defrosts") +
                             " by the " +
                             (defrosts.front().seen_by == "freezer" ? "freezer air" : defrosts.front().seen_by);
    if (middle(lengths) > (air ? kTooLong_h : kHeatTooLong_h) || highest_rise > kTooHigh) {
        list.add_look("defrost-seen", "too-long",
                      seen + (air ? ", start to cold again " : ", heating ") + fixed(60.0 * middle(lengths), 0) +
                          " min" + (air ? ", freezer up to " + fixed(highest_rise, 1) + " K warmer, " : ", ") +
                          list.whole());
    } else if (intervals.size() >= 2 && middle(intervals) < kTooOften_h) {
        list.add_look("defrost-seen", "too-often",
                      seen + ", every " + fixed(middle(intervals), 1) + " h, " + list.whole());
    } else {
        list.add_look("defrost-seen", "regular", seen + ", " + list.whole()).sure = defrosts.size() >= 2 || !by_air;
    }
    if (!run_intervals.empty()) {
        list.add("defrost-interval", middle(run_intervals), 1, "h",
                 "compressor run time between defrosts, " + std::to_string(run_intervals.size()) +
                     (run_intervals.size() == 1 ? " interval" : " intervals"));
    }
}

}  // namespace

std::vector<Reading> readings_from_log(const Log& log, const LogFindings& findings, std::string_view origin) {
    ReadingList list(log, findings, origin);
    if (log.seconds.size() < 3) {
        return {};
    }
    add_compartments(list, findings);
    add_running(list, findings);
    add_defrosts(list, log, findings);
    return list.take();
}

}  // namespace frostread
