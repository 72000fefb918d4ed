#include "support/paths.hpp"

namespace frostread::test {

std::string source_dir() {
    return FROSTREAD_SOURCE_DIR;
}
std::string program_path() {
    return FROSTREAD_PROGRAM;
}

}  // namespace frostread::test
