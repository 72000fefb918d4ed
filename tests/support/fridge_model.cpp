#include "support/fridge_model.hpp"

#include <algorithm>
#include <cmath>
#include <random>

namespace frostread::test {

namespace {

/// W of cooling and W of power at evaporating and condensing temperature in degC; used from −35 to −10 °C
/// evaporating and 35 to 55 °C condensing, held at the edge outside.
struct Compressor {
    double cooling = 0.0, power = 0.0;
};

Compressor compressor_at(double te, double tc) {
    te = std::clamp(te, -35.0, -10.0);
    tc = std::clamp(tc, 35.0, 55.0);
    return {746.7857 - 5.522857 * tc + 0.002857143 * tc * tc + 22.7 * te + 0.175 * te * te - 0.1095714 * te * tc,
            49.19643 + 3.922857 * tc - 0.01928571 * tc * tc + 1.859524 * te + 0.02880952 * te * te + 0.051 * te * tc};
}

struct State {
    double fridge_air = 5.0, fridge_food = 5.0, freezer_air = -17.0, freezer_food = -17.0, coil = -20.0;
    bool running = false, damper = false, heating = false;
    double ran = 0.0, heated = 0.0;
};

constexpr double kCoilCapacity = 1.5e3;  ///< J/K, constructed: a kilogram and a half of aluminium with its frost
constexpr double kHeatIntoAir =
    0.25;  ///< of the heater's power, constructed; a third melts frost, the rest warms the coil

}  // namespace

ModelRun run_model(const FridgeModel& model, double hours, double noise, double settle_hours, double interval_s) {
    ModelRun made;
    made.log.name = "model.csv";
    made.log.start = 1934179200.0;  // 2031-04-17T00:00:00
    std::mt19937 random(11);
    std::normal_distribution<double> normal(0.0, noise > 0.0 ? noise : 1.0);
    const auto probe = [&](double value) { return static_cast<float>(value + (noise > 0.0 ? normal(random) : 0.0)); };
    State s;
    const auto settle = static_cast<long>(settle_hours * 3600.0);
    const auto total = settle + static_cast<long>(hours * 3600.0);
    double energy = 0.0;
    double on = 0.0;
    double due = 0.0;
    for (long second = 0; second < total; ++second) {
        const bool counts = second >= settle;
        // Controls: thermostats with a band each, a defrost after so much running.
        if (!s.heating && s.ran >= model.defrost_run_h * 3600.0) {
            s.ran = 0.0;
            s.heating = true;
            s.heated = 0.0;
            s.running = false;
            made.defrosts += counts && model.heater_works ? 1U : 0U;
        }
        if (s.heating) {
            s.heated += 1.0;
            const bool warm = s.coil >= model.heat_end;
            if (warm || s.heated >= model.longest_heat_min * 60.0) {
                s.heating = false;
            }
        } else if (!s.running && s.freezer_air >= model.freezer_on) {
            s.running = true;
            made.starts += counts ? 1U : 0U;
        } else if (s.running && s.freezer_air <= model.freezer_off) {
            s.running = false;
        }
        s.damper = !model.damper_stuck_shut &&
                   (s.fridge_air >= model.damper_open || (s.damper && s.fridge_air > model.damper_shut));
        // Heat flows, W into each node.
        const Compressor compressor =
            s.running ? compressor_at(s.coil, model.room + model.condenser_above) : Compressor{};
        const double heater = s.heating && model.heater_works ? model.heater_watts : 0.0;
        const double fan = s.running ? model.fan_watts : 0.0;
        const double coil_link = s.running ? compressor.cooling * model.capacity / model.coil_below_air : 1.0;
        const double blown = s.running && s.damper ? model.coupling * (s.fridge_air - s.freezer_air) : 0.0;
        const double between = model.ua_between * (s.fridge_air - s.freezer_air);
        const double from_food = model.ua_food * (s.fridge_food - s.fridge_air);
        const double from_frozen = model.ua_food * (s.freezer_food - s.freezer_air);
        const double to_coil = coil_link * (s.freezer_air - s.coil);
        const double into_fridge = model.ua_fridge * (model.room - s.fridge_air) - between - blown + from_food;
        const double into_freezer = model.ua_freezer * (model.room - s.freezer_air) + between + blown + fan +
                                    from_frozen - to_coil + kHeatIntoAir * heater;
        const double into_coil = to_coil - compressor.cooling * model.capacity + 0.4 * heater;
        const double air = model.c_air_share;
        s.fridge_air += into_fridge / (model.c_fridge_food * air);
        s.freezer_air += into_freezer / (model.c_freezer_food * air);
        s.fridge_food -= from_food / (model.c_fridge_food * (1.0 - air));
        s.freezer_food -= from_frozen / (model.c_freezer_food * (1.0 - air));
        s.coil += into_coil / kCoilCapacity;
        s.ran += s.running ? 1.0 : 0.0;
        const double watts = s.running ? compressor.power + fan : heater > 0.0 ? heater : 1.5;
        if (!counts) {
            continue;
        }
        on += s.running ? 1.0 : 0.0;
        energy += watts;
        made.mean_fridge += s.fridge_air;
        made.mean_freezer += s.freezer_air;
        const auto t = static_cast<double>(second - settle);
        if (t < due) {
            continue;
        }
        due += interval_s;
        made.log.seconds.push_back(t);
        const auto put = [&](LogChannel channel, float value) {
            made.log.values[static_cast<std::size_t>(channel)].push_back(value);
        };
        put(LogChannel::fridge, probe(s.fridge_air));
        put(LogChannel::freezer, probe(s.freezer_air));
        put(LogChannel::evaporator, probe(s.coil));
        put(LogChannel::room, probe(model.room));
        put(LogChannel::watts, static_cast<float>(watts));
    }
    const auto seconds = static_cast<double>(total - settle);
    made.run_share = on / seconds;
    made.kwh_per_day = energy / seconds * 0.024;
    made.mean_fridge /= seconds;
    made.mean_freezer /= seconds;
    made.log.rows_read = made.log.seconds.size();
    return made;
}

}  // namespace frostread::test
