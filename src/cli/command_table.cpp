#include <array>

#include "cli/commands.hpp"

namespace frostread::cli {

namespace {

const std::array<CommandRow, 0> kCommands = {};

}  // namespace

std::span<const CommandRow> command_table() {
    return kCommands;
}

}  // namespace frostread::cli
