#pragma once

#include <string>
#include <vector>

/// Tests that a person can read: a file holds "$ command" lines, below each what it must print.
///
///     ## a comment
///     $ frostread card gasket
///     expected standard output
///     === stderr
///     expected standard error
///     === exit 2
///
/// Commands run with sh in the project's folder; `frostread` is the built program, $TMP an empty folder
/// of the test's own, whose path is written back as $TMP. With FROSTREAD_APPROVE=1 in the environment
/// the files are rewritten with what was printed.
namespace frostread::golden {

struct Block {
    std::vector<std::string> comments;  ///< lines before the command, with their marks
    std::string command;
    std::string out, err;
    int code = 0;
};

[[nodiscard]] std::vector<Block> parse(const std::string& text);
[[nodiscard]] std::string print(const std::vector<Block>& blocks);

/// Runs the command of `expected` and returns what really came.
[[nodiscard]] Block run(const Block& expected, const std::string& temporary_folder);

[[nodiscard]] std::vector<std::string> files_in(const std::string& folder, const std::string& extension);
[[nodiscard]] std::string read(const std::string& path);
void write(const std::string& path, const std::string& text);
[[nodiscard]] bool approving();

/// A fresh empty folder.
[[nodiscard]] std::string fresh_folder(const std::string& name);

}  // namespace frostread::golden
