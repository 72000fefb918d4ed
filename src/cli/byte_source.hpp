#pragma once

#include <cstddef>
#include <iosfwd>
#include <string>

#include "cli/context.hpp"

/// Bytes of a file or of standard input as they come, and why they stopped coming: a stream of the standard
/// library takes a folder, a closed descriptor or a broken disk for the end of the file.
namespace frostread::cli {

class ByteSource {
public:
    /// Standard input as the context has it.
    explicit ByteSource(Context& context) : stream_(&context.in), descriptor_(context.in_descriptor) {}
    /// Opens the file; error() says when that failed.
    explicit ByteSource(const std::string& path);
    ~ByteSource();
    ByteSource(const ByteSource&) = delete;
    ByteSource& operator=(const ByteSource&) = delete;
    ByteSource(ByteSource&&) = delete;
    ByteSource& operator=(ByteSource&&) = delete;

    /// Waits for at least one byte and takes what is there. 0 at the end and on an error.
    [[nodiscard]] std::size_t read(char* to, std::size_t most);
    /// Nothing is there at the moment, and it is not the end either.
    [[nodiscard]] bool would_wait() const;
    [[nodiscard]] int error() const { return error_; }  ///< the system's number; 0: none

private:
    std::istream* stream_ = nullptr;  ///< read when there is no descriptor: a stream in memory
    int descriptor_ = -1;
    bool owned_ = false;
    int error_ = 0;
};

/// Everything up to the end; `source.error()` says whether that was all.
[[nodiscard]] std::string read_all(ByteSource& source);

/// Why nothing can be read there, by the system's number; 0 when nothing speaks against it. Takes no byte away
/// and does not wait, so pipes and terminals are believed. "-" is standard input.
[[nodiscard]] int why_unreadable(const Context& context, const std::string& path);

/// "Is a directory": the system's words.
[[nodiscard]] std::string system_words(int error);

}  // namespace frostread::cli
