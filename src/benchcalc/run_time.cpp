#include <cmath>

#include "benchcalc/calculators.hpp"
#include "benchcalc/figures.hpp"

namespace frostread {

double wall_conductance(double conductivity, double area, double thickness) {
    return conductivity * area / thickness;
}

double run_fraction(double load_w, double capacity_w) {
    return load_w / capacity_w;
}

namespace {

/// Heat into the cabinet from walls and whatever else warms it, W.
Result<double> heat_load(const CalcInputs& inputs, CalcResult& result) {
    const auto units = inputs.units();
    const bool has_wall = inputs.has("conductivity") || inputs.has("area") || inputs.has("thickness");
    if (has_wall && !(inputs.has("conductivity") && inputs.has("area") && inputs.has("thickness"))) {
        return calc_error("input-missing", "a wall needs --conductivity, --area and --thickness together",
                          "all three, or --leak");
    }
    if (static_cast<int>(has_wall) + static_cast<int>(inputs.has("leak")) + static_cast<int>(inputs.has("load")) != 1) {
        return calc_error("inputs-conflict", "run-time takes one of --leak, a wall, or --load",
                          "--leak in W/K, or --conductivity with --area and --thickness, or --load in W");
    }
    if (inputs.has("freezer-leak") != inputs.has("freezer")) {
        return calc_error("input-missing", "--freezer-leak and --freezer belong together", "both or neither");
    }
    double load = inputs.number_or("extra", 0.0);
    if (inputs.has("load")) {
        load += inputs.number("load");
    } else {
        if (!inputs.has("room") || !inputs.has("inside")) {
            return calc_error("input-missing", "a heat leak needs --room and --inside", "both temperatures");
        }
        const double leak = has_wall ? wall_conductance(inputs.number("conductivity"), inputs.number("area"),
                                                        inputs.number("thickness"))
                                     : inputs.number("leak");
        const double room = inputs.number("room");
        result.given.push_back(figure("room_temperature", "room", room, Dimension::temperature, units));
        result.given.push_back(
            figure("inside_temperature", "inside", inputs.number("inside"), Dimension::temperature, units));
        (has_wall ? result.figures : result.given)
            .push_back(figure("leak", "heat leak", leak, Dimension::conductance, units));
        load += leak * (room - inputs.number("inside"));
        if (inputs.has("freezer")) {
            result.given.push_back(
                figure("freezer_temperature", "freezer", inputs.number("freezer"), Dimension::temperature, units));
            result.given.push_back(figure("freezer_leak", "freezer's heat leak", inputs.number("freezer-leak"),
                                          Dimension::conductance, units));
            load += inputs.number("freezer-leak") * (room - inputs.number("freezer"));
        }
    }
    if (inputs.has("extra")) {
        result.given.push_back(
            figure("extra", "fan, lamp, heater inside", inputs.number("extra"), Dimension::power, units));
    }
    if (load <= 0.0) {
        return calc_error("out-of-range", "no heat flows into this cabinet", "a room warmer than the inside");
    }
    return load;
}

Result<double> capacity(const CalcInputs& inputs, CalcResult& result) {
    const auto units = inputs.units();
    const bool from_cop = inputs.has("power") && inputs.has("cop");
    if (inputs.has("capacity") == from_cop || (!from_cop && (inputs.has("power") || inputs.has("cop")))) {
        return calc_error("inputs-conflict", "run-time takes --capacity, or --power with --cop",
                          "what the compressor moves while it runs, in W");
    }
    const double watts = from_cop ? inputs.number("power") * inputs.number("cop") : inputs.number("capacity");
    (from_cop ? result.figures : result.given)
        .push_back(figure("capacity", "capacity while running", watts, Dimension::power, units));
    return watts;
}

}  // namespace

Result<CalcResult> run_run_time(const CalcInputs& inputs) {
    const auto units = inputs.units();
    CalcResult result;
    const auto load = heat_load(inputs, result);
    if (!load) {
        return load.diagnostics();
    }
    const auto moved = capacity(inputs, result);
    if (!moved) {
        return moved.diagnostics();
    }
    if (inputs.has("on") != inputs.has("off")) {
        return calc_error("input-missing", "--on and --off belong together", "both or neither");
    }
    const double expected = 100.0 * run_fraction(*load, *moved);
    result.figures.push_back(figure("load", "heat to carry out", *load, Dimension::power, units));
    result.figures.push_back(figure("expected_run_time", "should run", expected, Dimension::percent, units));
    if (inputs.has("on")) {
        const double measured = 100.0 * inputs.number("on") / (inputs.number("on") + inputs.number("off"));
        result.given.push_back(word_figure("cycle", "cycle",
                                           plain_text(60.0 * inputs.number("on"), 1) + " min on, " +
                                               plain_text(60.0 * inputs.number("off"), 1) + " min off"));
        result.figures.push_back(figure("measured_run_time", "does run", measured, Dimension::percent, units));
        result.readings.push_back({"run-time", plain_text(measured, 1) + " %"});
        // Door openings, food and defrosts take up to half as much again: common practice, no source.
        if (measured > 1.5 * expected + 10.0) {
            result.verdict = "longer";
            result.verdict_words = "Runs much longer than the cabinet asks for: less capacity, or more heat gets in.";
        } else if (measured < 0.67 * expected - 5.0) {
            result.verdict = "shorter";
            result.verdict_words =
                "Runs shorter than the cabinet asks for: something stops it early, or the figures are off.";
        } else {
            result.verdict = "as-expected";
            result.verdict_words = "Runs about as long as the cabinet asks for; doors, food and defrosts add to it.";
        }
    } else {
        result.no_reading = "no cycle was timed: give --on and --off";
        if (expected > 100.0) {
            result.verdict = "cannot-hold";
            result.verdict_words = "Cannot hold this temperature: more heat comes in than it can carry out.";
        } else if (expected > 80.0) {
            result.verdict = "no-reserve";
            result.verdict_words = "Hardly any reserve for doors and food.";
        } else {
            result.verdict = "has-reserve";
            result.verdict_words = "Leaves a reserve for doors, food and defrosts.";
        }
    }
    result.notes.push_back(
        "Doors shut, no defrost, steady state. A variable-speed compressor may run all the time by design.");
    return result;
}

}  // namespace frostread
