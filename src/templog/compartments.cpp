#include "templog/compartments.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "templog/events.hpp"
#include "templog/log_text.hpp"

namespace frostread::templog {

bool is_whole_day(double hours, const LogFindings& findings) {
    constexpr double kRounding = 1e-6;
    return hours + findings.interval_s / 3600.0 >= 24.0 - kRounding;
}

namespace {

constexpr double kDip = 600.0;         ///< s: a shorter dip below the limit does not cool the food
constexpr double kSafeSpell = 7200.0;  ///< s above 4 °C after which food is in question
constexpr double kMeanLimit = 4.44;    ///< degC, 40 °F: for the mean, which food follows
constexpr double kTrendWindow = 6.0 * 3600.0;
constexpr std::size_t kTrendWindows = 6;

std::optional<LogTrend> trend_of(const std::vector<double>& time, const std::vector<double>& value,
                                 double clear_change) {
    if (time.size() < kTrendWindows) {
        return std::nullopt;
    }
    const auto line = fit_line(time, value);
    if (!line) {
        return std::nullopt;
    }
    LogTrend trend;
    trend.per_day = line->slope * 86400.0;
    trend.uncertainty = 2.0 * line->slope_error * 86400.0;
    const double days = (time.back() - time.front()) / 86400.0;
    trend.clear = std::abs(trend.per_day) > trend.uncertainty && std::abs(trend.per_day) * days > clear_change;
    return trend;
}

/// Means over six-hour windows that are at least one third known.
std::optional<LogTrend> compartment_trend(const Grid& grid, const Values& steady) {
    std::vector<double> time;
    std::vector<double> value;
    const std::size_t window = grid.steps(kTrendWindow);
    for (std::size_t from = 0; from + window / 2 < steady.size(); from += window) {
        double sum = 0.0;
        double when = 0.0;
        std::size_t known = 0;
        for (std::size_t i = from; i < std::min(from + window, steady.size()); ++i) {
            if (!std::isnan(steady[i])) {
                sum += static_cast<double>(steady[i]);
                when += grid.time(i);
                ++known;
            }
        }
        if (known * 3 >= window) {
            time.push_back(when / static_cast<double>(known));
            value.push_back(sum / static_cast<double>(known));
        }
    }
    return trend_of(time, value, 0.3);
}

/// Peak to peak between turning points that both lie in the same steady period.
std::optional<double> swing_of(const Log& log, const Grid& grid, LogChannel channel, const LogFindings& findings) {
    const Values& values = grid.of(channel);
    const double noise = noise_of(values);
    const double resolution = resolution_of(log.of(channel));
    const std::size_t half = smoothing_half(grid, noise, resolution);
    const double left = noise / std::sqrt(static_cast<double>(2 * half + 1));
    const Values smoothed = smooth(values, half);
    const Values steady = only_within(grid, smoothed, findings.steady);
    const auto extremes = find_extremes(steady, turning_threshold(steady, left, resolution));
    std::vector<double> height;
    for (std::size_t i = 0; i < extremes.size(); ++i) {
        const std::size_t at = extremes[i].at;
        const std::size_t before = extremes[i].after_break ? at - std::min(at, grid.steps(1200.0)) : extremes[i - 1].at;
        const bool last = i + 1 == extremes.size() || extremes[i + 1].after_break;
        const std::size_t after = last ? std::min(grid.size - 1, at + grid.steps(1200.0)) : extremes[i + 1].at;
        height.push_back(refine_turn(grid, values, before, extremes[i], after, 2 * half + 2, resolution).value);
    }
    std::vector<double> legs;
    for (std::size_t i = 1; i < extremes.size(); ++i) {
        if (!extremes[i].after_break) {
            legs.push_back(std::abs(height[i] - height[i - 1]));
        }
    }
    if (legs.size() < 3) {
        return std::nullopt;
    }
    return median(std::move(legs));
}

}  // namespace

LogCompartment describe_compartment(const Log& log, const Grid& grid, LogChannel channel, const LogFindings& findings) {
    LogCompartment compartment;
    compartment.channel = channel;
    const Values& values = grid.of(channel);
    double sum = 0.0;
    std::size_t known = 0;
    compartment.minimum = std::numeric_limits<double>::infinity();
    compartment.maximum = -compartment.minimum;
    for (const float value : values) {
        if (!std::isnan(value)) {
            const double v = static_cast<double>(value);
            sum += v;
            ++known;
            compartment.minimum = std::min(compartment.minimum, v);
            compartment.maximum = std::max(compartment.maximum, v);
        }
    }
    compartment.mean = sum / static_cast<double>(std::max<std::size_t>(known, 1));
    const Values steady = only_within(grid, values, findings.steady);
    double steady_sum = 0.0;
    std::size_t steady_known = 0;
    for (const float value : steady) {
        if (!std::isnan(value)) {
            steady_sum += static_cast<double>(value);
            ++steady_known;
        }
    }
    if (steady_known >= 3) {
        compartment.steady_mean = steady_sum / static_cast<double>(steady_known);
        compartment.swing = swing_of(log, grid, channel, findings);
        compartment.trend = compartment_trend(grid, steady);
    }
    compartment.limit = channel == LogChannel::fridge ? kFridgeLimit : kFreezerLimit;
    std::size_t above = 0;
    for (const float value : values) {
        above += static_cast<double>(value) > compartment.limit ? 1U : 0U;
    }
    compartment.hours_above = static_cast<double>(above) * grid.step / 3600.0;
    for (const LogSpan& spell : spells_above(grid, values, compartment.limit, kDip)) {
        if (spell.length() > compartment.longest_above.length()) {
            compartment.longest_above = spell;
        }
    }
    compartment.longest_above_h = compartment.longest_above.length() / 3600.0;
    return compartment;
}

void caution_food(const Grid& grid, LogFindings& findings) {
    if (!grid.has(LogChannel::fridge)) {
        return;
    }
    const auto fridge = std::find_if(findings.compartments.begin(), findings.compartments.end(),
                                     [](const LogCompartment& c) { return c.channel == LogChannel::fridge; });
    if (fridge == findings.compartments.end()) {
        return;
    }
    double warm_mean = 0.0;
    const Values slow = smooth(grid.of(LogChannel::fridge), grid.steps(0.5 * kSafeSpell));
    for (const LogSpan& spell : spells_above(grid, slow, kMeanLimit, 0.0)) {
        // A two-hour mean above the limit at one moment already stands for two hours.
        warm_mean = std::max(warm_mean, spell.length());
    }
    const bool stretch = fridge->longest_above.length() > kSafeSpell;
    if (!stretch && warm_mean <= kSafeSpell) {
        return;
    }
    const double hours = std::max(fridge->longest_above.length(), warm_mean) / 3600.0;
    std::string text = stretch ? "The fridge was above 4 °C / 40 °F for " + fixed(hours, 1) + " h in one stretch. "
                               : "The fridge air was above 4 °C / 40 °F on average for " + fixed(hours, 1) + " h. ";
    text +=
        "Perishable food kept above it for more than 2 hours must not be eaten: throw it away. Do not taste it to find "
        "out.";
    findings.cautions.push_back({"food-warm", std::move(text)});
}

std::optional<LogTrend> run_trend(const Grid& grid, const std::vector<std::int8_t>& state) {
    std::vector<double> time;
    std::vector<double> value;
    const std::size_t window = grid.steps(kTrendWindow);
    for (std::size_t from = 0; from + window <= state.size(); from += window) {
        std::size_t on = 0;
        std::size_t known = 0;
        for (std::size_t i = from; i < from + window; ++i) {
            on += state[i] == kOn ? 1U : 0U;
            known += state[i] != kUnknown ? 1U : 0U;
        }
        if (known * 10 >= window * 9) {
            time.push_back(grid.time(from + window / 2));
            value.push_back(100.0 * static_cast<double>(on) / static_cast<double>(known));
        }
    }
    return trend_of(time, value, 2.0);
}

}  // namespace frostread::templog
