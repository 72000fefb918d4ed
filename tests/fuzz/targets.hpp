#pragma once

#include <string_view>

/// One function per parser: whatever the bytes, it returns without a crash and keeps its promises.
/// The fuzzer and the replay of its corpus both call these.
namespace frostread::fuzz {

/// The bytes as a file of faults of a small library, and as a library.json alone.
void one_library(std::string_view bytes);
/// The bytes as a case; what was accepted is written and read again, and must come out the same.
void one_case(std::string_view bytes);
/// The bytes as a quantity of every dimension; what was accepted is finite.
void one_quantity(std::string_view bytes);
/// The bytes as a temperature log; what was accepted is in order, and is analysed and written in every form.
void one_log(std::string_view bytes);

}  // namespace frostread::fuzz
