#pragma once

#include <string>
#include <vector>

#include "cli/context.hpp"

/// A file that is read and written in one run would be lost.
namespace frostread::cli {

struct Output {
    std::string option;  ///< "--out"
    std::string path;    ///< empty: not given; "-": standard output
};

/// Stops with usage when an output is the same file as an input or as another output, by whatever name. Inputs
/// may be folders, "-" and "". Nothing is read and nothing is written here.
void refuse_clash(const Context& context, const std::vector<Output>& outputs, const std::vector<std::string>& inputs);

/// Stops with usage when what goes to standard output would go into a file that is read.
void refuse_clash_of_stdout(const Context& context, const std::vector<std::string>& inputs);

}  // namespace frostread::cli
