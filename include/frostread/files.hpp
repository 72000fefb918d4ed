#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "frostread/case.hpp"
#include "frostread/library.hpp"
#include "frostread/quantity.hpp"
#include "frostread/result.hpp"

/// Text in, values or diagnostics out; values in, text out. The only module that reads JSON.
/// No file is opened here: the caller hands over bytes and the name to put into messages.
namespace frostread {

struct SourceText {
    std::string name;  ///< relative to the library folder: "checks/doors.json"
    std::string text;
};

/// One file of the rules that were built into the program; it lasts as long as the program.
struct EmbeddedText {
    std::string_view name;
    std::string_view text;
};
[[nodiscard]] std::span<const EmbeddedText> embedded_texts();
/// The same as texts of one's own, to be changed, listed or laid under an overlay.
[[nodiscard]] const std::vector<SourceText>& embedded_library_sources();

/// Loads the rules that were built in, without a copy of their text.
[[nodiscard]] Result<Library> load_embedded_library();

/// Loads and validates a whole library: all files or nothing. All problems of all files are
/// reported at once. `display_prefix` is put before file names in messages ("rules/").
[[nodiscard]] Result<Library> load_library(const std::vector<SourceText>& sources,
                                           std::string_view display_prefix = "rules/");

/// A shop's own additions: entries of `overlay` replace those with the same id or are added; then
/// everything is validated again.
/// A name in `overlay` is printed as it stands.
[[nodiscard]] Result<Library> apply_overlay(const std::vector<SourceText>& base, const SourceText& overlay,
                                            std::string_view display_prefix = "rules/");
/// Several, one over the other: the later has the last word.
[[nodiscard]] Result<Library> apply_overlays(const std::vector<SourceText>& base,
                                             const std::vector<SourceText>& overlays,
                                             std::string_view display_prefix = "rules/");

/// One case document. Errors leave no value; several are reported at once.
[[nodiscard]] Result<Case> read_case(std::string_view text, std::string_view file_name, const Library& library);

/// A case as JSON text, known keys in a fixed order, unknown keys kept; ends in a newline when indented.
/// `indent` < 0 gives one line without a newline (JSON Lines).
[[nodiscard]] std::string write_case(const Case& the_case, int indent = 2);

/// CHECK=VALUE as typed: aliases, unique prefixes, quantities, outcome words, several with commas;
/// a trailing "?" means not sure. `bare` says what bare numbers mean.
[[nodiscard]] Result<Reading> parse_reading(std::string_view check, std::string_view value, const Library& library,
                                            UnitPreference bare_numbers, const Place& place = {});

/// TRAIT=VALUE as typed, put into `unit`.
[[nodiscard]] Diagnostics parse_trait(std::string_view trait, std::string_view value, const Library& library,
                                      UnitTraits& unit, const Place& place = {});

}  // namespace frostread
