#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

/// What is wrong with an input, as data. Text and JSON are made from it late, so tests, documents
/// and scripts can hang on the stable id.
namespace frostread {

enum class Severity {
    note,     ///< worth knowing, changes nothing
    warning,  ///< the input was used, but perhaps not as the person meant
    error,    ///< the input was refused
};

/// Where a thing stands. Line and column count from 1, columns in bytes; 0 means not known.
struct Place {
    std::string file;     ///< as the person named it; "-" for standard input, "" for the command line
    std::string pointer;  ///< JSON pointer (RFC 6901), "" for the whole document
    std::size_t line = 0;
    std::size_t column = 0;
    std::string source_line;  ///< the text of that line, for the caret display; may be empty
};

struct Diagnostic {
    Severity severity = Severity::error;
    std::string id;  ///< stable, greppable: "unknown-check"
    Place place;
    std::string what;        ///< what was found, lower case, no full stop
    std::string expected;    ///< what was expected; may be empty
    std::string suggestion;  ///< may be empty; without a space: the nearest name ("did you mean …?"), else the cure
};

using Diagnostics = std::vector<Diagnostic>;

[[nodiscard]] bool has_errors(const Diagnostics& diagnostics);
[[nodiscard]] std::size_t count(const Diagnostics& diagnostics, Severity severity);

/// Appends `more` to `all`.
void append(Diagnostics& all, Diagnostics more);

/// Orders by file, line, column, pointer; equal places keep their order.
void sort_by_place(Diagnostics& diagnostics);

}  // namespace frostread
