#include <iostream>
#include <string>
#include <vector>

#include "cli/app.hpp"

int main(int argc, char** argv) {
    std::vector<std::string> arguments(argv + 1, argv + argc);
    return frostread::cli::run(arguments, std::cin, std::cout, std::cerr);
}
