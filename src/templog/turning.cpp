#include <algorithm>
#include <array>
#include <cmath>

#include "templog/series.hpp"

namespace frostread::templog {

namespace {

constexpr float kTie = 1e-4F;
constexpr std::size_t kPlateauHole = 8;  ///< points by which a plateau may be broken

/// Least-squares fit of two straight lines that meet at `corner`: level there, slope before, after.
struct Hinge {
    double level = 0.0, before = 0.0, after = 0.0, rest = 0.0;
};

std::optional<Hinge> fit_hinge(std::span<const float> values, std::size_t from, std::size_t to, double corner) {
    // Normal equations of level + before * min(t, 0) + after * max(t, 0).
    double n = 0.0, l = 0.0, ll = 0.0, r = 0.0, rr = 0.0, y = 0.0, yl = 0.0, yr = 0.0, yy = 0.0;
    const double base = static_cast<double>(values[from]);
    for (std::size_t i = from; i <= to; ++i) {
        const double t = static_cast<double>(i) - corner;
        const double v = static_cast<double>(values[i]) - base;
        const double left = std::min(t, 0.0);
        const double right = std::max(t, 0.0);
        n += 1.0;
        l += left;
        ll += left * left;
        r += right;
        rr += right * right;
        y += v;
        yl += v * left;
        yr += v * right;
        yy += v * v;
    }
    if (ll <= 0.0 || rr <= 0.0) {
        return std::nullopt;
    }
    // Left and right parts do not overlap, so both slopes can be eliminated.
    const double divisor = n - l * l / ll - r * r / rr;
    if (divisor <= 1e-9) {
        return std::nullopt;
    }
    Hinge hinge;
    const double level = (y - l * yl / ll - r * yr / rr) / divisor;
    hinge.before = (yl - level * l) / ll;
    hinge.after = (yr - level * r) / rr;
    hinge.rest = yy - level * y - hinge.before * yl - hinge.after * yr;
    hinge.level = level + base;
    return hinge;
}

}  // namespace

std::vector<Extreme> find_extremes(std::span<const float> values, double threshold) {
    std::vector<Extreme> extremes;
    const auto limit = static_cast<float>(threshold);
    bool open = false;  // a segment has begun
    bool first = true;  // no extreme of this segment yet
    int direction = 0;  // of the leg that is being walked
    Extreme high;
    Extreme low;
    std::size_t high_first = 0;
    std::size_t high_last = 0;
    std::size_t low_first = 0;
    std::size_t low_last = 0;
    for (std::size_t i = 0; i < values.size(); ++i) {
        const float v = values[i];
        if (std::isnan(v)) {
            open = false;
            continue;
        }
        if (!open) {
            open = true;
            first = true;
            direction = 0;
            high = {i, v, true, false};
            low = {i, v, false, false};
            high_first = high_last = low_first = low_last = i;
            continue;
        }
        // On a plateau, as coarse loggers write them, the middle counts.
        if (v > high.value + kTie) {
            high = {i, v, true, false};
            high_first = i;
        } else if (v >= high.value - kTie && i - high_last <= kPlateauHole) {
            high.at = (high_first + i) / 2;
        }
        if (v >= high.value - kTie) {
            high_last = i;
        }
        if (v < low.value - kTie) {
            low = {i, v, false, false};
            low_first = i;
        } else if (v <= low.value + kTie && i - low_last <= kPlateauHole) {
            low.at = (low_first + i) / 2;
        }
        if (v <= low.value + kTie) {
            low_last = i;
        }
        // What a segment begins with is no turning point: the leg may have begun before it.
        if (direction >= 0 && high.value - v >= limit) {
            if (direction > 0) {
                high.after_break = first;
                extremes.push_back(high);
                first = false;
            }
            direction = -1;
            low = {i, v, false, false};
            low_first = low_last = i;
        } else if (direction <= 0 && v - low.value >= limit) {
            if (direction < 0) {
                low.after_break = first;
                extremes.push_back(low);
                first = false;
            }
            direction = 1;
            high = {i, v, true, false};
            high_first = high_last = i;
        }
    }
    return extremes;
}

Turn refine_turn(const Grid& grid, std::span<const float> values, std::size_t before, const Extreme& extreme,
                 std::size_t after, std::size_t reach, double resolution) {
    Turn turn{static_cast<double>(extreme.at), static_cast<double>(extreme.value)};
    const auto side = [&](std::size_t length) {
        return std::max<std::size_t>(2, std::min(length / 2, grid.steps(resolution >= kCoarse ? 1800.0 : 600.0)));
    };
    const std::size_t from = extreme.at - std::min(extreme.at - before, side(extreme.at - before) + reach);
    const std::size_t to = std::min(after, extreme.at + side(after - extreme.at) + reach);
    for (std::size_t i = from; i <= to; ++i) {
        if (std::isnan(values[i])) {
            return turn;
        }
    }
    if (to < from + 4) {
        return turn;
    }
    std::optional<Hinge> best;
    const double low =
        std::max(static_cast<double>(extreme.at) - static_cast<double>(reach), static_cast<double>(from) + 1.0);
    const double high = std::min(static_cast<double>(extreme.at + reach), static_cast<double>(to) - 1.0);
    const double pace = reach > 20 ? 1.0 : 0.25;
    for (double corner = low; corner <= high; corner += pace) {
        const auto hinge = fit_hinge(values, from, to, corner);
        const bool turns = hinge && (extreme.high ? hinge->after < hinge->before : hinge->after > hinge->before);
        if (turns && (!best || hinge->rest < best->rest)) {
            best = hinge;
            turn = {corner, hinge->level};
        }
    }
    return turn;
}

}  // namespace frostread::templog
