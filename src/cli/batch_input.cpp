#include "cli/batch_input.hpp"

#include <cerrno>
#include <cstring>
#include <filesystem>
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
    if (ended_) return false;
    if (block_.empty()) block_.resize(kBlock);
    at_ = 0;
    end_ = in_.read(block_.data(), block_.size());
    bytes_ += end_;
    ended_ = end_ == 0;
    return !ended_;
}

void LineReader::take(std::size_t size, std::string& line, bool& too_long) {
    if (line.size() + size > kLongest)
        too_long = true;
    else
        line.append(block_.data() + at_, size);
    at_ += size;
}

bool LineReader::next(std::string& line, bool& too_long) {
    line.clear();
    line.swap(begun_);
    too_long = std::exchange(begun_too_long_, false);
    bool any = !line.empty() || too_long;
    while (at_ < end_ || fill()) {
        any = true;
        const char* from = block_.data() + at_;
        const auto* stop = static_cast<const char*>(std::memchr(from, '\n', end_ - at_));
        take(stop != nullptr ? static_cast<std::size_t>(stop - from) : end_ - at_, line, too_long);
        if (stop == nullptr) continue;
        ++at_;
        ++number_;
        return true;
    }
    if (!any || in_.error() != 0) return false;
    ++number_;
    return true;
}

LineReader::Ahead LineReader::ahead() {
    while (at_ == end_ || std::memchr(block_.data() + at_, '\n', end_ - at_) == nullptr) {
        if (ended_) return begun_.empty() && !begun_too_long_ ? Ahead::end : Ahead::line;
        if (in_.would_wait()) return Ahead::wait;
        if (at_ < end_) take(end_ - at_, begun_, begun_too_long_);
        fill();
    }
    return Ahead::line;
}

bool LineReader::blank_ahead() const {
    if (begun_too_long_ || !trimmed(begun_).empty()) return false;
    const std::string_view rest(block_.data() + at_, end_ - at_);
    return trimmed(rest.substr(0, rest.find('\n'))).empty();
}

BatchInput::BatchInput(Context& context, const std::vector<std::string>& inputs) : context_(context) {
    std::uint64_t total = 0;
    bool known = true;
    for (const std::string& input : inputs.empty() ? std::vector<std::string>{"-"} : inputs) {
        if (const int error = is_folder(input) ? 0 : why_unreadable(context, input); error != 0) {
            const std::string what =
                error == ENOENT ? "there is no such file" : "cannot be read: " + system_words(error);
            throw Stop(ExitCode::bad_input, Diagnostics{trouble("cannot-read", input, 0, what)},
                       "nothing was diagnosed");
        }
        if (input == "-") {
            known = false;
            paths_.push_back(input);
            continue;
        }
        std::error_code error;
        const std::vector<std::string> files =
            is_folder(input) ? case_files_below(input, &passed_over_) : std::vector<std::string>{input};
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
void BatchInput::start_lines() {
    lines_.emplace(*source_);
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
        source_.emplace(context_);
        start_lines();
        return true;
    }
    source_.emplace(path);
    start_lines();
    const std::string kind = fs::path(path).extension().string();
    if (kind == ".json") whole_ = true;
    if (kind == ".jsonl" || kind == ".ndjson") whole_ = false;
    return true;
}

void BatchInput::whole_file(CaseText& item) {
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
    if (source_->error() != 0) break_off(item);
    whole_ = false;
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

void BatchInput::break_off(CaseText& item) {
    ++unreadable_;
    item.text.clear();
    item.line = lines_->number() + 1;
    const std::string reason = system_words(source_->error());
    item.trouble = lines_->bytes() == 0
                       ? trouble("cannot-read", *item.file, 0, "cannot be read: " + reason)
                       : trouble("cannot-read", *item.file, item.line, "cannot be read from here on: " + reason);
    bytes_done_ += lines_->bytes();
    lines_.reset();
}

bool BatchInput::next(CaseText& item) {
    item.trouble.reset();
    while (true) {
        if (lines_) {
            item.file = &names_.back();
            bool found = true;
            if (whole_)
                whole_file(item);
            else
                found = next_line(item);
            if (!found && source_->error() != 0) {
                break_off(item);
                found = true;
            }
            if (found) {
                bool cut = false;
                if (old_lines_ != nullptr && !old_lines_->next(item.old_result, cut)) item.old_result.clear();
                return true;
            }
        }
        if (!open_next()) return false;
    }
}

bool BatchInput::ready() {
    if (held_at_ < held_.size()) return true;
    while (lines_) {
        const LineReader::Ahead ahead = lines_->ahead();
        if (ahead == LineReader::Ahead::wait) return false;
        if (ahead == LineReader::Ahead::end) break;
        if (!lines_->blank_ahead()) return true;
        bool too_long = false;
        lines_->next(blank_, too_long);
    }
    // A pipe may have to be waited for as soon as it is opened.
    std::error_code error;
    return next_path_ == paths_.size() || fs::is_regular_file(paths_[next_path_], error);
}

}  // namespace frostread::cli
