#include <cmath>

#include "benchcalc/calculators.hpp"
#include "benchcalc/cautions.hpp"
#include "benchcalc/figures.hpp"

/// Calculators that read a gauge: saturation, superheat, subcooling and the standing pressure.
namespace frostread {
namespace {

const Refrigerant& refrigerant_of(const CalcInputs& inputs) {
    return *find_refrigerant(inputs.word("refrigerant"));
}

CalcResult start(const CalcInputs& inputs) {
    const Refrigerant& fluid = refrigerant_of(inputs);
    CalcResult result;
    result.subject = std::string(fluid.id);
    result.cautions = pressure_cautions(fluid);
    result.source = std::string(fluid.source) + "; within " + plain_text(fluid.error_percent, 3) + " % or " +
                    plain_text(1000.0 * fluid.error_k, 0) + " mK of that equation of state, -40 to +60 °C";
    return result;
}

/// Both forms of a pressure and, when it matters, the air pressure that joins them.
void add_pressure(std::vector<CalcFigure>& figures, const std::string& key, const std::string& label, double kpa,
                  const CalcInputs& inputs) {
    figures.push_back(gauge_figure(key + "_gauge", label + ", gauge", kpa, inputs.air_kpa(), inputs.units()));
    figures.push_back(figure(key, label + ", absolute", kpa, Dimension::pressure, inputs.units()));
}

void add_air(CalcResult& result, const CalcInputs& inputs) {
    auto air = figure("air_pressure", "air pressure", inputs.air_kpa(), Dimension::pressure, inputs.units());
    if (inputs.air_assumed()) {
        air.text += ", taken as at sea level";
    }
    result.given.push_back(std::move(air));
}

Diagnostic temperature_outside(const Refrigerant& fluid, double celsius, UnitPreference units) {
    return calc_error(
        "out-of-range",
        short_text(celsius, Dimension::temperature, units) + " is outside the range for " + std::string(fluid.id),
        short_text(kSaturationLow, Dimension::temperature, units) + " to " +
            short_text(kSaturationHigh, Dimension::temperature, units));
}

Diagnostic pressure_outside(const Refrigerant& fluid, double kpa, UnitPreference units) {
    const double low = saturation_kpa(fluid, kSaturationLow).value();
    const double high = saturation_kpa(fluid, kSaturationHigh).value();
    return calc_error(
        "out-of-range",
        short_text(kpa, Dimension::pressure, units) + " absolute is outside the range for " + std::string(fluid.id),
        full_text(low, Dimension::pressure, units) + " to " + full_text(high, Dimension::pressure, units) +
            " absolute, which is -60 to +80 °C");
}

/// Beyond the span in which the error was measured the equation still holds, but that is hearsay.
void note_span(CalcResult& result, double celsius) {
    if (celsius < -45.0 || celsius > 65.0) {
        result.notes.push_back(
            "Outside -45 to +65 °C the equation is used as published; its error was not measured here.");
    }
}

/// What superheat and subcooling share: a pressure, the temperature of the line beside it, and saturation.
struct LineKind {
    const char* side;
    const char* line;
    const char* saturation_key;
    const char* saturation;
    const char* key;
    double sign;  ///< of line less saturation
};
constexpr LineKind kSuperheat{"low side", "suction line", "boiling_temperature", "boils at", "superheat", 1.0};
constexpr LineKind kSubcooling{"high side",    "liquid line", "condensing_temperature",
                               "condenses at", "subcooling",  -1.0};

struct AgainstSaturation {
    CalcResult result;
    double saturation = 0.0;  ///< °C
    double kelvin = 0.0;      ///< how far the line is from it
};

Result<AgainstSaturation> against_saturation(const CalcInputs& inputs, const LineKind& kind) {
    const Refrigerant& fluid = refrigerant_of(inputs);
    const auto units = inputs.units();
    const double kpa = inputs.number("pressure");
    const auto saturation = saturation_celsius(fluid, kpa);
    if (!saturation) {
        return pressure_outside(fluid, kpa, units);
    }
    const double line = inputs.number("line");
    AgainstSaturation out{start(inputs), *saturation, kind.sign * (line - *saturation)};
    CalcResult& result = out.result;
    add_pressure(result.given, "pressure", kind.side, kpa, inputs);
    add_air(result, inputs);
    result.given.push_back(figure("line_temperature", kind.line, line, Dimension::temperature, units));
    result.figures.push_back(figure(kind.saturation_key, kind.saturation, *saturation, Dimension::temperature, units));
    result.figures.push_back(figure(kind.key, kind.key, out.kelvin, Dimension::temperature_difference, units));
    return out;
}

}  // namespace

Result<CalcResult> run_saturation(const CalcInputs& inputs) {
    const Refrigerant& fluid = refrigerant_of(inputs);
    const auto units = inputs.units();
    if (inputs.has("temperature") == inputs.has("pressure")) {
        return calc_error("inputs-conflict", "saturation takes either --temperature or --pressure", "one of the two");
    }
    CalcResult result = start(inputs);
    double celsius = 0.0;
    double kpa = 0.0;
    if (inputs.has("temperature")) {
        celsius = inputs.number("temperature");
        const auto found = saturation_kpa(fluid, celsius);
        if (!found) {
            return temperature_outside(fluid, celsius, units);
        }
        kpa = *found;
        result.given.push_back(figure("temperature", "temperature", celsius, Dimension::temperature, units));
        add_air(result, inputs);
        add_pressure(result.figures, "pressure", "pressure", kpa, inputs);
    } else {
        kpa = inputs.number("pressure");
        const auto found = saturation_celsius(fluid, kpa);
        if (!found) {
            return pressure_outside(fluid, kpa, units);
        }
        celsius = *found;
        add_pressure(result.given, "pressure", "pressure", kpa, inputs);
        add_air(result, inputs);
        result.figures.push_back(
            figure("temperature", "boils and condenses at", celsius, Dimension::temperature, units));
        if (inputs.has("side")) {
            result.readings.push_back({inputs.word("side") + "-side-pressure", plain_text(kpa, 1) + " kPa"});
        } else {
            result.no_reading = "say with --side which side was read, low or high, while it was running";
        }
    }
    if (result.readings.empty() && result.no_reading.empty()) {
        result.no_reading = "nothing was measured: give the pressure that was read, and --side low or high";
    }
    result.verdict_words = "At this pressure liquid and vapour stand side by side at this temperature.";
    note_span(result, celsius);
    return result;
}

Result<CalcResult> run_superheat(const CalcInputs& inputs) {
    Result<AgainstSaturation> line = against_saturation(inputs, kSuperheat);
    if (!line) {
        return line.diagnostics();
    }
    const double superheat = line->kelvin;
    CalcResult& result = line->result;
    // Bands at the coil outlet: common practice, no source.
    if (superheat < -1.0) {
        result.verdict = "impossible";
        result.verdict_words =
            "The line cannot be colder than the boiling liquid in it. Check the gauge, the probe's grip and "
            "insulation, "
            "and that the refrigerant is the right one.";
        result.no_reading = "a superheat below zero is a wrong reading; measure again";
    } else if (superheat < 2.0) {
        result.verdict = "none";
        result.verdict_words = "No superheat: liquid leaves the coil. Overcharge, or little heat reaches the coil.";
    } else if (superheat <= 8.0) {
        result.verdict = "usual";
        result.verdict_words = "Usual at the outlet of the coil: the coil is filled.";
    } else {
        result.verdict = "high";
        result.verdict_words =
            "High at the outlet of the coil: the coil is starved (low charge, a blockage) or it takes in much heat.";
    }
    result.notes.push_back(
        "Read the line at the coil's outlet. Near the compressor 10 to 30 K (18 to 54 °F) is ordinary, because the "
        "capillary warms "
        "the "
        "suction line.");
    if (result.no_reading.empty()) {
        result.readings.push_back({"superheat", plain_text(superheat, 1) + " K"});
    }
    note_span(result, line->saturation);
    return std::move(result);
}

Result<CalcResult> run_subcooling(const CalcInputs& inputs) {
    Result<AgainstSaturation> line = against_saturation(inputs, kSubcooling);
    if (!line) {
        return line.diagnostics();
    }
    const double subcooling = line->kelvin;
    CalcResult& result = line->result;
    // 3 to 8 K: course notes on vapour-compression plant (ARAC volume 2, chapter 7); the rest is judgement.
    if (subcooling < -1.0) {
        result.verdict = "impossible";
        result.verdict_words =
            "The line is warmer than the condensing temperature: the probe sits where hot gas passes, the gauge is "
            "off, "
            "or the refrigerant is another one.";
        result.no_reading = "a subcooling below zero is a wrong reading; measure again";
    } else if (subcooling < 1.0) {
        result.verdict = "none";
        result.verdict_words = "No subcooling: vapour goes into the capillary. A short charge shows like this.";
    } else if (subcooling <= 10.0) {
        result.verdict = "usual";
        result.verdict_words = "Usual: the capillary is fed with liquid. 3 to 8 K (5 to 14 °F) is what designs aim at.";
    } else {
        result.verdict = "high";
        result.verdict_words = "High: liquid stands in the condenser. Overcharge, or a blockage after it.";
    }
    if (result.no_reading.empty()) {
        result.readings.push_back({"subcooling", plain_text(subcooling, 1) + " K"});
    }
    note_span(result, line->saturation);
    return std::move(result);
}

Result<CalcResult> run_standing(const CalcInputs& inputs) {
    const Refrigerant& fluid = refrigerant_of(inputs);
    const auto units = inputs.units();
    const double celsius = inputs.number("temperature");
    const auto expected = saturation_kpa(fluid, celsius);
    if (!expected) {
        return temperature_outside(fluid, celsius, units);
    }
    const double kpa = inputs.number("pressure");
    const double share = 100.0 * kpa / *expected;
    const double over_air = kpa - inputs.air_kpa();
    CalcResult result = start(inputs);
    result.given.push_back(figure("temperature", "whole unit at", celsius, Dimension::temperature, units));
    add_pressure(result.given, "pressure", "standing", kpa, inputs);
    add_air(result, inputs);
    result.figures.push_back(
        figure("saturation_pressure", "saturation, absolute", *expected, Dimension::pressure, units));
    result.figures.push_back(
        gauge_figure("saturation_pressure_gauge", "saturation, gauge", *expected, inputs.air_kpa(), units));
    result.figures.push_back(figure("share", "share of saturation", share, Dimension::percent, units));
    // Limits: common practice, no source. 10 % is about 3 K, what a room, a unit just stopped and a gauge leave in
    // doubt. Vapour alone at no more than the air's pressure is next to nothing.
    if (share > 110.0) {
        result.verdict = "above";
        result.verdict_words =
            "Above saturation: air in the circuit, another refrigerant, or a part of the unit is still warmer than the "
            "room.";
        result.no_reading = "standing-pressure has no outcome for a pressure above saturation";
    } else if (share >= 90.0) {
        result.verdict = "matches-saturation";
        result.verdict_words =
            "Matches saturation: liquid is left in the circuit. How much of it, this reading cannot say.";
    } else if (share < 35.0 || over_air <= 5.0) {
        result.verdict = "lost";
        result.verdict_words = "A small remainder of vapour, or only air: the charge is lost.";
    } else {
        result.verdict = "low";
        result.verdict_words =
            "Below saturation: no liquid stands in the circuit. Much of the charge is gone, or it is a small charge "
            "that "
            "is all vapour and oil (see below).";
    }
    if (result.no_reading.empty()) {
        result.readings.push_back({"standing-pressure", result.verdict});
    }
    if (result.verdict == "low") {
        result.notes.push_back(
            "A small charge in a warm unit can all be vapour or dissolved in the oil while nothing is lost. Above some "
            "70 "
            "% of saturation, weigh the charge before you call it lost.");
    }
    result.notes.push_back(
        "Off for an hour or more and the whole circuit at one temperature, or the reading means nothing.");
    note_span(result, celsius);
    return result;
}

}  // namespace frostread
