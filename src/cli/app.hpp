#pragma once

#include <iosfwd>
#include <string>
#include <vector>

namespace frostread::cli {

/// Runs the program on its arguments (without the program name). Returns the exit code.
int run(const std::vector<std::string>& arguments, std::istream& in, std::ostream& out, std::ostream& err);

}  // namespace frostread::cli
