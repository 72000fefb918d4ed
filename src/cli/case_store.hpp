#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "cli/context.hpp"
#include "frostread/case.hpp"
#include "frostread/library.hpp"

/// The file of a session's case. The whole case is written anew after every line that was accepted:
/// beside the old file, flushed, renamed over it. A case is a few kilobytes, so this costs no more than
/// a journal would, and there is never a second file to be merged: whatever happens, CASE alone is the
/// old or the new case, whole, and any other program can read it at any time.
///
/// While a session has a case, a file CASE.lock beside it is locked and says who has it. The system
/// lets go of the lock when the process ends, however it ends.
namespace frostread::cli {

class CaseStore {
public:
    /// Nothing is opened yet. `path` may name a file that does not exist.
    CaseStore(std::string path, Context& context);
    CaseStore(const CaseStore&) = delete;
    CaseStore& operator=(const CaseStore&) = delete;
    ~CaseStore();

    /// Takes the lock and reads the case; a missing file gives an empty case named after the file.
    /// Stops when somebody else has it (not_written) or when it is not a case (bad_input).
    [[nodiscard]] Case open(const Library& library);

    /// Takes the lock alone, for a command that reads and writes the case by itself; open() does it too.
    /// Stops as open() does.
    void hold();

    /// Writes the case and flushes it to the disk. Empty when it went well, else one sentence.
    [[nodiscard]] std::string save(const Case& the_case);

    /// Goes on in another file, which must not exist yet; the old file stays as it was last written.
    /// Empty when it went well, else one sentence, and nothing has changed.
    [[nodiscard]] std::string move_to(const std::string& path, const Case& the_case);

    /// A last resort when nobody can answer any more: the case goes into the folder for temporary files.
    /// The path, or "" when even that failed.
    [[nodiscard]] std::string rescue(const Case& the_case);

    [[nodiscard]] const std::string& path() const { return path_; }
    [[nodiscard]] bool saved() const { return saved_; }      ///< everything accepted is on disk
    [[nodiscard]] bool existed() const { return existed_; }  ///< the file was there when it was opened
    /// Why nothing can be locked (and most likely not written) here; may be empty.
    [[nodiscard]] const std::string& lock_trouble() const { return lock_trouble_; }

private:
    struct Mark {
        std::uint64_t device = 0, inode = 0, size = 0;
        std::int64_t seconds = 0, nanoseconds = 0;
        friend bool operator==(const Mark&, const Mark&) = default;
    };
    [[nodiscard]] static std::optional<Mark> mark_of(const std::string& path);
    /// Empty when taken; else who has it. Other troubles go to lock_trouble_.
    [[nodiscard]] std::string take_lock(const std::string& path);
    void drop_lock();

    std::string path_;
    Context& context_;
    int lock_ = -1;
    std::string lock_path_;
    std::string lock_trouble_;
    std::optional<Mark> mark_;  ///< of the file as this session last saw it
    bool saved_ = true;
    bool existed_ = false;
};

/// "case-2031-04-17-0912.json", or the first of that kind with -2, -3 … that is not there yet.
[[nodiscard]] std::string new_case_path(const std::string& now);

}  // namespace frostread::cli
