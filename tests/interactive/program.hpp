#pragma once

#include <sys/types.h>

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

/// The built program as a real process: through a pipe, or behind a pseudo-terminal.
namespace frostread::test {

/// A folder of its own that is gone afterwards.
class ScratchFolder {
public:
    ScratchFolder();
    ScratchFolder(const ScratchFolder&) = delete;
    ScratchFolder& operator=(const ScratchFolder&) = delete;
    ~ScratchFolder();
    [[nodiscard]] std::filesystem::path path(std::string_view name = "") const;

private:
    std::filesystem::path folder_;
};

struct Finished {
    std::string out, err;
    int code = -1;  ///< exit code, -1 when it was ended by a signal
    int signal = 0;
};

struct Launch {
    std::vector<std::string> arguments;    ///< without the name of the program
    std::string folder;                    ///< it runs in here
    std::vector<std::string> environment;  ///< NAME=VALUE, besides PATH and LC_ALL
    long largest_file = -1;                ///< RLIMIT_FSIZE in bytes; -1: no limit
};

/// Runs it with this text on standard input until it ends.
[[nodiscard]] Finished run_piped(const Launch& launch, std::string_view input);

/// Behind a pseudo-terminal. Nothing here waits for a time: reads go on until the text is there, and
/// give up with an exception after a limit that only a hung program reaches.
class Terminal {
public:
    explicit Terminal(const Launch& launch, unsigned short columns = 80);
    Terminal(const Terminal&) = delete;
    Terminal& operator=(const Terminal&) = delete;
    ~Terminal();

    /// Everything since the last call, up to and with the next prompt "> " at the start of a line.
    std::string until_prompt();
    /// Until `text` has come.
    std::string until(std::string_view text);
    /// Everything until the program closes its side.
    std::string until_end();
    void type(std::string_view text);  ///< as it is
    void line(std::string_view text) { type(std::string(text) + "\n"); }
    void send_signal(int signal) const;
    /// Takes the terminal away, as when a window is closed.
    void hang_up();
    [[nodiscard]] Finished wait();
    [[nodiscard]] pid_t pid() const { return pid_; }

private:
    bool more();
    pid_t pid_ = -1;
    int terminal_ = -1;
    std::string unread_;
    bool reaped_ = false;
};

/// A process behind pipes that stay open, for killing.
class Piped {
public:
    explicit Piped(const Launch& launch);
    Piped(const Piped&) = delete;
    Piped& operator=(const Piped&) = delete;
    ~Piped();
    void write(std::string_view text) const;
    /// Everything until `text` has come (or the program has ended).
    std::string until(std::string_view text);
    void close_input();
    void kill(int signal) const;
    [[nodiscard]] Finished wait();

private:
    pid_t pid_ = -1;
    int to_ = -1, from_ = -1;
    std::string unread_;
    bool reaped_ = false;
};

/// Without carriage returns, as a transcript is compared.
[[nodiscard]] std::string plain_lines(std::string text);

[[nodiscard]] std::string slurp(const std::filesystem::path& path);

/// Folder of the small rule library that the transcripts are written against.
[[nodiscard]] std::string small_rules();

}  // namespace frostread::test
