#include "cli/file_clash.hpp"

#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <filesystem>
#include <optional>
#include <system_error>

namespace frostread::cli {

namespace {

namespace fs = std::filesystem;

using Status = struct stat;

/// Of a regular file; pipes, terminals and devices lose nothing when they are written to.
std::optional<Status> regular(const Context& context, const std::string& path) {
    Status status{};
    if (path.empty()) return std::nullopt;
    const bool is_stdin = path == "-";
    if (is_stdin && context.in_descriptor < 0) return std::nullopt;
    const int failed = is_stdin ? ::fstat(context.in_descriptor, &status) : ::stat(path.c_str(), &status);
    return failed == 0 && S_ISREG(status.st_mode) ? std::optional(status) : std::nullopt;
}

bool same(const Status& a, const Status& b) {
    return a.st_dev == b.st_dev && a.st_ino == b.st_ino;
}

/// The input that is this file, or "".
std::string input_that_is(const Context& context, const Status& file, const std::vector<std::string>& inputs) {
    for (const std::string& input : inputs) {
        if (const auto status = regular(context, input); status && same(*status, file))
            return input == "-" ? "standard input" : input;
        std::error_code error;
        if (input.empty() || !fs::is_directory(input, error)) continue;
        for (fs::recursive_directory_iterator it(input, error), end; !error && it != end; it.increment(error)) {
            const std::string kind = it->path().extension().string();
            if (kind != ".json" && kind != ".jsonl") continue;
            if (const auto status = regular(context, it->path().string()); status && same(*status, file))
                return it->path().string();
        }
    }
    return "";
}

/// Two outputs that are not there yet are the same when their names lead to the same place.
bool same_output(const Context& context, const std::string& a, const std::string& b) {
    const auto status_a = regular(context, a), status_b = regular(context, b);
    if (status_a && status_b) return same(*status_a, *status_b);
    std::error_code error;
    if (status_a || status_b || fs::exists(a, error) || fs::exists(b, error)) return false;
    const fs::path real_a = fs::weakly_canonical(fs::absolute(a, error), error);
    const fs::path real_b = fs::weakly_canonical(fs::absolute(b, error), error);
    return !real_a.empty() && real_a == real_b;
}

}  // namespace

void refuse_clash(const Context& context, const std::vector<Output>& outputs, const std::vector<std::string>& inputs) {
    for (std::size_t i = 0; i < outputs.size(); ++i) {
        const Output& output = outputs[i];
        if (output.path.empty() || output.path == "-") continue;
        for (std::size_t j = 0; j < i; ++j)
            if (!outputs[j].path.empty() && outputs[j].path != "-" &&
                same_output(context, output.path, outputs[j].path))
                throw Stop(ExitCode::usage, fmt::format("{} and {} name the same file, {}: one would overwrite the "
                                                        "other; nothing was read or written",
                                                        outputs[j].option, output.option, output.path));
        const auto status = regular(context, output.path);
        const std::string input = status ? input_that_is(context, *status, inputs) : "";
        if (!input.empty())
            throw Stop(ExitCode::usage,
                       fmt::format("{} {} is {} of this run, which would be overwritten; nothing was read or written. "
                                   "Name another file.",
                                   output.option, output.path,
                                   input == output.path ? "an input" : "the same file as the input " + input));
    }
}

void refuse_clash_of_stdout(const Context& context, const std::vector<std::string>& inputs) {
    Status status{};
    if (context.in_descriptor < 0 || ::fstat(STDOUT_FILENO, &status) != 0 || !S_ISREG(status.st_mode)) return;
    if (const std::string input = input_that_is(context, status, inputs); !input.empty())
        throw Stop(ExitCode::usage, fmt::format("standard output goes into {}, which is an input of this run; nothing "
                                                "was read. Name another file.",
                                                input));
}

}  // namespace frostread::cli
