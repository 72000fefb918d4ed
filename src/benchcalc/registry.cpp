#include "benchcalc/calculators.hpp"
#include "benchcalc/cautions.hpp"
#include "benchcalc/inputs.hpp"

/// The one table of calculators: dispatch, help, docs/bench-calc.md and tests read it.
namespace frostread {
namespace {

using Kind = CalcInputKind;
using Dim = Dimension;
using Text = std::string_view;

constexpr Text kFluids = "R-134a R-600a R-290 R-12 R-22 R-1234yf";

constexpr CalcInput input(Text name, Kind kind, Dim dimension, Text help, double low = 0, double high = 0,
                          Text choices = "") {
    return {name, kind, dimension, help, low, high, choices, false};
}

constexpr CalcInput kFluid{"refrigerant", Kind::word, Dim::count, "refrigerant on the rating plate", 0, 0,
                           kFluids,       true};
constexpr CalcInput kGauge =
    input("gauge", Kind::flag, Dim::count, "the pressure is a gauge reading whatever its unit");
constexpr CalcInput kAbsolute = input("absolute", Kind::flag, Dim::count, "the pressure is absolute whatever its unit");
constexpr CalcInput kAltitude =
    input("altitude", Kind::quantity, Dim::length, "height above sea level, for gauge readings", -500, 5000);
constexpr CalcInput kBarometer =
    input("barometer", Kind::barometer, Dim::pressure, "air pressure at the place, for gauge readings");

constexpr CalcInput pressure_input(Text help, bool required) {
    return {"pressure", Kind::pressure, Dim::pressure, help, 0, 0, "", required};
}

constexpr CalcInput quantity(Text name, Dim dimension, Text help, double low, double high, bool required = false) {
    return {name, Kind::quantity, dimension, help, low, high, "", required};
}

constexpr CalcInput ohms(Text name, Text help, bool required = false) {
    return {name, Kind::resistance, Dim::resistance, help, 0, 1e10, "", required};
}

// ---------------------------------------------------------------- inputs of each

constexpr CalcInput kSaturationInputs[] = {
    kFluid,
    quantity("temperature", Dim::temperature, "temperature, to get the pressure", kSaturationLow, kSaturationHigh),
    pressure_input("pressure, to get the temperature", false),
    kGauge,
    kAbsolute,
    kAltitude,
    kBarometer,
    input("side", Kind::word, Dim::count, "which side was read, for --into", 0, 0, "low high")};

constexpr CalcInput kSuperheatInputs[] = {
    kFluid,
    pressure_input("low side while running", true),
    quantity("line", Dim::temperature, "suction line, probe clamped on and wrapped", -60, 80, true),
    kGauge,
    kAbsolute,
    kAltitude,
    kBarometer};

constexpr CalcInput kSubcoolingInputs[] = {
    kFluid,
    pressure_input("high side while running", true),
    quantity("line", Dim::temperature, "liquid line before the drier, probe clamped on", -60, 80, true),
    kGauge,
    kAbsolute,
    kAltitude,
    kBarometer};

constexpr CalcInput kStandingInputs[] = {
    kFluid,
    pressure_input("pressure after standing", true),
    quantity("temperature", Dim::temperature, "temperature of the whole unit", -30, 60, true),
    kGauge,
    kAbsolute,
    kAltitude,
    kBarometer};

constexpr CalcInput kThermistorInputs[] = {
    ohms("ohms", "resistance read, or open"),
    quantity("temperature", Dim::temperature, "temperature beside the sensor", -60, 90),
    input("point", Kind::point, Dim::resistance, "TEMPERATURE=OHMS of the unit's table; two or three of them"),
    quantity("beta", Dim::count, "beta value in kelvin, when there is no table", 1000, 8000),
    quantity("ohms-at", Dim::resistance, "resistance that goes with --beta", 10, 1e7),
    quantity("ohms-at-temp", Dim::temperature, "temperature of --ohms-at [25 °C]", -60, 90),
    quantity("tolerance", Dim::percent, "how far off still agrees [10 %]", 0.5, 50),
    input("sensor", Kind::word, Dim::count, "which sensor it is, for --into", 0, 0, "fridge freezer")};

constexpr CalcInput kHeaterInputs[] = {
    quantity("volts", Dim::voltage, "rated voltage", 6, 500, true),
    quantity("watts", Dim::power, "rated power of the heater", 1, 5000, true), ohms("ohms", "resistance read, or open"),
    quantity("tolerance", Dim::percent, "how far off still agrees [10 %]", 1, 40),
    quantity("supply", Dim::voltage, "supply as measured, to get its true power", 6, 500)};

constexpr CalcInput kWindingsInputs[] = {
    ohms("r12", "between pins 1 and 2, or open", true), ohms("r13", "between pins 1 and 3, or open", true),
    ohms("r23", "between pins 2 and 3, or open", true),
    input("common", Kind::number, Dim::count, "pin that the diagram marks common", 1, 3),
    input("run", Kind::number, Dim::count, "pin that the diagram marks run", 1, 3)};

constexpr CalcInput kEarthInputs[] = {ohms("ohms", "between a pin and the bare shell, or open", true)};

constexpr CalcInput kPowerInputs[] = {quantity("volts", Dim::voltage, "voltage", 1, 500, true),
                                      quantity("amps", Dim::current, "current", 0.001, 100),
                                      quantity("watts", Dim::power, "power", 0.01, 20000),
                                      input("pf", Kind::number, Dim::count, "power factor", 0.01, 1),
                                      quantity("rated-amps", Dim::current, "current on the plate", 0.01, 100),
                                      quantity("rated-watts", Dim::power, "power on the plate", 1, 20000)};

constexpr CalcInput kCapacitorInputs[] = {
    quantity("amps", Dim::current, "current through it while running", 0.001, 100),
    quantity("volts", Dim::voltage, "voltage across it while running", 1, 1000),
    input("hertz", Kind::hertz, Dim::count, "mains frequency, 50 or 60", 45, 65),
    quantity("measured", Dim::capacitance, "capacitance read with a meter", 0, 1000),
    quantity("rated", Dim::capacitance, "capacitance marked on it", 0.1, 1000),
    quantity("tolerance", Dim::percent, "tolerance printed on it [6 %]", 1, 30)};

constexpr CalcInput kRunTimeInputs[] = {
    quantity("room", Dim::temperature, "room", -10, 50),
    quantity("inside", Dim::temperature, "compartment, or the whole cabinet", -40, 20),
    quantity("leak", Dim::conductance, "its heat leak", 0.05, 100),
    quantity("freezer", Dim::temperature, "second compartment", -40, 20),
    quantity("freezer-leak", Dim::conductance, "its heat leak", 0.05, 100),
    input("conductivity", Kind::number, Dim::count, "of the wall in W/(m K), in place of --leak", 0.001, 5),
    quantity("area", Dim::area, "of the wall", 0.1, 50),
    quantity("thickness", Dim::length, "of the wall", 0.005, 0.5),
    quantity("load", Dim::power, "heat that comes in, in place of --leak", 0.1, 10000),
    quantity("extra", Dim::power, "fan, lamp or heater inside, on average", 0, 1000),
    quantity("capacity", Dim::power, "heat moved while running", 1, 20000),
    quantity("power", Dim::power, "compressor's input, with --cop", 1, 20000),
    input("cop", Kind::number, Dim::count, "heat moved per watt of input", 0.1, 10),
    quantity("on", Dim::time, "running time of a cycle, as timed", 0.001, 48),
    quantity("off", Dim::time, "standing time of a cycle, as timed", 0, 48)};

constexpr CalcInput kDewPointInputs[] = {
    quantity("room", Dim::temperature, "room air", -20, 60, true),
    quantity("humidity", Dim::percent, "relative humidity of the room", 1, 100, true),
    quantity("surface", Dim::temperature, "door frame or wall", -40, 60)};

constexpr CalcInput kChargeInputs[] = {kFluid,
                                       quantity("rated", Dim::mass, "charge on the rating plate", 5, 1000, true),
                                       quantity("present", Dim::mass, "charge found in it by weight", 0, 2000),
                                       quantity("lost", Dim::mass, "charge lost, if that is what is known", 0, 1000)};

// ---------------------------------------------------------------- cautions

constexpr CalcCaution kGauges[] = {kCautionMayBurn, kCautionLicensed, kCautionHighPressure};
constexpr CalcCaution kSensor[] = {kCautionUnplug};
constexpr CalcCaution kHeater[] = {kCautionUnplug, kCautionHotHeater};
constexpr CalcCaution kMotor[] = {kCautionUnplug, kCautionCapacitor};
constexpr CalcCaution kLive[] = {kCautionLive};
constexpr CalcCaution kCapacitor[] = {kCautionCapacitor, kCautionLive};

// ---------------------------------------------------------------- examples

constexpr Text kSaturationExamples[] = {"saturation --refrigerant R-600a --temperature -23.3C",
                                        "saturation --refrigerant R-134a --pressure '2 psi' --altitude '5000 ft'"};
constexpr Text kSuperheatExamples[] = {"superheat --refrigerant R-134a --pressure '2 psi' --line '-5 F'"};
constexpr Text kSubcoolingExamples[] = {"subcooling --refrigerant R-600a --pressure '4.9 bar' --line 36C"};
constexpr Text kStandingExamples[] = {"standing --refrigerant R-600a --pressure '2.1 bar' --temperature 21C"};
constexpr Text kThermistorExamples[] = {
    "thermistor --point 0C=16.33kohm --point 25C=5kohm --ohms '21 kohm' --temperature 0C",
    "thermistor --point -30C=88.3kohm --point -10C=27.65kohm --point 8C=10.96kohm --ohms 43k",
    "thermistor --beta 3435 --ohms-at 10kohm --temperature -18C"};
constexpr Text kHeaterExamples[] = {"heater --volts 120V --watts 400W --ohms '35 ohm'",
                                    "heater --volts 230V --watts 250W --ohms open --into case.json"};
constexpr Text kWindingsExamples[] = {"windings --r12 15ohm --r13 4ohm --r23 11ohm",
                                      "windings --r12 open --r13 open --r23 7.5ohm --common 1 --run 2"};
constexpr Text kEarthExamples[] = {"earth --ohms '0.4 Mohm'"};
constexpr Text kPowerExamples[] = {"power --volts 230V --amps 0.87A --watts 120W --rated-watts 110W"};
constexpr Text kCapacitorExamples[] = {"capacitor --amps 0.289A --volts 230V --hertz 50 --rated 4uF",
                                       "capacitor --measured 3.1uF --rated 4uF"};
constexpr Text kRunTimeExamples[] = {
    "run-time --room 25C --inside 4C --leak 1.5W/K --freezer -18C --freezer-leak 0.75W/K --capacity 160W --on 22min "
    "--off "
    "28min"};
constexpr Text kDewPointExamples[] = {"dew-point --room 25C --humidity 70% --surface 17C"};
constexpr Text kChargeExamples[] = {"charge --refrigerant R-600a --rated 52g --present 38g"};

constexpr Text kSaturationRange = "-60 to +80 °C; errors measured from -45 to +65 °C";
constexpr Text kSaturationFormula = "ln(p/pc) = (Tc/T) * sum n_i * (1 - T/Tc)^t_i, T in kelvin, p absolute";
constexpr Text kSaturationSource = "published equation of each refrigerant, see docs/bench-calc.md";

constexpr Calculator kCalculators[] = {
    {"saturation", "pressure and temperature at which a refrigerant boils",
     "Turns a gauge reading into the temperature inside the coil, and back. psi, bar and inHg are taken as a manifold "
     "shows "
     "them (inHg is a vacuum); kPa, psia and bara are absolute.",
     kSaturationInputs, kSaturationExamples, kSaturationFormula, kSaturationSource, kSaturationRange,
     "low-side-pressure high-side-pressure", kGauges, run_saturation},
    {"superheat", "how much the suction gas is warmer than it boils",
     "Measure after 10 minutes of running, at the outlet of the coil.", kSuperheatInputs, kSuperheatExamples,
     "superheat = line temperature - saturation temperature at the low side", kSaturationSource, kSaturationRange,
     "superheat", kGauges, run_superheat},
    {"subcooling", "how much the liquid is colder than it condenses",
     "Measure after 10 minutes of running, on the liquid line before the drier.", kSubcoolingInputs,
     kSubcoolingExamples, "subcooling = saturation temperature at the high side - line temperature", kSaturationSource,
     kSaturationRange, "subcooling", kGauges, run_subcooling},
    {"standing", "what the pressure of a unit that stands still says",
     "Unplugged for an hour or more, doors open, the whole circuit at room temperature. While liquid is left, the "
     "pressure "
     "is the saturation pressure; when it is less, the liquid is gone.",
     kStandingInputs, kStandingExamples, "share = pressure / saturation pressure at the unit's temperature",
     kSaturationSource, kSaturationRange, "standing-pressure", kGauges, run_standing},
    {"thermistor", "ohms and temperature of a sensor, and how far it is off",
     "Give the curve by two or three points of the unit's own table, nearest to the temperatures you work at. Without "
     "a "
     "table, by a beta value.",
     kThermistorInputs, kThermistorExamples, "1/T = A + B ln R + C (ln R)^3, T in kelvin; with C = 0 the beta equation",
     "Steinhart & Hart, Deep-Sea Research 15 (1968) 497", "-60 to +90 °C, 1 ohm to 100 Mohm",
     "fridge-sensor freezer-sensor", kSensor, run_thermistor},
    {"heater", "ohms a heater should read, and the verdict on a reading",
     "For a defrost heater, or one in the door frame, the drain or the mullion. Read at the heater's own leads.",
     kHeaterInputs, kHeaterExamples, "R = V^2 / P", "Ohm's law; limits of the verdict are common practice, no source",
     "6 to 500 V, 1 to 5000 W", "defrost-heater", kHeater, run_heater},
    {"windings", "which pin of a compressor is which, and do they add up",
     "Start device and overload pulled off; three readings between the bare pins, the meter's leads zeroed.",
     kWindingsInputs, kWindingsExamples,
     "start to run = common to start + common to run, within 0.5 ohm or 10 % of the highest",
     "rule of the sum: distributor's technical tip (2020) and a trade textbook; tolerance is judgement",
     "0 ohm to open", "winding-resistance", kMotor, run_windings},
    {"earth", "insulation between a winding and the shell",
     "From each pin to bare metal of the shell, the start device off.", kEarthInputs, kEarthExamples,
     "earthed below 1 Mohm, poor below 10 Mohm, else sound",
     "1 Mohm: trade course notes after Boyle, volume 2, chapter 5; 10 Mohm: common practice, no source",
     "0 ohm to open", "winding-to-shell", kMotor, run_earth},
    {"power", "volts, amps, watts and power factor: the missing one",
     "Give the voltage and two of current, power and power factor.", kPowerInputs, kPowerExamples,
     "P = V * I * PF, S = V * I, Q = sqrt(S^2 - P^2)", "alternating-current theory; bands of the verdict from memory",
     "1 to 500 V, 0.001 to 100 A, one phase", "power-draw running-current", kLive, run_power},
    {"capacitor", "capacitance from its running current, against its marking",
     "From current and voltage while it runs, or from a meter with the capacitor discharged and taken off.",
     kCapacitorInputs, kCapacitorExamples, "C = I / (2 pi f V)",
     "alternating-current theory; 6 % is the usual band where the part prints none (published on trade pages)",
     "45 to 65 Hz, 0 to 1000 uF", "run-capacitor", kCapacitor, run_capacitor},
    {"run-time",
     "how long a compressor should run for its cabinet",
     "From the heat that leaks in and the heat it can move. With --on and --off of a timed cycle also a verdict.",
     kRunTimeInputs,
     kRunTimeExamples,
     "run time = heat leak * (room - inside) / capacity",
     "steady heat balance; within 0.1 % of a one-node thermostat model",
     "room -10 to 50 °C, inside -40 to 20 °C",
     "run-time",
     {},
     run_run_time},
    {"dew-point",
     "will a door frame or a wall sweat in this room",
     "Humidity and temperature of the room, and of the surface. Below 0 °C it gives the frost point, over ice.",
     kDewPointInputs,
     kDewPointExamples,
     "water vapour = humidity * saturation at room temperature; dew point where that is saturated",
     "ASHRAE Handbook Fundamentals 2017, chapter 1, equations 5 and 6",
     "room -20 to 60 °C, humidity 1 to 100 %",
     "room-temp room-humidity",
     {},
     run_dew_point},
    {"charge", "share of the charge that is lost, and the limit for charges that burn",
     "Rated charge from the plate; what was found in it by weight.", kChargeInputs, kChargeExamples,
     "share lost = (rated - present) / rated",
     "limit of 150 g a circuit: UL 60335-2-24 2nd edition (IEC 60335-2-24, from memory); how a loss is noticed: common "
     "practice, no source",
     "rated charge 5 to 1000 g", "", kGauges, run_charge},
};

}  // namespace

std::span<const Calculator> calculators() {
    return kCalculators;
}

const Calculator* find_calculator(std::string_view name) {
    for (const auto& calculator : kCalculators) {
        if (calculator.name == name) {
            return &calculator;
        }
    }
    return nullptr;
}

Result<CalcResult> calculate(const Calculator& calculator, const CalcArguments& arguments, UnitPreference units) {
    const auto inputs = CalcInputs::parse(calculator, arguments, units);
    if (!inputs) {
        return inputs.diagnostics();
    }
    auto result = calculator.run(*inputs);
    if (!result) {
        return result;
    }
    result->calculator = std::string(calculator.name);
    if (result->formula.empty()) {
        result->formula = std::string(calculator.formula);
    }
    if (result->source.empty()) {
        result->source = std::string(calculator.source);
    }
    if (result->cautions.empty()) {
        result->cautions.assign(calculator.cautions.begin(), calculator.cautions.end());
    }
    result->range = std::string(calculator.range);
    return result;
}

}  // namespace frostread
