#include "cli/case_store.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <charconv>
#include <csignal>
#include <filesystem>
#include <system_error>
#include <utility>

#include "cli/io.hpp"
#include "frostread/files.hpp"

namespace frostread::cli {

namespace {

namespace fs = std::filesystem;

/// Two names of one file must meet at one lock.
std::string real_path(const std::string& path) {
    std::error_code error;
    const fs::path real = fs::weakly_canonical(fs::absolute(path, error), error);
    return error || real.empty() ? path : real.string();
}

std::string reason(int error) {
    return std::generic_category().message(error);
}

std::string host_name() {
    std::array<char, 256> name{};
    return ::gethostname(name.data(), name.size() - 1) == 0 ? name.data() : "unknown";
}

std::string read_small(int descriptor) {
    std::array<char, 512> block{};
    const ssize_t count = ::pread(descriptor, block.data(), block.size(), 0);
    return count > 0 ? std::string(block.data(), static_cast<std::size_t>(count)) : "";
}

/// What a write that was cut off by force left behind: CASE.new-PID of a process that is gone.
void sweep(const std::string& case_path) {
    std::error_code error;
    const fs::path whole(case_path);
    const std::string stem = whole.filename().string() + ".new-";
    for (fs::directory_iterator it(whole.parent_path(), error), end; !error && it != end; it.increment(error)) {
        const std::string name = it->path().filename().string();
        if (!name.starts_with(stem)) continue;
        int pid = 0;
        const char* last = name.data() + name.size();
        const auto [stop, bad] = std::from_chars(name.data() + stem.size(), last, pid);
        if (bad != std::errc{} || stop != last || pid <= 0) continue;
        if (::kill(pid, 0) != 0 && errno == ESRCH) ::unlink(it->path().c_str());
    }
}

std::string sentence_of(const Diagnostics& problems) {
    std::string out;
    for (const Diagnostic& problem : problems)
        out += fmt::format("{}{}: {}", out.empty() ? "" : "; ", problem.place.file, problem.what);
    return out;
}

}  // namespace

CaseStore::CaseStore(std::string path, Context& context) : path_(std::move(path)), context_(context) {}

CaseStore::~CaseStore() {
    drop_lock();
}

std::optional<CaseStore::Mark> CaseStore::mark_of(const std::string& path) {
    struct stat info {};
    if (::stat(path.c_str(), &info) != 0) return std::nullopt;
    return Mark{info.st_dev, info.st_ino, static_cast<std::uint64_t>(info.st_size), info.st_mtim.tv_sec,
                info.st_mtim.tv_nsec};
}

std::string CaseStore::take_lock(const std::string& path) {
    const std::string lock_path = real_path(path) + ".lock";
    lock_trouble_.clear();
    for (int attempt = 0; attempt < 100; ++attempt) {
        const int descriptor = ::open(lock_path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0666);
        if (descriptor < 0) {
            lock_trouble_ = reason(errno);
            return "";
        }
        if (::flock(descriptor, LOCK_EX | LOCK_NB) != 0) {
            const int error = errno;
            const std::string who = read_small(descriptor);
            ::close(descriptor);
            if (error == EWOULDBLOCK) return who.empty() ? "another session" : who;
            lock_trouble_ = reason(error);
            return "";
        }
        // Whoever had it may have taken the name away between our two calls.
        struct stat ours {};
        struct stat named {};
        if (::fstat(descriptor, &ours) != 0 || ::stat(lock_path.c_str(), &named) != 0 || ours.st_ino != named.st_ino ||
            ours.st_dev != named.st_dev) {
            ::close(descriptor);
            continue;
        }
        const std::string who = fmt::format("process {} on {} since {}", ::getpid(), host_name(), context_.now());
        // A full disk cannot hold the name; the lock holds all the same.
        if (::ftruncate(descriptor, 0) == 0) {
            const ssize_t unused = ::pwrite(descriptor, who.data(), who.size(), 0);
            static_cast<void>(unused);
        }
        drop_lock();
        lock_ = descriptor;
        lock_path_ = lock_path;
        return "";
    }
    return "another session";
}

void CaseStore::drop_lock() {
    if (lock_ < 0) return;
    ::unlink(lock_path_.c_str());
    ::close(lock_);
    lock_ = -1;
}

void CaseStore::hold() {
    if (const std::string who = take_lock(path_); !who.empty())
        throw Stop(ExitCode::not_written,
                   fmt::format("{} is in use by {}; nothing was changed. End that session first, or give "
                               "another file.",
                               path_, who));
}

Case CaseStore::open(const Library& library) {
    hold();
    mark_ = mark_of(path_);
    existed_ = mark_.has_value();
    if (lock_ >= 0) sweep(real_path(path_));
    Case the_case;
    if (!existed_) {
        the_case.id = fs::path(path_).stem().string();
        return the_case;
    }
    Result<std::string> text = read_file(path_);
    if (!text) throw Stop(ExitCode::bad_input, text.diagnostics());
    Result<Case> read = read_case(*text, path_, library);
    if (!read) throw Stop(ExitCode::bad_input, read.diagnostics(), "the case was not opened");
    print_diagnostics(context_, read.diagnostics());
    return std::move(*read);
}

std::string CaseStore::save(const Case& the_case) {
    saved_ = false;
    if (lock_ < 0) {
        if (const std::string who = take_lock(path_); !who.empty())
            return fmt::format("{} is in use by {}", path_, who);
    }
    const std::optional<Mark> now = mark_of(path_);
    if (now && now != mark_)
        return fmt::format("{} was changed by somebody else meanwhile, and is left as it is", path_);
    if (const Diagnostics problems = write_file(path_, write_case(the_case)); !problems.empty())
        return sentence_of(problems);
    mark_ = mark_of(path_);
    saved_ = true;
    return "";
}

std::string CaseStore::move_to(const std::string& path, const Case& the_case) {
    if (mark_of(path)) return fmt::format("{} is there already; choose another name", path);
    const std::string old_path = std::exchange(path_, path);
    const std::optional<Mark> old_mark = std::exchange(mark_, std::nullopt);
    const int old_lock = std::exchange(lock_, -1);
    const std::string old_lock_path = lock_path_, old_trouble = lock_trouble_;
    const bool was_saved = saved_;
    std::string trouble = save(the_case);
    if (!trouble.empty()) {
        drop_lock();
        path_ = old_path;
        mark_ = old_mark;
        lock_ = old_lock;
        lock_path_ = old_lock_path;
        lock_trouble_ = old_trouble;
        saved_ = was_saved;
    } else if (old_lock >= 0) {
        ::unlink(old_lock_path.c_str());
        ::close(old_lock);
    }
    return trouble;
}

std::string CaseStore::rescue(const Case& the_case) {
    std::error_code error;
    const fs::path folder = fs::temp_directory_path(error);
    if (error) return "";
    const std::string stem = fs::path(path_).stem().string();
    const std::string path = (folder / fmt::format("{}-rescued-{}.json", stem, ::getpid())).string();
    return write_file(path, write_case(the_case)).empty() ? path : "";
}

std::string new_case_path(const std::string& now) {
    // 2031-04-17T09:12:00Z
    std::string stem = "case";
    if (now.size() >= 16) stem += "-" + now.substr(0, 10) + "-" + now.substr(11, 2) + now.substr(14, 2);
    std::error_code error;
    for (int number = 1;; ++number) {
        std::string path = number == 1 ? stem + ".json" : fmt::format("{}-{}.json", stem, number);
        if (!fs::exists(path, error) && !fs::exists(path + ".lock", error)) return path;
    }
}

}  // namespace frostread::cli
