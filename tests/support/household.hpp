#pragma once

#include <memory>

#include "frostread/compiled_library.hpp"
#include "frostread/files.hpp"

/// The shipped rule library, loaded and compiled once.
namespace frostread::test {

[[nodiscard]] inline const std::shared_ptr<const CompiledLibrary>& compiled_household() {
    static const auto compiled = compile(std::make_shared<const Library>(*load_library(embedded_library_sources())));
    return compiled;
}

}  // namespace frostread::test
