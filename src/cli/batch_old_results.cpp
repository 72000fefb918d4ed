#include "cli/batch_old_results.hpp"

#include <filesystem>
#include <system_error>
#include <utility>

#include "files/json_document.hpp"
#include "frostread/version.hpp"

namespace frostread::cli {

namespace {

using json::Kind;

Diagnostic problem(const char* id, const std::string& path, std::size_t line, std::string what) {
    Diagnostic diagnostic;
    diagnostic.id = id;
    diagnostic.place.file = path;
    diagnostic.place.line = line;
    diagnostic.what = std::move(what);
    return diagnostic;
}

/// What is wrong with a line that should be a result or an error of frostread batch; "" when nothing is.
std::string wrong_with(const std::string& line) {
    json::Document document(line);
    Diagnostics ignored;
    if (!document.parse("", ignored)) return "this line is not JSON";
    if (!document.root().is(Kind::object)) return "this line is no JSON object";
    const auto format = document.root().find("frostread_result");
    if (format && format->is(Kind::number)) {
        if (format->number() > kResultFormat) return "this result is of a later format than this program reads";
        const auto faults = document.root().find("faults");
        return faults && faults->is(Kind::array) ? "" : "this result has no list of faults";
    }
    const auto error = document.root().find("error");
    if (error && error->is(Kind::object)) return "";
    return document.root().find("frostread") ? "this line is a case, not a result" : "this line is no result";
}

}  // namespace

OldRun::OldRun(Context& context, const std::string& path) : path_(path) {
    const auto stop = [](Diagnostic diagnostic) {
        throw Stop(ExitCode::bad_input, Diagnostics{std::move(diagnostic)}, "nothing was compared");
    };
    if (const int error = path == "-" ? 0 : why_unreadable(context, path); error != 0)
        stop(problem("cannot-read", path, 0, "cannot be read: " + system_words(error)));
    std::error_code ignored;
    if (!std::filesystem::is_regular_file(path, ignored)) {
        Diagnostic pipe = problem("cannot-read", path, 0,
                                  "a pipe can be read once only, and the earlier run is read "
                                  "several times");
        pipe.suggestion = "write it to a file first";
        stop(std::move(pipe));
    }
    check_lines();
    again_.open(path, std::ios::binary);
    source_.emplace(path);
    lines_.emplace(*source_);
}

/// The whole file before the first case: half a comparison would look like a whole one.
void OldRun::check_lines() {
    ByteSource source(path_);
    LineReader reader(source);
    std::string line;
    bool cut = false;
    const auto refuse = [&](std::size_t number, std::string what) {
        Diagnostic diagnostic = problem("no-earlier-run", path_, number, std::move(what));
        diagnostic.expected = "a file that frostread batch wrote, without --csv";
        throw Stop(ExitCode::bad_input, Diagnostics{diagnostic}, "nothing was compared");
    };
    while (reader.next(line, cut)) {
        if (!cut && line.find_first_not_of(" \t\r") == std::string::npos) continue;
        const std::string wrong = cut ? "this line is longer than 16 MB" : wrong_with(line);
        if (!wrong.empty()) refuse(reader.number(), wrong);
        ++count_;
    }
    if (source.error() != 0)
        throw Stop(ExitCode::bad_input,
                   Diagnostics{problem("cannot-read", path_, reader.number() + 1,
                                       "cannot be read from here on: " + system_words(source.error()))},
                   "nothing was compared");
    if (count_ == 0) refuse(0, "there is no result in this file");
}

void OldRun::index() const {
    places_.emplace();
    again_.clear();
    again_.seekg(0);
    std::string line;
    for (std::uint64_t at = 0; std::getline(again_, line); at += line.size() + 1) {
        json::Document document(line);
        Diagnostics ignored;
        if (!document.parse("", ignored) || !document.root().is(json::Kind::object)) continue;
        const auto id = document.root().find("case");
        if (id && id->is(json::Kind::string)) places_->emplace(std::string(id->string()), at);
    }
}

std::optional<std::string> OldRun::find(const std::string& case_id) const {
    const std::lock_guard lock(mutex_);
    if (!places_) index();
    const auto place = places_->find(case_id);
    if (place == places_->end()) return std::nullopt;
    again_.clear();
    again_.seekg(static_cast<std::streamoff>(place->second));
    std::string line;
    std::getline(again_, line);
    return line;
}

}  // namespace frostread::cli
