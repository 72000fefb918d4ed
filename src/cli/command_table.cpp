#include <array>

#include "cli/commands.hpp"

namespace frostread::cli {

namespace {

constexpr const char* kFind = "Find the fault";
constexpr const char* kKeep = "Saved cases";
constexpr const char* kBench = "At the bench";
constexpr const char* kLookUp = "Look up and look after the rules";
constexpr const char* kShell = "In your shell";

const std::array kCommands = {
    CommandRow{"diagnose", kFind, "rank the likely faults, say why, name the next test", set_up_diagnose},
    CommandRow{"call", kFind, "service call: type readings in any order, see the ranking move", set_up_call},
    CommandRow{"guide", kFind, "guided questions, with the reason for each", set_up_guide},
    CommandRow{"practice", kFind, "a hidden fault to find, scored against the planner", set_up_practice},
    CommandRow{"close", kKeep, "record what was found and the proof that it works", set_up_close},
    CommandRow{"batch", kKeep, "diagnose saved cases again, in bulk", set_up_batch},
    CommandRow{"templog", kBench, "take readings out of a temperature log", set_up_templog},
    CommandRow{"bench-calc", kBench, "pressures, sensors, heaters, windings and more, worked out", set_up_bench_calc},
    CommandRow{"card", kLookUp, "the reference card of a check, fault or caution", set_up_card},
    CommandRow{"rules", kLookUp, "check, list and review the rule library", set_up_rules},
    CommandRow{"completion", kShell, "completion for bash, zsh and fish, and the manual page", set_up_completion},
};

}  // namespace

std::span<const CommandRow> command_table() {
    return kCommands;
}

}  // namespace frostread::cli
