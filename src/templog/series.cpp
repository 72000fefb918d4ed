#include "templog/series.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace frostread::templog {

namespace {

constexpr float kNone = std::numeric_limits<float>::quiet_NaN();
constexpr double kFinestStep = 10.0;
constexpr std::size_t kMostPoints = 6'000'000;

/// Fills holes of at most `most` points: temperatures by a straight line, power by holding the last.
void bridge(Values& values, std::size_t most, bool hold) {
    std::size_t last = values.size();
    for (std::size_t i = 0; i < values.size(); ++i) {
        if (std::isnan(values[i])) {
            continue;
        }
        if (last < i && i - last > 1 && i - last - 1 <= most) {
            const float a = values[last];
            const float b = values[i];
            for (std::size_t k = last + 1; k < i; ++k) {
                const float share = static_cast<float>(k - last) / static_cast<float>(i - last);
                values[k] = hold ? a : a + (b - a) * share;
            }
        }
        last = i;
    }
}

}  // namespace

std::size_t Grid::index(double time) const {
    if (time <= 0.0 || size == 0) {
        return 0;
    }
    return std::min(size - 1, static_cast<std::size_t>(std::llround(time / step)));
}

std::size_t Grid::steps(double seconds, std::size_t least) const {
    return std::max(least, static_cast<std::size_t>(std::llround(seconds / step)));
}

double usual_interval(const std::vector<double>& seconds) {
    std::vector<double> steps;
    const std::size_t stride = std::max<std::size_t>(1, seconds.size() / 50000);
    for (std::size_t i = 1; i < seconds.size(); i += stride) {
        steps.push_back(seconds[i] - seconds[i - 1]);
    }
    return quantile(steps, 0.5).value_or(1.0);
}

Grid make_grid(const Log& log, double interval) {
    Grid grid;
    const double span = log.seconds.back();
    // A few rows years apart get a coarse grid, not an endless one.
    const std::size_t most = std::min(kMostPoints, std::max<std::size_t>(50'000, 30 * log.seconds.size()));
    grid.step = std::max({kFinestStep, interval, span / static_cast<double>(most)});
    grid.gap_limit = std::max(3.2 * interval, 60.0);
    grid.size = static_cast<std::size_t>(std::llround(span / grid.step)) + 1;
    const auto bridged = static_cast<std::size_t>(grid.gap_limit / grid.step);
    std::vector<float> sum;
    std::vector<std::uint32_t> count;
    for (std::size_t channel = 0; channel < kLogChannels; ++channel) {
        const auto& raw = log.values[channel];
        if (raw.empty()) {
            continue;
        }
        sum.assign(grid.size, 0.0F);
        count.assign(grid.size, 0U);
        for (std::size_t i = 0; i < raw.size(); ++i) {
            if (!std::isnan(raw[i])) {
                const std::size_t at = grid.index(log.seconds[i]);
                sum[at] += raw[i];
                ++count[at];
            }
        }
        Values& values = grid.values[channel];
        values.assign(grid.size, kNone);
        for (std::size_t i = 0; i < grid.size; ++i) {
            if (count[i] > 0) {
                values[i] = sum[i] / static_cast<float>(count[i]);
            }
        }
        bridge(values, bridged, channel == static_cast<std::size_t>(LogChannel::watts));
    }
    return grid;
}

std::vector<LogSpan> find_gaps(const Log& log, double gap_limit) {
    std::vector<LogSpan> gaps;
    for (std::size_t i = 1; i < log.seconds.size(); ++i) {
        if (log.seconds[i] - log.seconds[i - 1] > gap_limit) {
            gaps.push_back({log.seconds[i - 1], log.seconds[i]});
        }
    }
    return gaps;
}

double noise_of(std::span<const float> values) {
    std::vector<double> bends;
    const std::size_t stride = std::max<std::size_t>(1, values.size() / 50000);
    for (std::size_t i = 1; i + 1 < values.size(); i += stride) {
        const double bend = values[i - 1] - 2.0 * values[i] + values[i + 1];
        if (!std::isnan(bend)) {
            bends.push_back(std::abs(bend));
        }
    }
    // MAD to sigma 1.4826; the second difference of white noise has sqrt(6) times its deviation.
    return quantile(bends, 0.5).value_or(0.0) * 1.4826 / std::sqrt(6.0);
}

double resolution_of(const std::vector<float>& values) {
    double smallest = std::numeric_limits<double>::infinity();
    const std::size_t most = std::min<std::size_t>(values.size(), 20000);
    for (std::size_t i = 1; i < most; ++i) {
        const double change = std::abs(static_cast<double>(values[i]) - static_cast<double>(values[i - 1]));
        if (change > 1e-4) {
            smallest = std::min(smallest, change);
        }
    }
    return std::isfinite(smallest) && smallest >= 0.049 ? smallest : 0.0;
}

Values smooth(std::span<const float> values, std::size_t half) {
    Values out(values.begin(), values.end());
    if (half == 0) {
        return out;
    }
    double sum = 0.0;
    std::size_t count = 0;
    const std::size_t size = values.size();
    const auto put = [&](std::size_t i, double sign) {
        if (!std::isnan(values[i])) {
            sum += sign * static_cast<double>(values[i]);
            count = sign > 0 ? count + 1 : count - 1;
        }
    };
    for (std::size_t i = 0; i < std::min(half, size); ++i) {
        put(i, 1.0);
    }
    for (std::size_t i = 0; i < size; ++i) {
        if (i + half < size) {
            put(i + half, 1.0);
        }
        if (i > half) {
            put(i - half - 1, -1.0);
        }
        out[i] = std::isnan(values[i]) || count == 0 ? kNone : static_cast<float>(sum / static_cast<double>(count));
    }
    return out;
}

std::optional<double> quantile(std::vector<double>& values, double q) {
    if (values.empty()) {
        return std::nullopt;
    }
    const auto at = static_cast<std::ptrdiff_t>(std::llround(q * static_cast<double>(values.size() - 1)));
    std::nth_element(values.begin(), values.begin() + at, values.end());
    return values[static_cast<std::size_t>(at)];
}

std::optional<double> median(std::vector<double> values) {
    return quantile(values, 0.5);
}

std::optional<Line> fit_line(std::span<const double> time, std::span<const double> value) {
    const std::size_t n = time.size();
    if (n < 3) {
        return std::nullopt;
    }
    double mean_t = 0.0;
    double mean_v = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
        mean_t += time[i] / static_cast<double>(n);
        mean_v += value[i] / static_cast<double>(n);
    }
    double tt = 0.0;
    double tv = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
        tt += (time[i] - mean_t) * (time[i] - mean_t);
        tv += (time[i] - mean_t) * (value[i] - mean_v);
    }
    if (tt <= 0.0) {
        return std::nullopt;
    }
    Line line{tv / tt, 0.0, mean_v};
    double rest = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
        const double off = value[i] - mean_v - line.slope * (time[i] - mean_t);
        rest += off * off;
    }
    line.slope_error = std::sqrt(rest / static_cast<double>(n - 2) / tt);
    return line;
}

std::optional<double> mean_between(std::span<const float> values, std::size_t from, std::size_t to) {
    double sum = 0.0;
    std::size_t count = 0;
    to = std::min(to, values.size());
    for (std::size_t i = from; i < to; ++i) {
        if (!std::isnan(values[i])) {
            sum += static_cast<double>(values[i]);
            ++count;
        }
    }
    if (count == 0 || count * 2 < to - from) {
        return std::nullopt;
    }
    return sum / static_cast<double>(count);
}

double Ordinary::middle_at(std::size_t index) const {
    return middle.empty() ? 0.0 : static_cast<double>(middle[std::min(index / block, middle.size() - 1)]);
}

double Ordinary::top_at(std::size_t index) const {
    if (middle.empty()) {
        return 0.0;
    }
    const std::size_t at = std::min(index / block, middle.size() - 1);
    // A triangle wave's lower decile lies 0.4 of its swing below the median, its top 0.5 above.
    return static_cast<double>(middle[at]) + 1.25 * static_cast<double>(middle[at] - low[at]);
}

Ordinary ordinary_levels(const Grid& grid, std::span<const float> values) {
    Ordinary levels;
    levels.block = grid.steps(6.0 * 3600.0);
    std::vector<double> window;
    for (std::size_t begin = 0; begin < values.size(); begin += levels.block) {
        const std::size_t reach = grid.steps(9.0 * 3600.0);
        const std::size_t from = begin > reach ? begin - reach : 0;
        const std::size_t to = std::min(values.size(), begin + levels.block + reach);
        window.clear();
        for (std::size_t i = from; i < to; ++i) {
            if (!std::isnan(values[i])) {
                window.push_back(static_cast<double>(values[i]));
            }
        }
        const auto low = quantile(window, 0.1);
        const auto middle = quantile(window, 0.5);
        const bool first = levels.middle.empty();
        levels.middle.push_back(middle ? static_cast<float>(*middle) : first ? 0.0F : levels.middle.back());
        levels.low.push_back(low ? static_cast<float>(*low) : first ? 0.0F : levels.low.back());
    }
    return levels;
}

}  // namespace frostread::templog
