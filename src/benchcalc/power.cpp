#include <cmath>
#include <numbers>

#include "benchcalc/calculators.hpp"
#include "benchcalc/cautions.hpp"
#include "benchcalc/figures.hpp"

namespace frostread {

double capacitor_uf(double amps, double volts, double hertz) {
    return 1e6 * amps / (2.0 * std::numbers::pi * hertz * volts);
}

Result<CalcResult> run_power(const CalcInputs& inputs) {
    const auto units = inputs.units();
    const double volts = inputs.number("volts");
    const bool has_amps = inputs.has("amps");
    const bool has_watts = inputs.has("watts");
    const bool has_factor = inputs.has("pf");
    if (static_cast<int>(has_amps) + static_cast<int>(has_watts) + static_cast<int>(has_factor) != 2) {
        return calc_error("inputs-conflict", "power takes --volts and two of --amps, --watts and --pf",
                          "exactly two of the three", "the third is worked out");
    }
    const double factor = has_factor ? inputs.number("pf") : inputs.number("watts") / (volts * inputs.number("amps"));
    if (factor > 1.02) {
        return calc_error("inputs-conflict",
                          short_text(inputs.number("watts"), Dimension::power, units) + " is more than " +
                              short_text(volts * inputs.number("amps"), Dimension::power, units) +
                              ", the product of volts and amps",
                          "a power no greater than volts times amps", "read all three again at the same moment");
    }
    const double watts = has_watts ? inputs.number("watts") : volts * inputs.number("amps") * factor;
    const double amps = has_amps ? inputs.number("amps") : watts / (volts * factor);
    const double apparent = volts * amps;
    CalcResult result;
    result.given.push_back(figure("volts", "voltage", volts, Dimension::voltage, units));
    const auto place = [&](bool known, CalcFigure entry) {
        (known ? result.given : result.figures).push_back(std::move(entry));
    };
    place(has_amps, figure("amps", "current", amps, Dimension::current, units));
    place(has_watts, figure("watts", "power", watts, Dimension::power, units));
    place(has_factor, {"power_factor", "power factor", factor, Dimension::count, plain_text(factor, 2)});
    result.figures.push_back(
        {"apparent_va", "apparent power", apparent, Dimension::power, plain_text(apparent, 1) + " VA"});
    result.figures.push_back({"reactive_var", "reactive power",
                              std::sqrt(std::max(0.0, apparent * apparent - watts * watts)), Dimension::power,
                              plain_text(std::sqrt(std::max(0.0, apparent * apparent - watts * watts)), 1) + " var"});
    if (inputs.has("rated-amps")) {
        const double share = 100.0 * amps / inputs.number("rated-amps");
        result.given.push_back(
            figure("rated_amps", "plate current", inputs.number("rated-amps"), Dimension::current, units));
        result.figures.push_back(
            figure("share_of_rated_amps", "of the plate current", share, Dimension::percent, units));
        if (has_amps) {
            result.readings.push_back({"running-current", plain_text(share, 1) + " %"});
        }
    }
    if (inputs.has("rated-watts")) {
        const double rated = inputs.number("rated-watts");
        result.given.push_back(figure("rated_watts", "plate power", rated, Dimension::power, units));
        result.figures.push_back(
            figure("share_of_rated_watts", "of the plate power", 100.0 * watts / rated, Dimension::percent, units));
        result.traits.emplace_back("rated_watts", plain_text(rated, 1) + " W");
    }
    if (has_watts) {
        result.readings.push_back({"power-draw", plain_text(watts, 1) + " W"});
    }
    if (result.readings.empty()) {
        result.no_reading =
            "no reading: power-draw needs --watts as measured, running-current needs --amps and --rated-amps";
    }
    if (factor > 0.97) {
        result.verdict = "resistive";
        result.verdict_words = "Hardly any reactive current: a heater or a lamp, or a drive with a corrected input.";
    } else if (factor >= 0.85) {
        result.verdict = "run-capacitor";
        result.verdict_words = "Like a motor with a good run capacitor.";
    } else if (factor >= 0.4) {
        result.verdict = "motor";
        result.verdict_words = "Like a motor without a run capacitor, or one whose capacitor has failed.";
    } else {
        result.verdict = "very-low";
        result.verdict_words = "Very low: a motor that turns without load, or a small standby supply.";
    }
    result.notes.push_back("The power factor says nothing about efficiency.");
    return result;
}

Result<CalcResult> run_capacitor(const CalcInputs& inputs) {
    const auto units = inputs.units();
    const bool running = inputs.has("amps") || inputs.has("volts") || inputs.has("hertz");
    if (running == inputs.has("measured")) {
        return calc_error("inputs-conflict", "capacitor takes --amps, --volts and --hertz, or --measured",
                          "either the running values or a capacitance read with a meter");
    }
    if (running && !(inputs.has("amps") && inputs.has("volts") && inputs.has("hertz"))) {
        return calc_error("input-missing", "capacitor needs --amps, --volts and --hertz together",
                          "all three, or --measured");
    }
    CalcResult result;
    result.cautions.push_back(kCautionCapacitor);
    double capacitance = 0.0;
    if (running) {
        result.cautions.push_back(kCautionLive);
        const double hertz = inputs.number("hertz");
        capacitance = capacitor_uf(inputs.number("amps"), inputs.number("volts"), hertz);
        result.given.push_back(figure("amps", "current", inputs.number("amps"), Dimension::current, units));
        result.given.push_back(
            figure("volts", "across the capacitor", inputs.number("volts"), Dimension::voltage, units));
        result.given.push_back({"hertz", "mains frequency", hertz, Dimension::count, plain_text(hertz, 1) + " Hz"});
        result.notes.push_back(
            "The voltage is the one across the capacitor while it runs; it is higher than the supply.");
    } else {
        capacitance = inputs.number("measured");
        result.notes.push_back("Measured with the capacitor discharged and its wires off.");
    }
    (running ? result.figures : result.given)
        .push_back(figure("capacitance", "capacitance", capacitance, Dimension::capacitance, units));
    result.notes.push_back("A start capacitor is in circuit for about a second: measure it on its own, never running.");
    if (!inputs.has("rated")) {
        result.no_reading = "the marking is not known: give --rated";
        return result;
    }
    const double rated = inputs.number("rated");
    const double tolerance = inputs.number_or("tolerance", 6.0);
    const double share = 100.0 * capacitance / rated;
    result.given.push_back(figure("rated", "marked", rated, Dimension::capacitance, units));
    result.figures.push_back(figure("share_of_rated", "of its marking", share, Dimension::percent, units));
    if (share < 20.0) {
        result.verdict = "dead";
        result.verdict_words = "Dead: little of its marking is left.";
    } else if (share < 100.0 - tolerance) {
        result.verdict = "weak";
        result.verdict_words =
            "Weak: below its tolerance of " + plain_text(tolerance, 1) + " %. Replace it with one of the same marking.";
    } else if (share <= 100.0 + tolerance) {
        result.verdict = "good";
        result.verdict_words = "Good: within " + plain_text(tolerance, 1) + " % of its marking.";
    } else {
        result.verdict = "high";
        result.verdict_words = "Above its tolerance of " + plain_text(tolerance, 1) +
                               " %: the readings or the marking are in doubt, or it is a wrong part.";
    }
    result.readings.push_back({"run-capacitor", plain_text(share, 1) + " %"});
    return result;
}

}  // namespace frostread
