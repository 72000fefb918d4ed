#include "cli/batch_old_results.hpp"

#include "cli/io.hpp"
#include "files/json_document.hpp"

namespace frostread::cli {

OldRun::OldRun(const std::string& path) : path_(path), file_(path, std::ios::binary), again_(path, std::ios::binary) {
    if (!file_ || is_folder(path)) {
        Diagnostic diagnostic;
        diagnostic.id = "cannot-read";
        diagnostic.place.file = path;
        diagnostic.what = "cannot open the earlier run";
        diagnostic.expected = "a file that frostread batch wrote";
        throw Stop(ExitCode::bad_input, Diagnostics{diagnostic}, "nothing was compared");
    }
    lines_.emplace(file_);
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

std::size_t OldRun::count_lines() const {
    std::ifstream file(path_, std::ios::binary);
    LineReader reader(file);
    std::string line;
    bool cut = false;
    std::size_t count = 0;
    while (reader.next(line, cut)) count += line.find_first_not_of(" \t\r") == std::string::npos ? 0U : 1U;
    return count;
}

}  // namespace frostread::cli
