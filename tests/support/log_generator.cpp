#include "support/log_generator.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>

#include "templog/log_text.hpp"
#include "templog/log_time.hpp"

namespace frostread::test {

namespace {

enum class Phase { run, stand, heat, recover };

struct Point {
    double fridge = 0.0, freezer = 0.0, coil = 0.0, watts = 0.0;
};

/// Walks the recipe in steps of one second.
class Walker {
public:
    explicit Walker(const LogRecipe& recipe) : recipe_(recipe) {
        const double half_fridge = 0.5 * recipe.fridge_swing;
        const double half_freezer = 0.5 * recipe.freezer_swing;
        on_s_ = recipe.duty * recipe.period_min * 60.0;
        off_s_ = (1.0 - recipe.duty) * recipe.period_min * 60.0;
        fridge_top_ = recipe.fridge_mean + half_fridge;
        freezer_top_ = recipe.freezer_mean + half_freezer;
    }

    Point step(double t, LogTruth& truth) {
        if (t >= phase_end_) {
            next_phase(t, truth);
        }
        Point point;
        const double share = (t - phase_begin_) / (phase_end_ - phase_begin_);
        const double down = phase_ == Phase::run ? 1.0 - share : share;
        point.fridge = fridge_top_ - recipe_.fridge_swing * (1.0 - down);
        point.freezer = freezer_top_ - recipe_.freezer_swing * (1.0 - down);
        point.coil = recipe_.freezer_mean - 6.0 - 0.5 * recipe_.coil_swing + recipe_.coil_swing * down;
        const double low = freezer_top_ - recipe_.freezer_swing;
        if (phase_ == Phase::heat) {
            point.fridge = fridge_top_ - recipe_.fridge_swing * (1.0 - share);
            point.freezer = low + recipe_.defrost_rise * share;
            point.coil = recipe_.freezer_mean - 12.0 + 42.0 * share;
        } else if (phase_ == Phase::recover) {
            point.fridge = fridge_top_ - recipe_.fridge_swing * share;
            point.freezer = low + recipe_.defrost_rise * (1.0 - share);
            point.coil = recipe_.freezer_mean + 30.0 - 42.0 * std::min(1.0, share * 4.0);
        }
        const double drift = recipe_.drift_per_day * t / 86400.0;
        point.fridge += drift;
        point.freezer += drift;
        const bool on = phase_ == Phase::run || phase_ == Phase::recover;
        ran_ += on ? 1.0 : 0.0;
        run_since_defrost_ += on ? 1.0 : 0.0;
        point.watts = on ? recipe_.running_watts : phase_ == Phase::heat ? recipe_.heater_watts : recipe_.idle_watts;
        for (const double hour : recipe_.door_hours) {
            const double since = t - hour * 3600.0;
            if (since >= 0.0 && since < 3600.0) {
                point.fridge += recipe_.door_rise * (since < 60.0 ? since / 60.0 : std::exp(-(since - 60.0) / 400.0));
            }
        }
        return point;
    }

    [[nodiscard]] double ran() const { return ran_; }

private:
    void next_phase(double t, LogTruth& truth) {
        phase_begin_ = t;
        if (phase_ == Phase::run && recipe_.defrost_run_h > 0.0 &&
            run_since_defrost_ >= recipe_.defrost_run_h * 3600.0 - 1.0) {
            phase_ = Phase::heat;
            phase_end_ = t + recipe_.defrost_min * 60.0;
            run_since_defrost_ = 0.0;
            truth.defrost_starts.push_back(t);
            truth.defrost_ends.push_back(phase_end_);
        } else if (phase_ == Phase::heat) {
            phase_ = Phase::recover;
            // A pull-down after a defrost is no slower than 6 K/h.
            const double rate = std::max(recipe_.freezer_swing / on_s_, 6.0 / 3600.0);
            phase_end_ = t + recipe_.defrost_rise / rate;
            // Back in the band when it has fallen to the top of an ordinary cycle.
            truth.recovered.push_back(t + (recipe_.defrost_rise - recipe_.freezer_swing) / rate);
            truth.cycle_starts.push_back(t);
        } else if (phase_ == Phase::run || phase_ == Phase::recover) {
            phase_ = Phase::stand;
            phase_end_ = t + off_s_;
        } else {
            phase_ = Phase::run;
            phase_end_ = t + on_s_;
            truth.cycle_starts.push_back(t);
        }
    }

    const LogRecipe& recipe_;
    Phase phase_ = Phase::stand;
    double phase_begin_ = 0.0, phase_end_ = 0.0;
    double on_s_ = 0.0, off_s_ = 0.0, fridge_top_ = 0.0, freezer_top_ = 0.0;
    double ran_ = 0.0, run_since_defrost_ = 0.0;
};

double rounded(double value, double resolution) {
    return resolution > 0.0 ? std::round(value / resolution) * resolution : value;
}

}  // namespace

GeneratedLog generate_log(const LogRecipe& recipe) {
    GeneratedLog made;
    Log& log = made.log;
    log.name = "generated.csv";
    log.start = static_cast<double>(templog::days_from_civil(2031, 4, 17)) * 86400.0 + 8.0 * 3600.0;
    std::mt19937 random(recipe.seed);
    std::normal_distribution<double> normal(0.0, 1.0);
    Walker walker(recipe);
    const auto total = static_cast<long>(recipe.hours * 3600.0);
    double due = 0.0;
    const auto put = [&](LogChannel channel, bool wanted, double value) {
        if (wanted) {
            log.values[static_cast<std::size_t>(channel)].push_back(static_cast<float>(value));
        }
    };
    for (long s = 0; s < total; ++s) {
        const auto t = static_cast<double>(s);
        const Point point = walker.step(t, made.truth);
        if (t < due) {
            continue;
        }
        due += recipe.interval_s;
        bool missing = false;
        for (const LogSpan& gap : recipe.gaps) {
            missing = missing || (t >= gap.from && t < gap.to);
        }
        if (missing) {
            continue;
        }
        const auto noisy = [&](double value) {
            return rounded(value + recipe.noise * normal(random), recipe.resolution);
        };
        log.seconds.push_back(t);
        put(LogChannel::fridge, recipe.fridge, noisy(point.fridge));
        put(LogChannel::freezer, recipe.freezer, noisy(point.freezer));
        put(LogChannel::evaporator, recipe.coil, noisy(point.coil));
        put(LogChannel::watts, recipe.watts, std::max(0.0, point.watts + 2.0 * recipe.noise * normal(random)));
    }
    log.rows_read = log.seconds.size();
    made.truth.run_share = walker.ran() / static_cast<double>(total);
    made.truth.steady_run_share = recipe.duty;
    made.truth.cycles_per_hour = 60.0 / recipe.period_min;
    made.truth.pull_down_rate = recipe.freezer_swing / (recipe.duty * recipe.period_min / 60.0);
    return made;
}

std::string to_csv(const Log& log) {
    std::string text = "time";
    for (std::size_t c = 0; c < kLogChannels; ++c) {
        const auto channel = static_cast<LogChannel>(c);
        if (log.has(channel)) {
            text += "," + std::string(to_word(channel)) + (channel == LogChannel::watts ? " (W)" : " (°C)");
        }
    }
    text += "\n";
    for (std::size_t i = 0; i < log.seconds.size(); ++i) {
        text += templog::iso_time(log.start.value_or(0.0) + log.seconds[i]);
        for (std::size_t c = 0; c < kLogChannels; ++c) {
            if (log.has(static_cast<LogChannel>(c))) {
                const float value = log.values[c][i];
                text += "," + (std::isnan(value) ? std::string() : templog::fixed(static_cast<double>(value), 2));
            }
        }
        text += "\n";
    }
    return text;
}

}  // namespace frostread::test
