#include <array>

#include "cli/commands.hpp"

namespace frostread::cli {

namespace {

constexpr const char* kKeep = "Saved cases";

const std::array kCommands = {
    CommandRow{"batch", kKeep, "diagnose saved cases again, in bulk", set_up_batch},
    CommandRow{"practice", kKeep, "draw invented cases to practise and to measure on", set_up_practice},
};

}  // namespace

std::span<const CommandRow> command_table() {
    return kCommands;
}

}  // namespace frostread::cli
