#include "cli/batch_input.hpp"

#include <cstring>
#include <filesystem>
#include <istream>
#include <system_error>
#include <utility>

#include "cli/io.hpp"

namespace frostread::cli {

namespace {

namespace fs = std::filesystem;

constexpr std::size_t kBlock = std::size_t{1} << 18U;

std::string_view trimmed(std::string_view line) {
    constexpr std::string_view kBlank = " \t\r\n";
    const std::size_t first = line.find_first_not_of(kBlank);
    if (first == std::string_view::npos) return {};
    return line.substr(first, line.find_last_not_of(kBlank) - first + 1);
}

Diagnostic trouble(const std::string& id, const std::string& file, std::size_t line, std::string what,
                   std::string expected = "") {
    Diagnostic diagnostic;
    diagnostic.id = id;
    diagnostic.place.file = file;
    diagnostic.place.line = line;
    diagnostic.what = std::move(what);
    diagnostic.expected = std::move(expected);
    return diagnostic;
}

}  // namespace

bool LineReader::fill() {
    if (block_.empty()) block_.resize(kBlock);
    in_.read(block_.data(), static_cast<std::streamsize>(block_.size()));
    at_ = 0;
    end_ = static_cast<std::size_t>(in_.gcount());
    bytes_ += end_;
    return end_ > 0;
}

bool LineReader::next(std::string& line, bool& too_long) {
    line.clear();
    too_long = false;
    bool any = false;
    while (at_ < end_ || fill()) {
        any = true;
        const char* from = block_.data() + at_;
        const auto* stop = static_cast<const char*>(std::memchr(from, '\n', end_ - at_));
        const std::size_t size = stop != nullptr ? static_cast<std::size_t>(stop - from) : end_ - at_;
        if (line.size() + size > kLongest)
            too_long = true;
        else
            line.append(from, size);
        at_ += size + (stop != nullptr ? 1 : 0);
        if (stop != nullptr) break;
    }
    if (any) ++number_;
    return any;
}

BatchInput::BatchInput(Context& context, const std::vector<std::string>& inputs) : context_(context) {
    std::uint64_t total = 0;
    bool known = true;
    for (const std::string& input : inputs.empty() ? std::vector<std::string>{"-"} : inputs) {
        if (input == "-") {
            known = false;
            paths_.push_back(input);
            continue;
        }
        std::error_code error;
        if (!fs::exists(input, error)) {
            throw Stop(ExitCode::bad_input, Diagnostics{trouble("cannot-read", input, 0, "there is no such file")},
                       "nothing was diagnosed");
        }
        const std::vector<std::string> files =
            is_folder(input) ? case_files_below(input) : std::vector<std::string>{input};
        for (const std::string& file : files) {
            const std::uintmax_t size = fs::file_size(file, error);
            known = known && !error;
            total += error ? 0 : size;
            paths_.push_back(file);
        }
    }
    if (known) total_ = total;
}

std::uint64_t BatchInput::bytes_read() const {
    return bytes_done_ + (lines_ ? lines_->bytes() : 0);
}

/// JSON Lines or one document? The first line that is not blank decides: a line that ends in a brace is
/// a case of its own; else the second decides, so that one broken line does not swallow the rest.
void BatchInput::start_lines(std::istream& in) {
    lines_.emplace(in);
    held_.clear();
    held_at_ = 0;
    whole_ = false;
    std::string line;
    bool too_long = false;
    std::vector<std::string_view> seen;
    while (seen.size() < 2 && lines_->next(line, too_long)) {
        held_.emplace_back(line, too_long);
        const std::string_view text = trimmed(line);
        if (text.empty()) continue;
        seen.push_back(text.substr(text.starts_with("\xEF\xBB\xBF") ? 3 : 0, 1));
        if (text.back() == '}' || too_long) return;
        if (seen.size() == 2) whole_ = text.front() != '{';
    }
}

bool BatchInput::open_next() {
    if (lines_) bytes_done_ += lines_->bytes();
    lines_.reset();
    if (next_path_ == paths_.size()) return false;
    names_.push_back(paths_[next_path_++]);
    const std::string& path = names_.back();
    if (path == "-") {
        if (context_.in_is_terminal) {
            context_.err << "reading cases from the keyboard, one on each line; end with Ctrl-D\n";
        }
        start_lines(context_.in);
        return true;
    }
    file_ = std::ifstream(path, std::ios::binary);
    start_lines(file_);
    const std::string kind = fs::path(path).extension().string();
    if (kind == ".json") whole_ = true;
    if (kind == ".jsonl" || kind == ".ndjson") whole_ = false;
    return true;
}

bool BatchInput::whole_file(CaseText& item) {
    item.line = 1;
    item.text.clear();
    bool too_long = false;
    std::string line;
    const auto append = [&](const std::string& text, bool cut) {
        too_long = too_long || cut || item.text.size() + text.size() > LineReader::kLongest;
        if (!too_long) item.text.append(text).append(1, '\n');
    };
    for (const auto& [text, cut] : held_) append(text, cut);
    held_.clear();
    bool cut = false;
    while (lines_->next(line, cut)) append(line, cut);
    if (too_long) {
        item.text.clear();
        item.trouble = trouble("too-long", *item.file, 0, "this case is larger than 16 MB", "a case of one unit");
    }
    whole_ = false;
    return true;
}

bool BatchInput::next_line(CaseText& item) {
    bool too_long = false;
    while (true) {
        if (held_at_ < held_.size()) {
            item.text = std::move(held_[held_at_].first);
            too_long = held_[held_at_].second;
            item.line = ++held_at_;
        } else if (lines_->next(item.text, too_long)) {
            item.line = lines_->number();
        } else {
            return false;
        }
        if (too_long) {
            item.text.clear();
            item.trouble =
                trouble("too-long", *item.file, item.line, "this line is longer than 16 MB", "one case on each line");
            return true;
        }
        if (!trimmed(item.text).empty()) return true;
    }
}

bool BatchInput::next(CaseText& item) {
    item.trouble.reset();
    while (true) {
        if (lines_) {
            item.file = &names_.back();
            const bool unreadable = names_.back() != "-" && !file_.is_open();
            bool found = false;
            if (unreadable) {
                item.text.clear();
                item.line = 1;
                item.trouble = trouble("cannot-read", *item.file, 0, "cannot open this file");
                held_.clear();
                found = true;
            } else {
                found = whole_ ? whole_file(item) : next_line(item);
            }
            if (found) {
                if (unreadable) lines_.reset();
                bool cut = false;
                if (old_lines_ != nullptr && !old_lines_->next(item.old_result, cut)) item.old_result.clear();
                return true;
            }
        }
        if (!open_next()) return false;
    }
}

}  // namespace frostread::cli
