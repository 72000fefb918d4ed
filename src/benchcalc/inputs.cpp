#include "benchcalc/inputs.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include "base/text.hpp"
#include "benchcalc/figures.hpp"

namespace frostread {
namespace {

constexpr double kLowestAir = 50.0;           // kPa, about 5500 m
constexpr double kHighestPressure = 10000.0;  // kPa, twice the highest critical pressure
constexpr double kHighestAir = 110.0;         // kPa, above any weather at sea level

const CalcInput* find_input(const Calculator& calculator, std::string_view name) {
    for (const auto& input : calculator.inputs) {
        if (input.name == name) {
            return &input;
        }
    }
    return nullptr;
}

Diagnostic unknown_input(const Calculator& calculator, const std::string& name) {
    std::vector<std::string_view> names;
    for (const auto& input : calculator.inputs) {
        names.push_back(input.name);
    }
    const auto nearest = text::nearest(name, names);
    return calc_error("unknown-input", std::string(calculator.name) + " has no input " + option_words(name),
                      "one of the inputs that its help lists", nearest.empty() ? "" : option_words(nearest));
}

bool says_open(std::string_view typed) {
    for (const std::string_view word : {"open", "ol", "o.l", "o.l.", "inf", "infinite", "infinity"}) {
        if (text::equal_ignoring_case(text::trim(typed), word)) {
            return true;
        }
    }
    return typed == "∞";
}

/// The refusal of parse_quantity with the name of the input before it.
Diagnostics named(std::string_view name, Diagnostics problems) {
    for (auto& problem : problems) {
        problem.what = option_words(name) + ": " + problem.what;
    }
    return problems;
}

bool in_range(const CalcInput& input, double value) {
    return input.low == input.high || (value >= input.low && value <= input.high);
}

Diagnostic outside(const CalcInput& input, std::string_view typed, UnitPreference units) {
    const bool pressure = input.kind == CalcInputKind::pressure || input.kind == CalcInputKind::barometer;
    const Dimension dimension = pressure ? Dimension::pressure : input.dimension;
    return calc_error("out-of-range", option_words(input.name) + " " + text::quoted(typed) + " is outside the range",
                      short_text(input.low, dimension, units) + " to " + short_text(input.high, dimension, units));
}

const Measure* bare_measure(const CalcInput& input, UnitPreference units) {
    return &preferred_measure(input.dimension, units);
}

}  // namespace

Diagnostic calc_error(std::string id, std::string what, std::string expected, std::string suggestion) {
    Diagnostic diagnostic;
    diagnostic.id = std::move(id);
    diagnostic.what = std::move(what);
    diagnostic.expected = std::move(expected);
    diagnostic.suggestion = std::move(suggestion);
    return diagnostic;
}

std::string option_words(std::string_view name) {
    return "--" + std::string(name);
}

std::vector<ThermistorPoint> CalcInputs::points(std::string_view name) const {
    return has(name) ? value(name).points : std::vector<ThermistorPoint>{};
}

Result<CalcInputs> CalcInputs::parse(const Calculator& calculator, const CalcArguments& arguments,
                                     UnitPreference units) {
    CalcInputs inputs;
    inputs.calculator_ = &calculator;
    inputs.units_ = units;
    Diagnostics problems;
    // Flags and the air pressure first: they decide what a pressure means.
    for (const auto& [name, typed] : arguments) {
        const CalcInput* input = find_input(calculator, name);
        if (input != nullptr && input->kind == CalcInputKind::flag) {
            inputs.values_[name].typed = typed;
        }
    }
    inputs.settle_air(arguments, problems);
    std::set<std::string> seen;
    for (const auto& [name, typed] : arguments) {
        const CalcInput* input = find_input(calculator, name);
        if (input == nullptr) {
            problems.push_back(unknown_input(calculator, name));
        } else if (!seen.insert(name).second && input->kind != CalcInputKind::point &&
                   input->kind != CalcInputKind::flag) {
            problems.push_back(calc_error("given-twice", option_words(name) + " is given twice", "one value"));
        } else {
            inputs.settle_value(*input, typed, problems);
        }
    }
    for (const auto& input : calculator.inputs) {
        if (input.required && seen.count(std::string(input.name)) == 0) {
            problems.push_back(calc_error("input-missing",
                                          std::string(calculator.name) + " needs " + option_words(input.name),
                                          std::string(input.help)));
        }
    }
    if (inputs.has("gauge") && inputs.has("absolute")) {
        problems.push_back(calc_error("inputs-conflict", "--gauge and --absolute are both given", "one of them"));
    }
    if (!problems.empty()) {
        return problems;
    }
    return inputs;
}

void CalcInputs::settle_air(const CalcArguments& arguments, Diagnostics& problems) {
    const std::string* barometer = nullptr;
    const std::string* altitude = nullptr;
    for (const auto& [name, typed] : arguments) {
        const CalcInput* input = find_input(*calculator_, name);
        if (input == nullptr) {
            continue;
        }
        if (input->kind == CalcInputKind::barometer) {
            barometer = &typed;
        } else if (name == "altitude") {
            altitude = &typed;
        }
    }
    if (barometer != nullptr && altitude != nullptr) {
        problems.push_back(calc_error("inputs-conflict", "--barometer and --altitude are both given",
                                      "the barometer if you have one"));
        return;
    }
    if (barometer != nullptr) {
        const Measure* bare = find_measure(units_ == UnitPreference::us ? "inHg" : "kPa", Dimension::pressure);
        auto parsed = parse_quantity(*barometer, Dimension::pressure, bare);
        if (!parsed) {
            append(problems, named("barometer", parsed.diagnostics()));
            return;
        }
        // A barometer shows the whole pressure of the air, also in units that a manifold shows as gauge.
        air_kpa_ = parsed->value * std::abs(parsed->measure->factor);
        air_assumed_ = false;
        if (air_kpa_ < kLowestAir || air_kpa_ > kHighestAir) {
            problems.push_back(calc_error("out-of-range",
                                          "--barometer " + text::quoted(*barometer) + " is outside the range",
                                          "50 kPa to 110 kPa (14.8 inHg to 32.5 inHg)",
                                          "an airport reports the pressure at sea level; use --altitude instead"));
        }
    } else if (altitude != nullptr) {
        const CalcInput* input = find_input(*calculator_, "altitude");
        auto parsed = parse_quantity(*altitude, Dimension::length, bare_measure(*input, units_));
        if (parsed && in_range(*input, to_canonical(*parsed))) {
            air_kpa_ = standard_air_pressure(to_canonical(*parsed));
            air_assumed_ = false;
        }  // else settle_value says what is wrong
    }
}

void CalcInputs::settle_value(const CalcInput& input, std::string_view typed, Diagnostics& problems) {
    Value& value = values_[std::string(input.name)];
    value.typed = std::string(typed);
    switch (input.kind) {
        case CalcInputKind::flag:
        case CalcInputKind::barometer:  // settled before
            return;
        case CalcInputKind::pressure:
            settle_pressure(input, typed, problems);
            return;
        case CalcInputKind::point:
            settle_point(input, typed, problems);
            return;
        case CalcInputKind::word: {
            for (const auto& choice : text::split(input.choices, ' ')) {
                if (text::equal_ignoring_case(choice, text::trim(typed))) {
                    value.word = std::string(choice);
                    return;
                }
            }
            if (input.name == "refrigerant") {
                if (const auto* found = find_refrigerant(typed)) {
                    value.word = std::string(found->id);
                    return;
                }
            }
            const auto choices = text::split(input.choices, ' ');
            const std::vector<std::string> words(choices.begin(), choices.end());
            std::string_view near = text::nearest(typed, words);
            // Refrigerants differ by one digit: only a single slip is worth a guess.
            if (input.name == "refrigerant" &&
                text::edit_distance(text::to_lower(typed), text::to_lower(near), 1) > 1) {
                near = "";
            }
            problems.push_back(calc_error("unknown-word",
                                          option_words(input.name) + " does not know " + text::quoted(typed),
                                          text::join_or(words), std::string(near)));
            return;
        }
        case CalcInputKind::resistance:
            if (says_open(typed)) {
                value.open = true;
                return;
            }
            break;
        case CalcInputKind::hertz:
        case CalcInputKind::number:
        case CalcInputKind::quantity:
            break;
    }
    std::string text_in(text::trim(typed));
    if (input.kind == CalcInputKind::hertz && text_in.size() > 2 &&
        text::equal_ignoring_case(std::string_view(text_in).substr(text_in.size() - 2), "hz")) {
        text_in.resize(text_in.size() - 2);
    }
    auto parsed = parse_quantity(text_in, input.dimension, bare_measure(input, units_));
    if (!parsed) {
        append(problems, named(input.name, parsed.diagnostics()));
        return;
    }
    value.number = to_canonical(*parsed);
    if (!in_range(input, value.number)) {
        problems.push_back(outside(input, typed, units_));
    }
}

void CalcInputs::settle_pressure(const CalcInput& input, std::string_view typed, Diagnostics& problems) {
    auto parsed = parse_quantity(typed, Dimension::pressure, &preferred_measure(Dimension::pressure, units_));
    if (!parsed) {
        append(problems, named(input.name, parsed.diagnostics()));
        return;
    }
    const Measure& measure = *parsed->measure;
    const double plain = parsed->value * measure.factor;  // over the measure's own zero
    bool gauge = measure.offset != 0.0;
    if (has("gauge")) {
        gauge = true;
    } else if (has("absolute")) {
        gauge = false;
    }
    Value& value = values_[std::string(input.name)];
    value.number = gauge ? air_kpa_ + plain : std::abs(measure.factor) * parsed->value;
    if (value.number > kHighestPressure) {
        problems.push_back(
            calc_error("out-of-range", option_words(input.name) + " " + text::quoted(typed) + " is outside the range",
                       "at most " + full_text(kHighestPressure, Dimension::pressure, units_) + " absolute"));
    } else if (value.number <= 0.0) {
        problems.push_back(calc_error(
            "out-of-range",
            option_words(input.name) + " " + text::quoted(typed) + " is below a full vacuum at this air pressure",
            "a pressure above 0 kPa absolute",
            "psi, bar and inHg are taken as a manifold shows them; add --absolute if yours are not"));
    }
}

void CalcInputs::settle_point(const CalcInput& input, std::string_view typed, Diagnostics& problems) {
    const auto equals = typed.find('=');
    if (equals == std::string_view::npos) {
        problems.push_back(calc_error("point-unclear",
                                      option_words(input.name) + " " + text::quoted(typed) + " has no \"=\"",
                                      "temperature=resistance, such as \"0 C=16.3 kohm\""));
        return;
    }
    const auto temperature = parse_quantity(typed.substr(0, equals), Dimension::temperature,
                                            &preferred_measure(Dimension::temperature, units_));
    const auto resistance = parse_quantity(typed.substr(equals + 1), Dimension::resistance,
                                           &preferred_measure(Dimension::resistance, units_));
    if (!temperature || !resistance) {
        append(problems, named(input.name, temperature ? resistance.diagnostics() : temperature.diagnostics()));
        return;
    }
    const ThermistorPoint point{to_canonical(*temperature), to_canonical(*resistance)};
    if (point.celsius < -100.0 || point.celsius > 200.0 || point.ohm < 1.0 || point.ohm > 1e8) {
        problems.push_back(calc_error("out-of-range",
                                      option_words(input.name) + " " + text::quoted(typed) + " is outside the range",
                                      "-100 °C to 200 °C and 1 Ω to 100 MΩ"));
        return;
    }
    values_[std::string(input.name)].points.push_back(point);
}

}  // namespace frostread
