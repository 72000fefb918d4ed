#include <iostream>
#include <string>
#include <vector>

#include "cli/app.hpp"
#include "cli/terminal.hpp"

// The main job, in the order of the files that do it:
//   1. cli/app.cpp          the command line, by the table of commands
//   2. cli/io.cpp           case file and rules as text
//   3. files/               text to Case and Library, or diagnostics with place and suggestion
//   4. compile/             Library to dense arrays; the unit's own view of them
//   5. engine/              readings to findings to an exact posterior; weights; doubtful readings
//   6. plan/                what to test next, or which repair
//   7. present/report.cpp   all of it as one Report, with every caution
//   8. present/             Report to text, JSON or a page
//   9. cli/app.cpp          exit code
int main(int argc, char** argv) {
    frostread::cli::hold_standard_streams();
    frostread::cli::exit_on_interrupt();
    std::ios::sync_with_stdio(false);
    const std::vector<std::string> arguments(argv + 1, argv + argc);
    return frostread::cli::run(arguments, std::cin, std::cout, std::cerr);
}
