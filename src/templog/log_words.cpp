#include "templog/log_words.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "templog/log_text.hpp"
#include "templog/log_time.hpp"

namespace frostread::templog {

namespace {

double middle(std::vector<double> values) {
    return median(std::move(values)).value_or(0.0);
}

std::string signed_number(double value, int decimals) {
    const std::string text = fixed(std::abs(value), decimals);
    return (value < 0.0 && text.find_first_not_of("0.") != std::string::npos ? "−" : "+") + text;
}

}  // namespace

std::string_view to_word(RunSource source) {
    switch (source) {
        case RunSource::none:
            return "none";
        case RunSource::watts:
            return "watts";
        case RunSource::evaporator:
            return "evaporator";
        case RunSource::freezer:
            return "freezer";
        case RunSource::fridge:
            return "fridge";
    }
    return "none";
}

std::string with_minus(double value, int decimals) {
    std::string text = fixed(value, decimals);
    if (!text.empty() && text[0] == '-') {
        text.replace(0, 1, "−");
    }
    return text;
}

std::string file_title(std::string_view name) {
    const std::size_t slash = name.find_last_of("/\\");
    const std::string_view last = slash == std::string_view::npos ? name : name.substr(slash + 1);
    return name == "-" ? "standard input" : printable(last, 60);
}

std::string shown_value(const Reading& reading) {
    std::string text = reading.typed;
    const auto swap = [&](std::string_view from, std::string_view to) {
        const std::size_t at = text.find(from);
        if (at != std::string::npos) {
            text.replace(at, from.size(), to);
        }
    };
    swap("degC", "°C");
    swap("1/h", "an hour");
    return text;
}

std::string duration(double seconds) {
    return seconds < 7200.0 ? fixed(seconds / 60.0, 0) + " min" : fixed(seconds / 3600.0, 1) + " h";
}

std::string plural(std::size_t count, std::string_view one, std::string_view many) {
    return std::to_string(count) + " " + std::string(count == 1 ? one : many);
}

std::string LogWords::temperature(double celsius) const {
    return with_minus(degrees(celsius), 1) + " " + std::string(degree_sign());
}

std::string LogWords::difference(double kelvin) const {
    return us_ ? with_minus(kelvin * 1.8, 1) + " °F" : with_minus(kelvin, 1) + " K";
}

std::string LogWords::rate(double kelvin_per_hour) const {
    return us_ ? with_minus(kelvin_per_hour * 1.8, 1) + " °F/h" : with_minus(kelvin_per_hour, 1) + " K/h";
}

std::string LogWords::when(double seconds) const {
    return log_.start ? short_time(*log_.start + seconds) : "hour " + fixed(seconds / 3600.0, 1);
}

std::string LogWords::limit(const LogCompartment& compartment) const {
    // The trade rounds 4 °C to 40 °F; the line and the hours are of 4 °C, so that both say the same.
    if (us_ && compartment.channel == LogChannel::fridge) {
        return "4 °C (39 °F)";
    }
    if (us_) {
        return with_minus(degrees(compartment.limit), 0) + " °F";
    }
    return with_minus(compartment.limit, 0) + " °C";
}

std::string LogWords::headline() const {
    const std::string length =
        findings_.length_h < 72.0 ? fixed(findings_.length_h, 1) + " h" : fixed(findings_.length_h / 24.0, 1) + " days";
    std::string text = length;
    if (log_.start) {
        text += ", " + when(0.0) + " to " + when(log_.seconds.back());
    }
    const double interval = findings_.interval_s;
    return text + ", a row every " +
           (interval < 120.0 ? fixed(interval, 0) + " s" : fixed(interval / 60.0, 0) + " min");
}

std::string LogWords::where_from() const {
    if (findings_.steady.empty()) {
        return "mean over the whole log: no steady period was found";
    }
    return "mean and swing over " + fixed(findings_.steady_h, 1) + " h in " +
           plural(findings_.steady.size(), "steady period", "steady periods");
}

LogWords::Fact LogWords::compressor() const {
    Fact fact{"Compressor", {}};
    const std::string how = findings_.run_source == RunSource::watts
                                ? "by its power"
                                : "by the slope of the " + std::string(to_word(findings_.run_source)) + " temperature";
    const auto share = findings_.steady_run_share ? findings_.steady_run_share : findings_.run_share;
    if (share) {
        std::string text = "runs " + fixed(100.0 * *share, 0) + " % of the time, " + how;
        if (findings_.steady_run_share && findings_.run_share &&
            std::abs(*findings_.steady_run_share - *findings_.run_share) >= 0.015) {
            text += " (" + fixed(100.0 * *findings_.run_share, 0) + " % with defrosts and doors)";
        }
        fact.sentences.push_back(std::move(text));
    }
    if (findings_.cycles_per_hour && findings_.steady_run_share && *findings_.cycles_per_hour > 0.0) {
        const double period = 3600.0 / *findings_.cycles_per_hour;
        fact.sentences.push_back(fixed(*findings_.cycles_per_hour, 1) +
                                 " starts an hour: " + duration(period * *findings_.steady_run_share) + " on, " +
                                 duration(period * (1.0 - *findings_.steady_run_share)) + " off");
    }
    if (findings_.running_watts) {
        fact.sentences.push_back(
            "draws " + fixed(*findings_.running_watts, 0) + " W running" +
            (findings_.idle_watts ? ", " + fixed(*findings_.idle_watts, 0) + " W standing" : "") +
            (findings_.mean_watts ? ", " + fixed(*findings_.mean_watts * 0.024, 2) + " kWh a day" : ""));
    } else if (findings_.idle_watts) {
        fact.sentences.push_back("the unit draws " + fixed(*findings_.idle_watts, 0) + " W");
    }
    const std::string compartment{frostread::to_word(findings_.pull_down_of)};
    if (findings_.cycle_rate) {
        fact.sentences.push_back(
            "cools the " + compartment + " by " + rate(*findings_.cycle_rate) + " within a run" +
            (findings_.pull_down_rate ? ", by " + rate(*findings_.pull_down_rate) + " after a warm-up" : ""));
    } else if (findings_.pull_down_rate) {
        fact.sentences.push_back("cools the " + compartment + " by " + rate(*findings_.pull_down_rate) +
                                 " after a warm-up");
    }
    return fact;
}

LogWords::Fact LogWords::defrosts() const {
    Fact fact{"Defrosts", {}};
    const auto& all = findings_.defrosts;
    if (!findings_.defrost_visible) {
        fact.sentences.emplace_back("not to be seen in the fridge air alone");
        return fact;
    }
    if (all.empty()) {
        fact.sentences.push_back(findings_.defrost_each_cycle ? "the coil clears itself in every cycle"
                                                              : "none in " + fixed(findings_.known_h, 1) + " h");
        return fact;
    }
    std::vector<double> heat;
    std::vector<double> back;
    std::vector<double> intervals;
    std::vector<double> run;
    double peak = -std::numeric_limits<double>::infinity();
    for (const LogDefrost& defrost : all) {
        heat.push_back(defrost.heat_end - defrost.start);
        if (defrost.recovered) {
            back.push_back(*defrost.recovered - defrost.start);
        }
        if (defrost.interval_h) {
            intervals.push_back(*defrost.interval_h);
        }
        if (defrost.run_interval_h) {
            run.push_back(*defrost.run_interval_h);
        }
        peak = std::max(peak, defrost.freezer_peak.value_or(peak));
    }
    const std::string seen_by = all.front().seen_by == "freezer" ? "the freezer air" : "the " + all.front().seen_by;
    std::string text = plural(all.size(), "defrost", "defrosts") + ", seen by " + seen_by;
    if (!intervals.empty()) {
        text += ", every " + fixed(middle(intervals), 1) + " h";
        if (!run.empty()) {
            text += " (" + fixed(middle(run), 1) + " h of running)";
        }
    }
    fact.sentences.push_back(std::move(text));
    text = "heat for " + duration(middle(heat));
    if (!back.empty()) {
        text += ", cold again " + duration(middle(back)) + " after the start";
    }
    if (std::isfinite(peak)) {
        text += ", freezer up to " + temperature(peak);
    }
    fact.sentences.push_back(std::move(text));
    return fact;
}

LogWords::Fact LogWords::doors() const {
    Fact fact{"Doors", {}};
    if (!findings_.doors_visible) {
        return fact;
    }
    for (const LogChannel channel : {LogChannel::fridge, LogChannel::freezer}) {
        if (!log_.has(channel)) {
            continue;
        }
        std::size_t count = 0;
        double rise = 0.0;
        for (const LogDoor& door : findings_.doors) {
            if (door.compartment == channel) {
                ++count;
                rise = std::max(rise, door.rise);
            }
        }
        std::string text = std::string(frostread::to_word(channel)) + ": " +
                           (count == 0 ? "no opening seen" : plural(count, "opening", "openings"));
        if (count > 0) {
            text += ", " + fixed(static_cast<double>(count) * 24.0 / std::max(findings_.known_h, 1.0), 1) +
                    " a day, up to " + difference(rise) + " warmer";
        }
        fact.sentences.push_back(std::move(text));
    }
    return fact;
}

LogWords::Fact LogWords::trends() const {
    Fact fact{"Trend", {}};
    const auto say = [&](const std::string& name, const LogTrend& trend, double factor, const std::string& unit) {
        fact.sentences.push_back(name + " " + signed_number(trend.per_day * factor, 2) + " ± " +
                                 fixed(trend.uncertainty * factor, 2) + " " + unit + " a day" +
                                 (trend.clear ? (trend.per_day > 0.0 ? ": rising" : ": falling") : ": no clear trend"));
    };
    for (const LogCompartment& compartment : findings_.compartments) {
        if (compartment.trend) {
            say(std::string(frostread::to_word(compartment.channel)), *compartment.trend, us_ ? 1.8 : 1.0,
                us_ ? "°F" : "K");
        }
    }
    if (findings_.run_trend) {
        say("run time", *findings_.run_trend, 1.0, "points");
    }
    return fact;
}

LogWords::Fact LogWords::above_limits() const {
    Fact fact{"Too warm", {}};
    for (const LogCompartment& c : findings_.compartments) {
        const std::string name{frostread::to_word(c.channel)};
        fact.sentences.push_back(c.longest_above.length() > 0.0
                                     ? name + " " + fixed(c.hours_above, 1) + " h above " + limit(c) + ", longest " +
                                           duration(c.longest_above.length()) + " from " + when(c.longest_above.from)
                                     : name + " never above " + limit(c));
    }
    return fact;
}

std::vector<LogWords::Fact> LogWords::facts() const {
    std::vector<Fact> all;
    for (Fact fact : {compressor(), defrosts(), doors(), trends()}) {
        if (!fact.sentences.empty()) {
            all.push_back(std::move(fact));
        }
    }
    return all;
}

std::string LogWords::rows() const {
    std::string text =
        plural(log_.rows_read, "row", "rows") + " read, " + std::to_string(log_.seconds.size()) + " used";
    if (!findings_.gaps.empty()) {
        text += ", " + plural(findings_.gaps.size(), "gap", "gaps") + " of " +
                duration((findings_.length_h - findings_.known_h) * 3600.0) + " in all";
    }
    return text;
}

std::string LogWords::issue(const LogIssue& issue) const {
    std::string text = std::to_string(issue.count) + " × " + issue.what + " (line";
    text += issue.first_lines.size() == 1 ? " " : "s ";
    for (std::size_t i = 0; i < issue.first_lines.size(); ++i) {
        text += (i > 0 ? ", " : "") + std::to_string(issue.first_lines[i]);
    }
    return text + (issue.count > issue.first_lines.size() ? ", …)" : ")");
}

std::vector<Slice> slices(const Values& values, std::size_t count) {
    constexpr float kNone = std::numeric_limits<float>::quiet_NaN();
    std::vector<Slice> out(count, Slice{kNone, kNone});
    if (values.empty() || count == 0) {
        return out;
    }
    for (std::size_t k = 0; k < count; ++k) {
        const std::size_t from = k * values.size() / count;
        const std::size_t to = std::max(from + 1, (k + 1) * values.size() / count);
        for (std::size_t i = from; i < std::min(to, values.size()); ++i) {
            const float v = values[i];
            if (!std::isnan(v)) {
                out[k].low = std::isnan(out[k].low) ? v : std::min(out[k].low, v);
                out[k].high = std::isnan(out[k].high) ? v : std::max(out[k].high, v);
            }
        }
    }
    return out;
}

std::vector<double> round_ticks(double low, double high, std::size_t count) {
    std::vector<double> ticks;
    const double span = std::max(high - low, 1e-6);
    const double rough = span / static_cast<double>(std::max<std::size_t>(count, 1));
    const double power = std::pow(10.0, std::floor(std::log10(rough)));
    double step = 10.0 * power;
    for (const double factor : {1.0, 2.0, 5.0}) {
        if (factor * power >= rough) {
            step = factor * power;
            break;
        }
    }
    for (double tick = std::ceil(low / step - 1e-9) * step; tick <= high + 1e-9 * span; tick += step) {
        ticks.push_back(tick);
    }
    return ticks;
}

std::vector<TimeTick> time_ticks(const Log& log, std::size_t most) {
    constexpr std::array<double, 14> kSteps{60,    300,   600,   1800,   3600,   7200,   10800,
                                            21600, 43200, 86400, 172800, 432000, 864000, 2592000};
    std::vector<TimeTick> ticks;
    const double length = log.seconds.back();
    double step = kSteps.back();
    for (const double candidate : kSteps) {
        if (length / candidate <= static_cast<double>(most)) {
            step = candidate;
            break;
        }
    }
    const double base = log.start.value_or(0.0);
    for (double at = std::ceil(base / step) * step; at <= base + length; at += step) {
        TimeTick tick{at - base, ""};
        const std::string full = short_time(at);
        const std::size_t clock = full.rfind(' ');
        if (!log.start) {
            tick.label = fixed(at / 3600.0, step < 3600.0 ? 1 : 0) + " h";
        } else if (step >= 86400.0 || full.substr(clock + 1) == "00:00") {
            tick.label = full.substr(0, clock);
        } else {
            tick.label = full.substr(clock + 1);
        }
        ticks.push_back(std::move(tick));
    }
    return ticks;
}

}  // namespace frostread::templog
