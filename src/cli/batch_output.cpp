#include "cli/batch_output.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstring>
#include <filesystem>
#include <system_error>

#include "cli/terminal.hpp"

namespace frostread::cli {

namespace {

namespace fs = std::filesystem;

constexpr std::size_t kPiece = std::size_t{1} << 16U;
constexpr double kShowEvery = 0.2;  ///< seconds

/// The unfinished file and what is said about it, for the handler of signals: only plain memory may be read there.
std::array<char, 4096> unfinished{};
std::array<char, 4200> farewell{};

extern "C" void remove_and_end(int signal) {
    if (unfinished[0] != '\0') {
        ::unlink(unfinished.data());
        std::size_t size = 0;
        while (farewell[size] != '\0') ++size;
        const ssize_t unused = ::write(STDERR_FILENO, farewell.data(), size);
        static_cast<void>(unused);
    }
    _exit(128 + signal);
}

/// Ctrl-C, a request to end and a closed terminal; what the caller has set to be ignored (nohup) stays so.
void end_cleanly_on_signals() {
    for (const int signal : {SIGINT, SIGTERM, SIGHUP})
        if (std::signal(signal, remove_and_end) == SIG_IGN) std::signal(signal, SIG_IGN);
}

double seconds_now() {
    return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

std::string time_words(double seconds) {
    if (seconds < 90.0) return fmt::format("{:.0f} s", seconds);
    if (seconds < 5400.0) return fmt::format("{:.0f} min", seconds / 60.0);
    return fmt::format("{:.1f} h", seconds / 3600.0);
}

}  // namespace

WholeFile::WholeFile(const std::string& path) : path_(path) {
    std::error_code ignored;
    const fs::path real = fs::weakly_canonical(path, ignored);
    target_ = ignored || real.empty() ? path : real.string();
    struct stat old {};
    const bool exists = ::stat(target_.c_str(), &old) == 0;
    if (exists && S_ISDIR(old.st_mode)) fail(EISDIR);
    replaces_ = !exists || S_ISREG(old.st_mode);
    if (!replaces_) {
        descriptor_ = ::open(target_.c_str(), O_WRONLY | O_CLOEXEC);
        if (descriptor_ < 0) fail(errno);
        return;
    }
    beside_ = target_ + ".new-" + std::to_string(::getpid());
    ::unlink(beside_.c_str());
    descriptor_ =
        ::open(beside_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, exists ? old.st_mode & 07777U : 0666U);
    if (descriptor_ < 0) fail(errno);
    if (beside_.size() < unfinished.size()) {
        const std::string words = fmt::format("\nstopped by a signal: {} was not written\n", path.substr(0, 4000));
        std::memcpy(farewell.data(), words.c_str(), words.size() + 1);
        std::memcpy(unfinished.data(), beside_.c_str(), beside_.size() + 1);
        end_cleanly_on_signals();
    }
}

WholeFile::~WholeFile() {
    if (descriptor_ >= 0) ::close(descriptor_);
    if (!beside_.empty()) {
        ::unlink(beside_.c_str());  // already renamed after commit()
        unfinished[0] = '\0';
    }
}

void WholeFile::fail(int error) {
    Diagnostic diagnostic;
    diagnostic.id = "cannot-write";
    diagnostic.place.file = path_;
    diagnostic.what = "cannot write: " + std::generic_category().message(error);
    diagnostic.suggestion = "what stood there before is untouched";
    throw Stop(ExitCode::not_written, Diagnostics{diagnostic});
}

void WholeFile::write(std::string_view text) {
    while (!text.empty()) {
        const ssize_t written = ::write(descriptor_, text.data(), text.size());
        if (written < 0) {
            if (errno == EINTR) continue;
            fail(errno);
        }
        text.remove_prefix(static_cast<std::size_t>(written));
    }
}

void WholeFile::commit() {
    if (replaces_ && ::fsync(descriptor_) != 0) fail(errno);
    const int closed = ::close(descriptor_);
    descriptor_ = -1;
    if (closed != 0) fail(errno);
    if (replaces_ && ::rename(beside_.c_str(), target_.c_str()) != 0) fail(errno);
    beside_.clear();
    unfinished[0] = '\0';
}

BatchOutput::BatchOutput(Context& context, const std::string& file) : context_(context) {
    if (!file.empty() && file != "-") file_.emplace(file);
}

void BatchOutput::line(std::string_view text) {
    held_.append(text).append(1, '\n');
    if (held_.size() >= kPiece) flush();
}

void BatchOutput::flush() {
    if (file_)
        file_->write(held_);
    else
        context_.out.write(held_.data(), static_cast<std::streamsize>(held_.size()));
    held_.clear();
}

void BatchOutput::show() {
    if (file_ || held_.empty()) return;
    flush();
    context_.out.flush();
}

void BatchOutput::commit() {
    flush();
    if (file_) file_->commit();
}

BatchProgress::BatchProgress(Context& context) : context_(context) {
    if (context_.err_is_terminal) began_ = shown_ = seconds_now();
}

void BatchProgress::show(std::size_t cases, std::uint64_t bytes, const std::optional<std::uint64_t>& total) {
    if (!context_.err_is_terminal) return;
    const double now = seconds_now();
    if (now - shown_ < kShowEvery) return;
    shown_ = now;
    const double passed = std::max(now - began_, 1e-3);
    std::string line = fmt::format("{} cases, {:.0f} a second", cases, static_cast<double>(cases) / passed);
    if (total && *total > 0 && bytes > 0) {
        const double share = std::min(1.0, static_cast<double>(bytes) / static_cast<double>(*total));
        constexpr std::size_t kBar = 20;
        const auto full = static_cast<std::size_t>(share * kBar);
        line = fmt::format("[{}{}] {:3.0f} %  {}, {} left", std::string(full, '#'), std::string(kBar - full, '.'),
                           100.0 * share, line, time_words(passed * (1.0 - share) / share));
    }
    context_.err << "\r" << line << "\x1b[K" << std::flush;
    visible_ = true;
}

void BatchProgress::clear() {
    if (visible_) context_.err << "\r\x1b[K" << std::flush;
    visible_ = false;
}

}  // namespace frostread::cli
