#include <array>

#include "cli/commands.hpp"

namespace frostread::cli {

namespace {

constexpr const char* kFind = "Find the fault";
constexpr const char* kLookUp = "Look up and look after the rules";
constexpr const char* kKeep = "Saved cases";

const std::array kCommands = {
    CommandRow{"diagnose", kFind, "rank the likely faults, say why, name the next test", set_up_diagnose},
    CommandRow{"close", kKeep, "record what was found and the proof that it works", set_up_close},
    CommandRow{"card", kLookUp, "the reference card of a check, fault or caution", set_up_card},
    CommandRow{"rules", kLookUp, "check, list and review the rule library", set_up_rules},
};

}  // namespace

std::span<const CommandRow> command_table() {
    return kCommands;
}

}  // namespace frostread::cli
