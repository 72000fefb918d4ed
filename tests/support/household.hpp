#pragma once

#include <memory>

#include "frostread/compiled_library.hpp"
#include "frostread/files.hpp"
#include "frostread/planner.hpp"
#include "frostread/report.hpp"

/// The shipped rule library, loaded and compiled once.
namespace frostread::test {

[[nodiscard]] inline const std::shared_ptr<const CompiledLibrary>& compiled_household() {
    static const auto compiled = compile(std::make_shared<const Library>(*load_library(embedded_library_sources())));
    return compiled;
}

/// What the program would say of a case with its own rules and nothing else chosen.
[[nodiscard]] inline Report household_report(const Case& the_case) {
    return diagnose(fit_to_unit(compiled_household(), the_case.unit), the_case,
                    plan_options(compiled_household()->library()));
}

}  // namespace frostread::test
