#pragma once

#include <cstdint>
#include <fstream>
#include <mutex>
#include <optional>
#include <string>
#include <unordered_map>

#include "cli/batch_input.hpp"
#include "frostread/batch.hpp"

/// The earlier run of --compare. Read alongside the cases while both have the same order; only when a
/// case stands elsewhere is the whole file looked through, once, to know where each id begins.
namespace frostread::cli {

class OldRun : public OldResults {
public:
    /// Stops with bad_input when the file cannot be read again and again, or a line of it is no answer of a batch.
    OldRun(Context& context, const std::string& path);
    [[nodiscard]] LineReader& lines() { return *lines_; }
    [[nodiscard]] std::optional<std::string> find(const std::string& case_id) const override;
    [[nodiscard]] std::size_t count_lines() const { return count_; }

private:
    void check_lines();
    void index() const;
    std::string path_;
    std::size_t count_ = 0;
    std::optional<ByteSource> source_;
    std::optional<LineReader> lines_;
    mutable std::mutex mutex_;
    mutable std::ifstream again_;
    mutable std::optional<std::unordered_map<std::string, std::uint64_t>> places_;
};

}  // namespace frostread::cli
