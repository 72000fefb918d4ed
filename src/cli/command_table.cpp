#include <array>

#include "cli/commands.hpp"

namespace frostread::cli {

namespace {

constexpr const char* kKeep = "Saved cases";
constexpr const char* kBench = "At the bench";

const std::array kCommands = {
    CommandRow{"batch", kKeep, "diagnose saved cases again, in bulk", set_up_batch},
    CommandRow{"practice", kKeep, "draw invented cases to practise and to measure on", set_up_practice},
    CommandRow{"bench-calc", kBench, "pressures, sensors, heaters, windings and more, worked out", set_up_bench_calc},
};

}  // namespace

std::span<const CommandRow> command_table() {
    return kCommands;
}

}  // namespace frostread::cli
