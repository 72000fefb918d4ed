#pragma once

#include <cstdint>
#include <deque>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "cli/byte_source.hpp"
#include "cli/context.hpp"
#include "frostread/batch.hpp"

/// Files, folders, JSON Lines and standard input as one stream of cases.
namespace frostread::cli {

/// Lines of a stream, read in blocks; counts them. A line longer than the limit is cut and said to be.
class LineReader {
public:
    explicit LineReader(ByteSource& in) : in_(in) {}
    /// False at the end and on an error of the source; a line that an error cuts off is not given. `line` comes without
    /// its line break. `too_long`: the rest of it was skipped.
    bool next(std::string& line, bool& too_long);
    /// What next() would do now: give a line, wait for the rest of one, or find the end.
    enum class Ahead { line, wait, end };
    [[nodiscard]] Ahead ahead();
    /// Requires: ahead() said line. Nothing but blanks stands in it.
    [[nodiscard]] bool blank_ahead() const;
    [[nodiscard]] std::size_t number() const { return number_; }  ///< of the line given last, from 1
    [[nodiscard]] std::uint64_t bytes() const { return bytes_; }
    static constexpr std::size_t kLongest = std::size_t{16} << 20U;

private:
    bool fill();
    /// Takes the next `size` bytes of the block to the line, unless that makes it too long.
    void take(std::size_t size, std::string& line, bool& too_long);
    ByteSource& in_;
    std::vector<char> block_;
    std::size_t at_ = 0, end_ = 0, number_ = 0;
    std::string begun_;  ///< of a line whose end was not there yet
    bool begun_too_long_ = false, ended_ = false;
    std::uint64_t bytes_ = 0;
};

class BatchInput : public CaseSource {
public:
    /// Stops with bad_input when a named input does not exist or cannot be read. No input at all means "-".
    BatchInput(Context& context, const std::vector<std::string>& inputs);

    bool next(CaseText& item) override;
    bool ready() override;

    /// With --compare: the line of the earlier run with the same place goes along with each case.
    void pair_with(LineReader* old_lines) { old_lines_ = old_lines; }

    /// Inputs that could not be read, or not to their end; each has an error in the place of its cases.
    [[nodiscard]] std::size_t unreadable() const { return unreadable_; }
    /// Files in folders that are neither *.json nor *.jsonl.
    [[nodiscard]] std::size_t passed_over() const { return passed_over_; }

    [[nodiscard]] std::uint64_t bytes_read() const;
    /// Of all inputs together; none when that is not known (standard input, pipes).
    [[nodiscard]] std::optional<std::uint64_t> bytes_total() const { return total_; }

private:
    bool open_next();
    bool next_line(CaseText& item);
    void whole_file(CaseText& item);
    void start_lines();
    /// The source broke: an error in place of what could not be read.
    void break_off(CaseText& item);

    Context& context_;
    std::vector<std::string> paths_;  ///< folders already spread out
    std::size_t next_path_ = 0;
    std::deque<std::string> names_;  ///< stable addresses; messages point at them
    std::optional<ByteSource> source_;
    std::optional<LineReader> lines_;
    std::vector<std::pair<std::string, bool>> held_;  ///< lines read while finding out what the input is
    std::size_t held_at_ = 0;
    bool whole_ = false;  ///< the whole input is one document
    std::size_t unreadable_ = 0, passed_over_ = 0;
    std::string blank_;
    std::uint64_t bytes_done_ = 0;
    std::optional<std::uint64_t> total_;
    LineReader* old_lines_ = nullptr;
};

}  // namespace frostread::cli
