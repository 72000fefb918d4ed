#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "frostread/files.hpp"

/// A small library and small cases in a few readable lines of JSON, for tests.
namespace frostread::test {

/// library.json, cautions.json, checks/tiny.json and faults/tiny.json of a library with one of each:
/// two traits, one area, one condition, four checks (one of each kind), three faults.
[[nodiscard]] std::vector<SourceText> tiny_sources();

/// Loads them; a refusal throws with the whole message, which fails the test.
[[nodiscard]] Library library_from_text(const std::vector<SourceText>& sources);
[[nodiscard]] Library tiny_library();

/// The tiny library with these lists of checks and faults in place of its own, each a JSON array.
[[nodiscard]] Library library_from_text(std::string_view checks, std::string_view faults);

/// Puts `after` in place of `before` in one of the files. Throws unless `before` stands there once.
void replace(std::vector<SourceText>& sources, std::string_view file, std::string_view before, std::string_view after);

/// Reads a case; a refusal throws.
[[nodiscard]] Case case_from_text(std::string_view text, const Library& library);

/// Every diagnostic as "severity file:line:column pointer id: what | expected | suggestion", one a line.
[[nodiscard]] std::string to_lines(const Diagnostics& diagnostics);

}  // namespace frostread::test
