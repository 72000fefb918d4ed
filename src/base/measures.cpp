#include "base/measures.hpp"

#include <vector>

#include "base/text.hpp"

/// Which measures there are and how people write them.
namespace frostread {

namespace {

// Factors are exact by definition where one exists: 1 in = 0.0254 m, 1 lb = 453.59237 g,
// 1 atm = 101.325 kPa, 1 psi = 6.894757293168 kPa, 1 inHg = 3.386389 kPa (at 0 degC), 1 BTU = 1055.05585262 J
// (international table). Source: NIST Special Publication 811 (2008), appendix B, from memory.
constexpr double kAtmosphere = 101.325;
constexpr double kPsi = 6.894757293168;
constexpr double kInchMercury = 3.386389;
constexpr double kFahrenheit = 5.0 / 9.0;
constexpr double kBtuPerHourPerFahrenheit = 1055.05585262 / 3600.0 * 9.0 / 5.0;

using enum Dimension;

// The order matters: a spelling that fits two measures of one dimension means the first.
constexpr Measure kMeasures[] = {
    {"degC", "°C", temperature, 1.0, 0.0},
    {"degF", "°F", temperature, kFahrenheit, -32.0 * kFahrenheit},
    {"kelvin", "K", temperature, 1.0, -273.15},
    {"K", "K", temperature_difference, 1.0, 0.0},
    {"degC-difference", "°C", temperature_difference, 1.0, 0.0},
    {"degF-difference", "°F", temperature_difference, kFahrenheit, 0.0},
    {"ohm", "Ω", resistance, 1.0, 0.0},
    {"kohm", "kΩ", resistance, 1e3, 0.0},
    {"Mohm", "MΩ", resistance, 1e6, 0.0},
    {"milliohm", "mΩ", resistance, 1e-3, 0.0},
    {"W", "W", power, 1.0, 0.0},
    {"kW", "kW", power, 1e3, 0.0},
    {"BTU/h", "BTU/h", power, 1055.05585262 / 3600.0, 0.0},
    {"kPa", "kPa", pressure, 1.0, 0.0},
    {"Pa", "Pa", pressure, 1e-3, 0.0},
    {"MPa", "MPa", pressure, 1e3, 0.0},
    {"bar", "bar", pressure, 100.0, kAtmosphere},
    {"bara", "bar abs", pressure, 100.0, 0.0},
    {"mbar", "mbar", pressure, 0.1, 0.0},
    {"psi", "psi", pressure, kPsi, kAtmosphere},
    {"psia", "psi abs", pressure, kPsi, 0.0},
    {"inHg", "inHg", pressure, -kInchMercury, kAtmosphere},
    {"%", "%", percent, 1.0, 0.0},
    {"h", "h", time, 1.0, 0.0},
    {"min", "min", time, 1.0 / 60.0, 0.0},
    {"s", "s", time, 1.0 / 3600.0, 0.0},
    {"d", "days", time, 24.0, 0.0},
    {"V", "V", voltage, 1.0, 0.0},
    {"mV", "mV", voltage, 1e-3, 0.0},
    {"kV", "kV", voltage, 1e3, 0.0},
    {"A", "A", current, 1.0, 0.0},
    {"mA", "mA", current, 1e-3, 0.0},
    {"g", "g", mass, 1.0, 0.0},
    {"kg", "kg", mass, 1e3, 0.0},
    {"oz", "oz", mass, 453.59237 / 16.0, 0.0},
    {"lb", "lb", mass, 453.59237, 0.0},
    {"uF", "µF", capacitance, 1.0, 0.0},
    {"nF", "nF", capacitance, 1e-3, 0.0},
    {"1/h", "per hour", frequency, 1.0, 0.0},
    {"1/d", "per day", frequency, 1.0 / 24.0, 0.0},
    {"K/h", "K/h", temperature_rate, 1.0, 0.0},
    {"degF/h", "°F/h", temperature_rate, kFahrenheit, 0.0},
    {"", "", count, 1.0, 0.0},
    {"", "", money, 1.0, 0.0},
    {"m", "m", length, 1.0, 0.0},
    {"cm", "cm", length, 1e-2, 0.0},
    {"mm", "mm", length, 1e-3, 0.0},
    {"ft", "ft", length, 0.3048, 0.0},
    {"in", "in", length, 0.0254, 0.0},
    {"m2", "m²", area, 1.0, 0.0},
    {"ft2", "ft²", area, 0.3048 * 0.3048, 0.0},
    {"W/K", "W/K", conductance, 1.0, 0.0},
    {"BTU/h/F", "BTU/h·°F", conductance, kBtuPerHourPerFahrenheit, 0.0},
};

struct Spelling {
    std::string_view text;
    std::string_view id;
    bool case_matters = false;
};

// What a person writes, after spaces and degree signs are gone. `case_matters`: a lower-case letter
// would mean something else, or nothing anyone should guess ("mohm" may be a million or a thousandth).
constexpr Spelling kSpellings[] = {
    {"C", "degC"},
    {"degC", "degC"},
    {"celsius", "degC"},
    {"F", "degF"},
    {"degF", "degF"},
    {"fahrenheit", "degF"},
    {"kelvin", "kelvin"},
    {"K", "kelvin", true},
    {"K", "K", true},
    {"kelvin", "K"},
    {"C", "degC-difference"},
    {"degC", "degC-difference"},
    {"degC-difference", "degC-difference"},
    {"celsius", "degC-difference"},
    {"F", "degF-difference"},
    {"degF", "degF-difference"},
    {"degF-difference", "degF-difference"},
    {"fahrenheit", "degF-difference"},
    {"ohm", "ohm"},
    {"ohms", "ohm"},
    {"Ω", "ohm", true},
    {"R", "ohm", true},
    {"kohm", "kohm"},
    {"kohms", "kohm"},
    {"kΩ", "kohm", true},
    {"KΩ", "kohm", true},
    {"k", "kohm", true},
    {"kiloohm", "kohm"},
    {"kilohm", "kohm"},
    {"Mohm", "Mohm", true},
    {"Mohms", "Mohm", true},
    {"MOhm", "Mohm", true},
    {"MOHM", "Mohm", true},
    {"MΩ", "Mohm", true},
    {"M", "Mohm", true},
    {"megohm", "Mohm"},
    {"megohms", "Mohm"},
    {"megaohm", "Mohm"},
    {"milliohm", "milliohm"},
    {"milliohms", "milliohm"},
    {"mΩ", "milliohm", true},
    {"W", "W"},
    {"watt", "W"},
    {"watts", "W"},
    {"kW", "kW"},
    {"BTU/h", "BTU/h"},
    {"BTU/hr", "BTU/h"},
    {"BTUH", "BTU/h"},
    {"kPa", "kPa"},
    {"kPaa", "kPa"},
    {"kPaabs", "kPa"},
    {"Pa", "Pa", true},
    {"MPa", "MPa", true},
    {"bar", "bar"},
    {"barg", "bar"},
    {"bara", "bara"},
    {"barabs", "bara"},
    {"mbar", "mbar"},
    {"hPa", "mbar"},
    {"psi", "psi"},
    {"psig", "psi"},
    {"psia", "psia"},
    {"psiabs", "psia"},
    {"inHg", "inHg"},
    {"inHgvac", "inHg"},
    {"inchHg", "inHg"},
    {"%", "%"},
    {"percent", "%"},
    {"pct", "%"},
    {"h", "h"},
    {"hr", "h"},
    {"hrs", "h"},
    {"hour", "h"},
    {"hours", "h"},
    {"min", "min"},
    {"mins", "min"},
    {"minute", "min"},
    {"minutes", "min"},
    {"s", "s"},
    {"sec", "s"},
    {"second", "s"},
    {"seconds", "s"},
    {"d", "d"},
    {"day", "d"},
    {"days", "d"},
    {"V", "V"},
    {"volt", "V"},
    {"volts", "V"},
    {"VAC", "V"},
    {"mV", "mV"},
    {"kV", "kV"},
    {"A", "A"},
    {"amp", "A"},
    {"amps", "A"},
    {"ampere", "A"},
    {"mA", "mA"},
    {"g", "g"},
    {"gram", "g"},
    {"grams", "g"},
    {"kg", "kg"},
    {"oz", "oz"},
    {"ounce", "oz"},
    {"ounces", "oz"},
    {"lb", "lb"},
    {"lbs", "lb"},
    {"pound", "lb"},
    {"pounds", "lb"},
    {"uF", "uF"},
    {"µF", "uF", true},
    {"μF", "uF", true},
    {"mfd", "uF"},
    {"microfarad", "uF"},
    {"nF", "nF"},
    {"1/h", "1/h"},
    {"/h", "1/h"},
    {"perh", "1/h"},
    {"perhour", "1/h"},
    {"anhour", "1/h"},
    {"cph", "1/h"},
    {"1/d", "1/d"},
    {"/d", "1/d"},
    {"perday", "1/d"},
    {"K/h", "K/h"},
    {"C/h", "K/h"},
    {"degC/h", "K/h"},
    {"F/h", "degF/h"},
    {"degF/h", "degF/h"},
    {"years", ""},
    {"year", ""},
    {"m", "m"},
    {"cm", "cm"},
    {"mm", "mm"},
    {"ft", "ft"},
    {"foot", "ft"},
    {"feet", "ft"},
    {"in", "in"},
    {"inch", "in"},
    {"inches", "in"},
    {"m2", "m2"},
    {"m²", "m2"},
    {"sqm", "m2"},
    {"ft2", "ft2"},
    {"ft²", "ft2"},
    {"sqft", "ft2"},
    {"W/K", "W/K"},
    {"BTU/h/F", "BTU/h/F"},
    {"BTU/h·F", "BTU/h/F"},
};

constexpr std::string_view kDegreeSigns[] = {"°", "º", "˚"};

/// Without spaces and degree signs; "degrees" becomes "deg", a bare "deg" stays.
std::string tidy(std::string_view spelling) {
    std::string out;
    std::size_t i = 0;
    while (i < spelling.size()) {
        bool degree = false;
        for (const std::string_view sign : kDegreeSigns) {
            if (spelling.substr(i).starts_with(sign)) {
                i += sign.size();
                degree = true;
                break;
            }
        }
        if (degree) continue;
        if (spelling[i] != ' ' && spelling[i] != '\t') out += spelling[i];
        ++i;
    }
    for (const std::string_view word : {"degrees", "degree"}) {
        if (text::starts_with_ignoring_case(out, word)) out = "deg" + out.substr(word.size());
    }
    return out;
}

const Measure* by_id(std::string_view id) {
    for (const Measure& measure : kMeasures) {
        if (measure.id == id) return &measure;
    }
    return nullptr;
}

constexpr DimensionWords kDimensions[] = {
    {temperature, "a temperature", "15 °F or -9 °C", "degC", "degF"},
    {temperature_difference, "a temperature difference", "5 K or 9 °F", "K", "degF-difference"},
    {resistance, "a resistance", "22 ohm or 1.2 kohm", "ohm", "ohm"},
    {power, "a power", "85 W", "W", "W"},
    {pressure, "a pressure", "3 psi, 0.2 bar or 120 kPa", "kPa", "psi"},
    {percent, "a percentage", "40 %", "%", "%"},
    {time, "a time", "24 h or 90 min", "h", "h"},
    {voltage, "a voltage", "230 V", "V", "V"},
    {current, "a current", "0.8 A", "A", "A"},
    {mass, "a mass", "52 g or 1.8 oz", "g", "oz"},
    {capacitance, "a capacitance", "12 uF", "uF", "uF"},
    {frequency, "a number per hour", "3 per hour", "1/h", "1/h"},
    {temperature_rate, "a temperature change per hour", "5 K/h or 9 F/h", "K/h", "degF/h"},
    {money, "an amount of money", "180", "", ""},
    {count, "a number", "11", "", ""},
    {length, "a length", "0.6 m or 2 ft", "m", "ft"},
    {area, "an area", "4 m2 or 43 ft2", "m2", "ft2"},
    {conductance, "a heat conductance", "1.5 W/K", "W/K", "W/K"},
};

}  // namespace

const DimensionWords& words_of(Dimension dimension) {
    for (const DimensionWords& words : kDimensions) {
        if (words.dimension == dimension) return words;
    }
    return kDimensions[0];
}

const Measure* measure_of(std::string_view spelling, const Dimension* wanted) {
    const auto fits = [&](const Measure& measure) { return wanted == nullptr || measure.dimension == *wanted; };
    for (const Measure& measure : kMeasures) {
        if (measure.id == spelling && fits(measure)) return &measure;
    }
    const std::string tidied = tidy(spelling);
    if (tidied.empty()) return nullptr;
    for (const bool exact : {true, false}) {
        for (const Spelling& s : kSpellings) {
            const bool same = exact ? s.text == tidied : !s.case_matters && text::equal_ignoring_case(s.text, tidied);
            if (!same) continue;
            const Measure* measure = by_id(s.id);
            if (measure != nullptr && fits(*measure)) return measure;
        }
    }
    return nullptr;
}

std::string nearest_unit(std::string_view spelling, Dimension dimension) {
    if (text::equal_ignoring_case(tidy(spelling), "mohm")) return "Mohm for a million, milliohm for a thousandth";
    std::vector<std::string_view> candidates;
    for (const Spelling& s : kSpellings) {
        const Measure* measure = by_id(s.id);
        if (measure != nullptr && measure->dimension == dimension && s.text.size() > 1) candidates.push_back(s.text);
    }
    return std::string(text::nearest(tidy(spelling), candidates));
}

std::span<const Measure> all_measures() {
    return kMeasures;
}

const Measure* find_measure(std::string_view spelling, Dimension dimension) {
    return measure_of(spelling, &dimension);
}

const Measure* find_measure(std::string_view spelling) {
    return measure_of(spelling, nullptr);
}

const Measure& canonical_measure(Dimension dimension) {
    return preferred_measure(dimension, UnitPreference::si);
}

const Measure& preferred_measure(Dimension dimension, UnitPreference preference) {
    const DimensionWords& words = words_of(dimension);
    const Measure* measure = measure_of(preference == UnitPreference::us ? words.us : words.si, &dimension);
    return measure != nullptr ? *measure : kMeasures[0];
}

std::string_view dimension_words(Dimension dimension) {
    return words_of(dimension).name;
}

}  // namespace frostread
