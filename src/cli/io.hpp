#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "cli/context.hpp"
#include "frostread/files.hpp"

/// Files as the person names them. "-" is standard input. Everything fails by Stop or by a
/// diagnostic that names the file and the reason the system gave.
namespace frostread::cli {

/// The whole file or standard input. Stops with bad_input when it cannot be read.
[[nodiscard]] std::string read_input(Context& context, const std::string& path);

/// The whole file; errors as a diagnostic [cannot-read].
[[nodiscard]] Result<std::string> read_file(const std::string& path);

/// Writes beside `path`, flushes to the disk and renames, so that a crash leaves the old or the new
/// file. Empty when it went well, else one error [cannot-write] with the reason of the system.
[[nodiscard]] Diagnostics write_file(const std::string& path, std::string_view text);

/// write_file that stops with not_written.
void write_output(const std::string& path, std::string_view text);

/// Every *.json and *.jsonl file below `folder`, sorted by path; Stop when it cannot be listed. Files of other
/// kinds are added to `passed_over`.
[[nodiscard]] std::vector<std::string> case_files_below(const std::string& folder, std::size_t* passed_over = nullptr);

[[nodiscard]] bool is_folder(const std::string& path);

/// Where the rules come from: built in, or a folder of the person's own; plus one overlay.
struct LibraryChoice {
    std::string folder;  ///< --rules DIR; empty: the rules in the program
    std::string extra;   ///< --rules-extra FILE; empty: none
};

/// The files of the library, not yet read as rules, and the prefix to show before their names.
struct LibrarySources {
    std::vector<SourceText> files;
    std::string prefix;
};
[[nodiscard]] LibrarySources library_sources(const LibraryChoice& choice);

/// Loads, overlays and validates. Stops only when a file cannot be read.
[[nodiscard]] Result<Library> read_chosen_library(const LibraryChoice& choice);

/// The same. Stops with bad_library, all problems listed; warnings go to err.
[[nodiscard]] Library load_chosen_library(Context& context, const LibraryChoice& choice);

}  // namespace frostread::cli
