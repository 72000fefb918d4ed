#pragma once

#include <cstddef>

#include "cli/context.hpp"

/// What the program can know of the screen it writes to.
namespace frostread::cli {

enum class ColourChoice { automatic, always, never };

/// Colour when `choice` says so; automatic: on a terminal that is not dumb, and NO_COLOR is not set.
/// Width from COLUMNS, else from the terminal, else 80; never below 40 nor above 100.
[[nodiscard]] TextStyle style_for(bool is_terminal, ColourChoice choice, const Context& context,
                                  std::size_t terminal_width);

/// The real world: standard streams of this process.
[[nodiscard]] Context real_context(std::istream& in, std::ostream& out, std::ostream& err);

/// Width of the terminal on `descriptor`, 0 when it is none.
[[nodiscard]] std::size_t terminal_width(int descriptor);

/// A standard stream that came closed gets a descriptor that cannot be used, so that no file that is opened later
/// is taken for it.
void hold_standard_streams();

/// Ctrl-C ends the program with code 130 and a fresh line. Commands that keep a session install their
/// own handler instead.
void exit_on_interrupt();

}  // namespace frostread::cli
