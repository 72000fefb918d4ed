#include "benchcalc/calculators.hpp"
#include "benchcalc/figures.hpp"

namespace frostread {
namespace {

// Beyond these a heater is not merely off its value. Common practice, no source.
constexpr double kShortedShare = 0.5;  // of the expected resistance
constexpr double kOpenShare = 10.0;

}  // namespace

double heater_ohm(double volts, double watts) {
    return volts * volts / watts;
}

Result<CalcResult> run_heater(const CalcInputs& inputs) {
    const auto units = inputs.units();
    const double volts = inputs.number("volts");
    const double watts = inputs.number("watts");
    const double tolerance = inputs.number_or("tolerance", 10.0);
    const double expected = heater_ohm(volts, watts);
    CalcResult result;
    result.given.push_back(figure("rated_volts", "rated voltage", volts, Dimension::voltage, units));
    result.given.push_back(figure("rated_watts", "rated power", watts, Dimension::power, units));
    result.figures.push_back(figure("expected_ohm", "should read", expected, Dimension::resistance, units));
    result.figures.push_back(
        figure("lowest_ohm", "at least", expected * (1.0 - tolerance / 100.0), Dimension::resistance, units));
    result.figures.push_back(
        figure("highest_ohm", "at most", expected * (1.0 + tolerance / 100.0), Dimension::resistance, units));
    result.figures.push_back(figure("amps", "current when on", watts / volts, Dimension::current, units));
    if (inputs.has("supply")) {
        const double supply = inputs.number("supply");
        result.given.push_back(figure("supply_volts", "supply", supply, Dimension::voltage, units));
        result.figures.push_back(
            figure("watts_at_supply", "power at this supply", supply * supply / expected, Dimension::power, units));
    }
    result.traits = {{"rated_volts", plain_text(volts, 1) + " V"}, {"heater_watts", plain_text(watts, 1) + " W"}};
    if (!inputs.has("ohms")) {
        result.no_reading = "no resistance was read: give --ohms";
        return result;
    }
    const bool no_path = inputs.is_open("ohms");
    const double ohm = no_path ? 0.0 : inputs.number("ohms");
    result.given.push_back(no_path ? word_figure("ohm", "heater reads", "no path (open)")
                                   : figure("ohm", "heater reads", ohm, Dimension::resistance, units));
    const double share = ohm / expected;
    if (!no_path) {
        result.figures.push_back(
            figure("deviation_percent", "off by", 100.0 * (share - 1.0), Dimension::percent, units));
    }
    if (no_path || share >= kOpenShare) {
        result.verdict = "open";
        result.verdict_words =
            "Open: this heater cannot heat. Read it again at its own leads, with the terminator out of the path.";
    } else if (share < kShortedShare) {
        result.verdict = "shorted";
        result.verdict_words = "Far too low: shorted, or something else was measured with it.";
    } else if (share > 1.0 + tolerance / 100.0) {
        result.verdict = "high";
        result.verdict_words =
            "Above what it should read: another heater was fitted, a bad joint, or one of two parallel heaters is "
            "open.";
    } else if (share < 1.0 - tolerance / 100.0) {
        result.verdict = "low";
        result.verdict_words =
            "Below what it should read: another heater was fitted, or something else was measured with it.";
    } else {
        result.verdict = "agrees";
        result.verdict_words = "Agrees with its rating within " + plain_text(tolerance, 1) + " %.";
    }
    if (result.verdict == "high" || result.verdict == "low") {
        result.no_reading = "it neither agrees nor is it open or shorted; clear up which heater this is first";
    } else {
        result.readings.push_back({"defrost-heater", result.verdict});
    }
    result.notes.push_back("A heater in a metal sheath reads 5 to 10 % lower cold than hot (from memory).");
    return result;
}

}  // namespace frostread
