#pragma once

#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <optional>
#include <ostream>
#include <string>
#include <string_view>

#include "cli/context.hpp"

/// Where the answers of a batch go: standard output, or a file that is there whole or not at all.
namespace frostread::cli {

/// Written beside the target line by line, then flushed to the disk and renamed. Until commit() the old
/// file stands; without commit(), and on a signal that ends the program, what was written is removed.
class WholeFile {
public:
    /// Stops with not_written when it cannot be opened.
    explicit WholeFile(const std::string& path);
    ~WholeFile();
    WholeFile(const WholeFile&) = delete;
    WholeFile& operator=(const WholeFile&) = delete;
    WholeFile(WholeFile&&) = delete;
    WholeFile& operator=(WholeFile&&) = delete;

    /// Stops with not_written when the disk is full or the like.
    void write(std::string_view text);
    void commit();

private:
    [[noreturn]] void fail(int error);
    std::string path_, target_, beside_;
    int descriptor_ = -1;
    bool replaces_ = true;  ///< false: a pipe or device, written to as it is
};

/// Gathers lines into large pieces.
class BatchOutput {
public:
    /// `file` empty: standard output.
    BatchOutput(Context& context, const std::string& file);
    void line(std::string_view text);
    void flush();
    /// On standard output: everything so far can be read by who waits for it.
    void show();
    /// Everything is there now.
    void commit();
    /// Standard output took nothing more (a full disk, a closed pipe).
    [[nodiscard]] bool broken() const { return !file_ && !context_.out; }

private:
    Context& context_;
    std::optional<WholeFile> file_;
    std::string held_;
};

/// One line that is written over: cases done, cases per second, remaining time. Nothing unless
/// standard error is a terminal.
class BatchProgress {
public:
    explicit BatchProgress(Context& context);
    void show(std::size_t cases, std::uint64_t bytes, const std::optional<std::uint64_t>& total);
    void clear();

private:
    Context& context_;
    double began_ = 0.0, shown_ = 0.0;
    bool visible_ = false;
};

}  // namespace frostread::cli
