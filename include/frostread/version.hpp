#pragma once

/// The one place where versions stand; CMake reads the program version from here.
namespace frostread {

inline constexpr const char* kVersion = "0.1.0";

/// Format numbers of the files people keep. A reader refuses a higher number than it knows.
inline constexpr int kRulesFormat = 1;
inline constexpr int kCaseFormat = 1;
inline constexpr int kResultFormat = 1;

}  // namespace frostread
