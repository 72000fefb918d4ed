#include <algorithm>
#include <array>
#include <cmath>

#include "benchcalc/calculators.hpp"
#include "benchcalc/figures.hpp"

/// The motor of a hermetic compressor by three resistances between its pins.
namespace frostread {
namespace {

// A pair of pins and the pin left out: pair 0 is 1-2, pair 1 is 1-3, pair 2 is 2-3.
constexpr std::array<int, 3> kLeftOut{3, 2, 1};
// Less than any household winding has; what is left is leads and clips. Common practice, no source.
constexpr double kShortOhm = 0.4;
// Test leads alone make this much difference between like windings.
constexpr double kLeadOhm = 0.3;

/// Which pair joins two pins.
std::size_t pair_between(int a, int b) {
    return static_cast<std::size_t>(a + b - 3);  // 1-2 -> 0, 1-3 -> 1, 2-3 -> 2
}

int third_pin(int a, int b) {
    return 6 - a - b;
}

/// All three have a value: pins from the readings, then the sum.
void judge_complete(WindingJudgement& judged, const std::array<double, 3>& ohm) {
    const auto largest = static_cast<std::size_t>(std::max_element(ohm.begin(), ohm.end()) - ohm.begin());
    const double low = *std::min_element(ohm.begin(), ohm.end());
    const double high = ohm[largest];
    judged.allowed_difference = std::max(0.5, 0.1 * high);
    judged.sum_difference = high - (ohm[0] + ohm[1] + ohm[2] - high);
    if (low >= kShortOhm && high - low <= std::max(kLeadOhm, 0.1 * high)) {
        judged.verdict = WindingVerdict::equal;
        return;
    }
    // The two windings in line read highest, so the pin left out joins them.
    judged.common = kLeftOut[largest];
    std::array<int, 2> others{};
    std::size_t filled = 0;
    for (int pin = 1; pin <= 3; ++pin) {
        if (pin != judged.common) {
            others[filled++] = pin;
        }
    }
    const double first = ohm[pair_between(judged.common, others[0])];
    const double second = ohm[pair_between(judged.common, others[1])];
    judged.run = first <= second ? others[0] : others[1];
    judged.start = third_pin(judged.common, judged.run);
    judged.common_run = std::min(first, second);
    judged.common_start = std::max(first, second);
    judged.start_run = high;
    const bool holds = std::abs(judged.sum_difference) <= judged.allowed_difference;
    judged.verdict = holds && low >= kShortOhm ? WindingVerdict::adds_up : WindingVerdict::shorted_turns;
}

/// One reading has a value: with the pins known it names the winding that is left.
void judge_one_path(WindingJudgement& judged, std::size_t pair, double ohm, int common, int run) {
    if (common == 0) {
        judged.verdict = WindingVerdict::one_path_only;
        return;
    }
    judged.common = common;
    if (run != 0) {
        judged.run = run;
        judged.start = third_pin(common, run);
    }
    if (kLeftOut[pair] == common) {
        judged.verdict = WindingVerdict::common_open;
        judged.start_run = ohm;
    } else if (run == 0) {
        judged.verdict = WindingVerdict::one_path_only;
    } else if (pair == pair_between(common, run)) {
        judged.verdict = WindingVerdict::start_open;
        judged.common_run = ohm;
    } else {
        judged.verdict = WindingVerdict::run_open;
        judged.common_start = ohm;
    }
}

}  // namespace

WindingJudgement judge_windings(const WindingReadings& readings, int common, int run) {
    const std::array<std::optional<double>, 3> given{readings.r12, readings.r13, readings.r23};
    WindingJudgement judged;
    std::array<double, 3> ohm{};
    std::size_t paths = 0;
    std::size_t only = 0;
    for (std::size_t i = 0; i < given.size(); ++i) {
        if (given[i]) {
            ohm[i] = *given[i];
            only = i;
            ++paths;
        }
    }
    if (paths == 3) {
        judge_complete(judged, ohm);
    } else if (paths == 2) {
        judged.verdict = WindingVerdict::contradictory;
    } else if (paths == 1) {
        judge_one_path(judged, only, ohm[only], common, run);
    }
    return judged;
}

namespace {

struct VerdictRow {
    WindingVerdict verdict;
    const char* word;
    const char* outcome;  ///< of the check winding-resistance; "" when none says this
    const char* words;
};

constexpr VerdictRow kVerdicts[] = {
    {WindingVerdict::adds_up, "adds-up", "adds-up",
     "The windings are whole: start and run in line add up to the highest reading."},
    {WindingVerdict::equal, "equal", "adds-up",
     "Three like readings: the motor of a variable-speed compressor, and its windings are whole."},
    {WindingVerdict::run_open, "run-open", "run-open", "The run winding is open."},
    {WindingVerdict::start_open, "start-open", "start-open", "The start winding is open."},
    {WindingVerdict::common_open, "common-open", "common-open",
     "No path to the common pin, while start to run still reads. If the shell is hot, an overload inside it may have "
     "opened: let it cool, which can take hours, and read again."},
    {WindingVerdict::one_path_only, "one-path-only", "",
     "Only one pair of pins shows a path. Which winding is open cannot be told until the pins are known: give --common "
     "and "
     "--run from the unit's diagram."},
    {WindingVerdict::all_open, "all-open", "",
     "No pair shows a path. Look to the probes first: paint or rust on the pins, a lead off the meter. If it stays so, "
     "the "
     "motor is open in more than one place."},
    {WindingVerdict::shorted_turns, "shorted-turns", "shorted-turns",
     "The readings do not add up or are near zero: turns are shorted. Zero the meter's leads and read once more before "
     "you "
     "condemn the motor."},
    {WindingVerdict::contradictory, "contradictory", "",
     "Two pairs show a path, so the third must too. A probe made no contact: clean the pins and read all three again."},
};

const VerdictRow& row_of(WindingVerdict verdict) {
    return *std::find_if(std::begin(kVerdicts), std::end(kVerdicts),
                         [&](const VerdictRow& row) { return row.verdict == verdict; });
}

std::string pin_words(int pin) {
    return "pin " + std::to_string(pin);
}

}  // namespace

Result<CalcResult> run_windings(const CalcInputs& inputs) {
    const auto units = inputs.units();
    const int common = inputs.has("common") ? static_cast<int>(inputs.number("common")) : 0;
    const int run = inputs.has("run") ? static_cast<int>(inputs.number("run")) : 0;
    if (common != 0 && common == run) {
        return calc_error("inputs-conflict", "--common and --run name the same pin", "two different pins");
    }
    CalcResult result;
    WindingReadings readings;
    const auto take = [&](const char* name, const char* label, std::optional<double>& into) {
        if (inputs.is_open(name)) {
            result.given.push_back(word_figure(name, label, "no path (open)"));
        } else {
            into = inputs.number(name);
            result.given.push_back(figure(name, label, *into, Dimension::resistance, units));
        }
    };
    take("r12", "pins 1 and 2", readings.r12);
    take("r13", "pins 1 and 3", readings.r13);
    take("r23", "pins 2 and 3", readings.r23);
    const WindingJudgement judged = judge_windings(readings, common, run);
    const VerdictRow& row = row_of(judged.verdict);
    result.verdict = row.word;
    result.verdict_words = row.words;
    if (judged.common != 0) {
        result.figures.push_back(word_figure("common", "common", pin_words(judged.common)));
    }
    if (judged.start != 0) {
        result.figures.push_back(word_figure("start", "start", pin_words(judged.start)));
    }
    if (judged.run != 0) {
        result.figures.push_back(word_figure("run", "run", pin_words(judged.run)));
    }
    const auto add_ohm = [&](const char* key, const char* label, double ohm) {
        if (ohm > 0.0) {
            result.figures.push_back(figure(key, label, ohm, Dimension::resistance, units));
        }
    };
    add_ohm("common_run", "common to run", judged.common_run);
    add_ohm("common_start", "common to start", judged.common_start);
    add_ohm("start_run", "start to run", judged.start_run);
    if (judged.verdict == WindingVerdict::adds_up || judged.verdict == WindingVerdict::shorted_turns) {
        result.figures.push_back({"sum_difference", "sum is off by", judged.sum_difference, Dimension::resistance,
                                  short_text(std::abs(judged.sum_difference), Dimension::resistance, units) +
                                      ", up to " + short_text(judged.allowed_difference, Dimension::resistance, units) +
                                      " is allowed"});
        result.figures.push_back({"allowed_difference", "", judged.allowed_difference, Dimension::resistance, ""});
    }
    if (common != 0 && judged.common != 0 && common != judged.common) {
        result.notes.push_back("The diagram says pin " + std::to_string(common) +
                               " is common, the readings say another: check the numbering of the pins.");
    }
    if (run != 0 && judged.run != 0 && run != judged.run) {
        result.notes.push_back("The diagram says pin " + std::to_string(run) +
                               " is run, the readings say another: check the numbering of the pins.");
    }
    result.notes.push_back(
        "A hot motor reads up to a quarter more than a cold one: 12 ohm at 20 °C is 14.8 ohm at 80 °C (copper).");
    result.notes.push_back("Also read each pin to the bare shell (bench-calc earth).");
    if (row.outcome[0] != '\0') {
        result.readings.push_back({"winding-resistance", row.outcome});
    } else {
        result.no_reading = "these readings do not say which winding is at fault";
    }
    return result;
}

namespace {

constexpr double kEarthedOhm = 1e6;  // trade course notes after Boyle, volume 2, chapter 5
constexpr double kPoorOhm = 10e6;    // common practice, no source

}  // namespace

Result<CalcResult> run_earth(const CalcInputs& inputs) {
    const auto units = inputs.units();
    CalcResult result;
    const bool no_path = inputs.is_open("ohms");
    const double ohm = no_path ? 0.0 : inputs.number("ohms");
    result.given.push_back(no_path ? word_figure("ohm", "pin to shell", "no path (beyond the meter)")
                                   : figure("ohm", "pin to shell", ohm, Dimension::resistance, units));
    if (!no_path && ohm < kEarthedOhm) {
        result.verdict = "earthed";
    } else if (!no_path && ohm < kPoorOhm) {
        result.verdict = "poor";
    } else {
        result.verdict = "sound";
    }
    if (result.verdict == "earthed") {
        result.verdict_words =
            "Earthed: below 1 megohm the shell can be live. Do not plug it in again; a protective switch trips or, "
            "worse, "
            "does not.";
    } else if (result.verdict == "poor") {
        result.verdict_words = "Poor: damp or ageing insulation. Dry and clean the pins, read again, and watch it.";
    } else {
        result.verdict_words = no_path ? "Sound by this meter: no path to the shell." : "Sound by this meter.";
        result.notes.push_back(
            "A multimeter tests with a few volts. An insulation tester at 500 V finds what it misses.");
    }
    result.notes.push_back("Read from every pin to bare metal of the shell, not to paint.");
    result.readings.push_back({"winding-to-shell", no_path ? result.verdict : plain_text(ohm / 1e6, 4) + " Mohm"});
    return result;
}

}  // namespace frostread
