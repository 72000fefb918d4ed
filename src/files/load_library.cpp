#include <fmt/format.h>

#include <algorithm>
#include <deque>
#include <memory>

#include "files/library_draft.hpp"
#include "frostread/files.hpp"

namespace frostread {

namespace {

enum class FileKind { library, cautions, checks, faults, schema, unknown };

FileKind kind_of(std::string_view name) {
    if (name == "library.json") return FileKind::library;
    if (name == "cautions.json") return FileKind::cautions;
    if (name.starts_with("schema/")) return FileKind::schema;
    if (name.starts_with("checks/")) return FileKind::checks;
    if (name.starts_with("faults/")) return FileKind::faults;
    return FileKind::unknown;
}

/// One file of the library with all that is said about it. Values point into it, so it stays where it is.
struct LoadedFile {
    LoadedFile(std::string name, std::string_view content, FileKind file_kind)
        : kind(file_kind), problems(std::move(name)), document(content) {}
    FileKind kind;
    json::Problems problems;
    json::Document document;
    bool parsed = false;
};

Diagnostic about_file(std::string file, std::string id, std::string what, std::string expected) {
    Diagnostic diagnostic;
    diagnostic.id = std::move(id);
    diagnostic.place.file = std::move(file);
    diagnostic.what = std::move(what);
    diagnostic.expected = std::move(expected);
    return diagnostic;
}

void mark_incomplete(LibraryDraft& draft, FileKind kind) {
    const auto mark = [&](std::initializer_list<Thing> things) {
        for (const Thing thing : things) draft.mark_incomplete(thing);
    };
    switch (kind) {
        case FileKind::library:
            mark({Thing::system, Thing::trait, Thing::area, Thing::condition});
            break;
        case FileKind::cautions:
            mark({Thing::caution});
            break;
        case FileKind::checks:
            mark({Thing::check, Thing::place});
            break;
        case FileKind::faults:
            mark({Thing::fault, Thing::remedy});
            break;
        case FileKind::schema:
        case FileKind::unknown:
            mark({Thing::system, Thing::trait, Thing::area, Thing::condition, Thing::caution, Thing::check,
                  Thing::place, Thing::fault, Thing::remedy});
            break;
    }
}

class LibraryLoad {
public:
    explicit LibraryLoad(std::string_view prefix) : prefix_(prefix) {}

    void open(std::string_view file, std::string_view text) {
        const FileKind kind = kind_of(file);
        if (kind == FileKind::schema) return;
        const std::string name = prefix_ + std::string(file);
        if (kind == FileKind::unknown) {
            diagnostics_.push_back(about_file(name, "unknown-file", "this file has no place in a library",
                                              "library.json, cautions.json, checks/*.json or faults/*.json"));
            return;
        }
        parse(files_.emplace_back(name, text, kind));
    }

    void open_overlay(const SourceText& source) {
        parse(overlays_.emplace_back(source.name, source.text, FileKind::unknown));
    }

    Result<Library> run() {
        for (LoadedFile& overlay : overlays_) {
            if (overlay.parsed) register_overlay(draft_, overlay.document.root(), overlay.problems);
        }
        if (!each(FileKind::library, read_library_file)) {
            mark_incomplete(draft_, FileKind::library);
            diagnostics_.push_back(about_file(prefix_ + "library.json", "missing-file",
                                              "the library has no library.json",
                                              "a file with its name, prior figures and traits"));
        }
        for (LoadedFile& overlay : overlays_) {
            if (overlay.parsed) read_overlay_figures(draft_, overlay.document.root(), overlay.problems);
        }
        if (!each(FileKind::cautions, read_cautions_file)) read_new_cautions(draft_);
        each(FileKind::checks, read_checks_file);
        read_new_checks(draft_);
        each(FileKind::faults, read_faults_file);
        read_new_faults(draft_);
        validate_library(draft_);
        demand_something();
        for (auto* files : {&files_, &overlays_}) {
            for (LoadedFile& file : *files) append(diagnostics_, file.problems.take());
        }
        if (has_errors(diagnostics_)) {
            sort_by_place(diagnostics_);
            return std::move(diagnostics_);
        }
        return {std::move(draft_.library), std::move(diagnostics_)};
    }

private:
    void parse(LoadedFile& file) {
        file.problems.set_document(file.document);
        file.parsed = file.document.parse(file.problems.file_name(), diagnostics_);
        if (!file.parsed) mark_incomplete(draft_, file.kind);
    }

    /// False: there is no such file at all.
    bool each(FileKind kind, void (*read)(LibraryDraft&, const json::Value&, json::Problems&)) {
        bool any = false;
        for (LoadedFile& file : files_) {
            if (file.kind != kind) continue;
            any = true;
            if (file.parsed) read(draft_, file.document.root(), file.problems);
        }
        return any;
    }

    void demand_something() {
        const bool all_read = draft_.is_complete(Thing::check) && draft_.is_complete(Thing::fault);
        if (!all_read || (!draft_.library.checks.empty() && !draft_.library.faults.empty())) return;
        diagnostics_.push_back(about_file(prefix_ + "library.json", "empty-library",
                                          fmt::format("the library has {} checks and {} faults",
                                                      draft_.library.checks.size(), draft_.library.faults.size()),
                                          "at least one of each, in checks/ and faults/"));
    }

    std::string prefix_;
    LibraryDraft draft_;
    std::deque<LoadedFile> files_;
    std::deque<LoadedFile> overlays_;
    Diagnostics diagnostics_;
};

}  // namespace

const std::vector<SourceText>& embedded_library_sources() {
    static const std::vector<SourceText> sources = [] {
        std::vector<SourceText> copies;
        for (const EmbeddedText& file : embedded_texts())
            copies.push_back({std::string(file.name), std::string(file.text)});
        return copies;
    }();
    return sources;
}

Result<Library> load_embedded_library() {
    LibraryLoad load("rules/");
    for (const EmbeddedText& file : embedded_texts()) load.open(file.name, file.text);
    return load.run();
}

Result<Library> load_library(const std::vector<SourceText>& sources, std::string_view display_prefix) {
    return apply_overlays(sources, {}, display_prefix);
}

Result<Library> apply_overlay(const std::vector<SourceText>& base, const SourceText& overlay,
                              std::string_view display_prefix) {
    return apply_overlays(base, {overlay}, display_prefix);
}

Result<Library> apply_overlays(const std::vector<SourceText>& base, const std::vector<SourceText>& overlays,
                               std::string_view display_prefix) {
    LibraryLoad load(display_prefix);
    for (const SourceText& source : base) load.open(source.name, source.text);
    for (const SourceText& overlay : overlays) load.open_overlay(overlay);
    return load.run();
}

}  // namespace frostread
