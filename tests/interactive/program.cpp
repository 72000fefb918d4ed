#include "interactive/program.hpp"

#include <fcntl.h>
#include <poll.h>
#include <pty.h>
#include <sys/ioctl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <csignal>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <stdexcept>

#include "support/paths.hpp"

namespace frostread::test {

namespace {

/// Only a hung program meets it; sanitizers on a busy machine do not.
constexpr int kGiveUpMilliseconds = 120000;

/// In the child: becomes the program, or ends with 127.
[[noreturn]] void become(const Launch& launch, bool is_terminal) {
    if (!launch.folder.empty() && ::chdir(launch.folder.c_str()) != 0) ::_exit(127);
    if (launch.largest_file >= 0) {
        const rlimit limit{static_cast<rlim_t>(launch.largest_file), static_cast<rlim_t>(launch.largest_file)};
        ::setrlimit(RLIMIT_FSIZE, &limit);
    }
    std::vector<std::string> words = {program_path()};
    words.insert(words.end(), launch.arguments.begin(), launch.arguments.end());
    std::vector<std::string> settings = {"PATH=/usr/bin:/bin", "LC_ALL=C.UTF-8"};
    if (const char* leaks = std::getenv("LSAN_OPTIONS")) settings.push_back(std::string("LSAN_OPTIONS=") + leaks);
    if (is_terminal) settings.emplace_back("TERM=dumb");
    settings.insert(settings.end(), launch.environment.begin(), launch.environment.end());
    std::vector<char*> argv, envp;
    for (std::string& word : words) argv.push_back(word.data());
    // The last of two settings of a name is the one that was asked for; execve takes the first.
    for (auto it = settings.rbegin(); it != settings.rend(); ++it) envp.push_back(it->data());
    argv.push_back(nullptr);
    envp.push_back(nullptr);
    ::execve(argv.front(), argv.data(), envp.data());
    ::_exit(127);
}

Finished finished(pid_t pid) {
    int status = 0;
    while (::waitpid(pid, &status, 0) < 0 && errno == EINTR) {
    }
    Finished out;
    if (WIFEXITED(status)) out.code = WEXITSTATUS(status);
    if (WIFSIGNALED(status)) out.signal = WTERMSIG(status);
    return out;
}

void write_all(int descriptor, std::string_view text) {
    while (!text.empty()) {
        const ssize_t count = ::write(descriptor, text.data(), text.size());
        if (count < 0 && errno == EINTR) continue;
        if (count <= 0) return;
        text.remove_prefix(static_cast<std::size_t>(count));
    }
}

/// Appends what there is; false at the end.
bool read_more(int descriptor, std::string& into) {
    pollfd wanted{descriptor, POLLIN, 0};
    const int ready = ::poll(&wanted, 1, kGiveUpMilliseconds);
    if (ready == 0) throw std::runtime_error("the program says nothing more; so far:\n" + into);
    std::array<char, 4096> block{};
    const ssize_t count = ::read(descriptor, block.data(), block.size());
    if (count < 0 && errno == EINTR) return true;
    if (count <= 0) return false;  // a terminal whose other side is gone gives EIO
    into.append(block.data(), static_cast<std::size_t>(count));
    return true;
}

std::string take(std::string& from, std::size_t length) {
    std::string out = from.substr(0, length);
    from.erase(0, length);
    return out;
}

struct Pipe {
    int read_end = -1, write_end = -1;
    Pipe() {
        std::array<int, 2> ends{};
        if (::pipe2(ends.data(), O_CLOEXEC) != 0) throw std::runtime_error("no pipe");
        read_end = ends[0];
        write_end = ends[1];
    }
};

}  // namespace

ScratchFolder::ScratchFolder() {
    std::string name = (std::filesystem::temp_directory_path() / "frostread-test-XXXXXX").string();
    if (::mkdtemp(name.data()) == nullptr) throw std::runtime_error("no folder for temporary files");
    folder_ = name;
}

ScratchFolder::~ScratchFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(folder_, ignored);
}

std::filesystem::path ScratchFolder::path(std::string_view name) const {
    return name.empty() ? folder_ : folder_ / name;
}

Finished run_piped(const Launch& launch, std::string_view input) {
    Pipe in, out, err;
    const pid_t pid = ::fork();
    if (pid < 0) throw std::runtime_error("no process");
    if (pid == 0) {
        ::dup2(in.read_end, STDIN_FILENO);
        ::dup2(out.write_end, STDOUT_FILENO);
        ::dup2(err.write_end, STDERR_FILENO);
        become(launch, false);
    }
    ::close(in.read_end);
    ::close(out.write_end);
    ::close(err.write_end);
    const auto old = std::signal(SIGPIPE, SIG_IGN);
    // Inputs here are shorter than a pipe holds, so writing first cannot block for good.
    write_all(in.write_end, input);
    ::close(in.write_end);
    std::string said, complained;
    while (read_more(out.read_end, said)) {
    }
    while (read_more(err.read_end, complained)) {
    }
    ::close(out.read_end);
    ::close(err.read_end);
    Finished end = finished(pid);
    std::signal(SIGPIPE, old);
    end.out = std::move(said);
    end.err = std::move(complained);
    return end;
}

Terminal::Terminal(const Launch& launch, unsigned short columns) {
    winsize size{};
    size.ws_row = 24;
    size.ws_col = columns;
    pid_ = ::forkpty(&terminal_, nullptr, nullptr, &size);
    if (pid_ < 0) throw std::runtime_error("no pseudo-terminal");
    if (pid_ == 0) become(launch, true);
    ::fcntl(terminal_, F_SETFD, FD_CLOEXEC);
}

Terminal::~Terminal() {
    if (terminal_ >= 0) ::close(terminal_);
    if (!reaped_) {
        ::kill(pid_, SIGKILL);
        static_cast<void>(finished(pid_));
    }
}

bool Terminal::more() {
    return terminal_ >= 0 && read_more(terminal_, unread_);
}

std::string Terminal::until(std::string_view text) {
    for (;;) {
        const std::size_t at = unread_.find(text);
        if (at != std::string::npos) return take(unread_, at + text.size());
        if (!more())
            throw std::runtime_error("the program ended before it said \"" + std::string(text) + "\":\n" + unread_);
    }
}

std::string Terminal::until_prompt() {
    for (;;) {
        // The prompt is the last thing that was written.
        const bool alone = unread_ == "> " || unread_.ends_with("\n> ") || unread_.ends_with("\n(not kept) > ");
        if (alone) return take(unread_, unread_.size());
        if (!more()) throw std::runtime_error("the program ended without a prompt:\n" + unread_);
    }
}

std::string Terminal::until_end() {
    while (more()) {
    }
    return take(unread_, unread_.size());
}

void Terminal::type(std::string_view text) {
    write_all(terminal_, text);
}

void Terminal::send_signal(int signal) const {
    ::kill(pid_, signal);
}

void Terminal::hang_up() {
    ::close(terminal_);
    terminal_ = -1;
}

Finished Terminal::wait() {
    reaped_ = true;
    return finished(pid_);
}

Piped::Piped(const Launch& launch) {
    Pipe in, out;
    pid_ = ::fork();
    if (pid_ < 0) throw std::runtime_error("no process");
    if (pid_ == 0) {
        ::dup2(in.read_end, STDIN_FILENO);
        ::dup2(out.write_end, STDOUT_FILENO);
        ::dup2(out.write_end, STDERR_FILENO);
        become(launch, false);
    }
    ::close(in.read_end);
    ::close(out.write_end);
    to_ = in.write_end;
    from_ = out.read_end;
}

Piped::~Piped() {
    close_input();
    ::close(from_);
    if (!reaped_) {
        ::kill(pid_, SIGKILL);
        static_cast<void>(finished(pid_));
    }
}

void Piped::write(std::string_view text) const {
    const auto old = std::signal(SIGPIPE, SIG_IGN);
    write_all(to_, text);
    std::signal(SIGPIPE, old);
}

std::string Piped::until(std::string_view text) {
    for (;;) {
        const std::size_t at = unread_.find(text);
        if (at != std::string::npos) return take(unread_, at + text.size());
        if (!read_more(from_, unread_)) return take(unread_, unread_.size());
    }
}

void Piped::close_input() {
    if (to_ >= 0) ::close(to_);
    to_ = -1;
}

void Piped::kill(int signal) const {
    ::kill(pid_, signal);
}

Finished Piped::wait() {
    reaped_ = true;
    return finished(pid_);
}

std::string plain_lines(std::string text) {
    std::string out;
    for (const char c : text)
        if (c != '\r') out += c;
    return out;
}

std::string slurp(const std::filesystem::path& path) {
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

std::string small_rules() {
    return source_dir() + "/tests/interactive/rules";
}

}  // namespace frostread::test
