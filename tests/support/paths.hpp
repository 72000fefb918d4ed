#pragma once

#include <string>

/// Where the sources and the built program stand. Functions, not macros, so that only one file of the
/// tests depends on the folder they are built in.
namespace frostread::test {

[[nodiscard]] std::string source_dir();    ///< the repository's top folder
[[nodiscard]] std::string program_path();  ///< the built `frostread`

}  // namespace frostread::test
