#include "cli/app.hpp"

namespace frostread::cli {

int run(const std::vector<std::string>& /*arguments*/, std::istream& /*in*/, std::ostream& /*out*/,
        std::ostream& /*err*/) {
    return 1;
}

}  // namespace frostread::cli
