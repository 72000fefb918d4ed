#pragma once

#include <span>
#include <string_view>

/// Every stable id that a diagnostic of a rule library, a case or a typed reading can carry, with what it means and how
/// to cure it. docs/diagnostics.md is the same table in prose; a test holds the two together.
namespace frostread {

struct DiagnosticEntry {
    std::string_view id;
    std::string_view meaning;
    std::string_view cure;
};

/// Sorted by id.
[[nodiscard]] std::span<const DiagnosticEntry> diagnostic_table();

}  // namespace frostread
