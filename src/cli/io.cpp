#include "cli/io.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <ostream>
#include <system_error>

#include "cli/byte_source.hpp"

namespace frostread::cli {

namespace {

namespace fs = std::filesystem;

Diagnostic problem(const char* id, const std::string& file, std::string what, std::string cure = "") {
    Diagnostic diagnostic;
    diagnostic.id = id;
    diagnostic.place.file = file;
    diagnostic.what = std::move(what);
    diagnostic.suggestion = std::move(cure);
    return diagnostic;
}

/// Writes all bytes; 0 or the system's error number.
int write_all(int descriptor, std::string_view text) {
    while (!text.empty()) {
        const ssize_t written = ::write(descriptor, text.data(), text.size());
        if (written < 0) {
            if (errno == EINTR) {
                continue;
            }
            return errno;
        }
        text.remove_prefix(static_cast<std::size_t>(written));
    }
    return 0;
}

/// A new file with the text, flushed to the disk; 0 or the system's error number.
int write_new(const std::string& path, std::string_view text, mode_t mode) {
    const int descriptor = ::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, mode);
    if (descriptor < 0) {
        return errno;
    }
    int error = write_all(descriptor, text);
    if (error == 0 && ::fsync(descriptor) != 0) {
        error = errno;
    }
    if (::close(descriptor) != 0 && error == 0) {
        error = errno;
    }
    return error;
}

/// The rename itself survives a crash only once the folder is flushed; not every file system can.
void flush_folder(const std::string& path) {
    const std::string folder = fs::path(path).parent_path().string();
    const int descriptor = ::open(folder.empty() ? "." : folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (descriptor >= 0) {
        ::fsync(descriptor);
        ::close(descriptor);
    }
}

/// Rules of a folder: every *.json below it, but the schemas, with names relative to it.
std::vector<SourceText> sources_below(const std::string& folder) {
    std::error_code error;
    std::vector<std::string> names;
    for (fs::recursive_directory_iterator it(folder, error), end; !error && it != end; it.increment(error)) {
        if (it->is_regular_file(error) && it->path().extension() == ".json") {
            names.push_back(it->path().lexically_relative(folder).generic_string());
        }
    }
    if (error) {
        throw Stop(ExitCode::bad_library,
                   Diagnostics{problem("cannot-read", folder, "cannot list the folder: " + error.message())});
    }
    if (names.empty()) {
        throw Stop(ExitCode::bad_library,
                   Diagnostics{problem("no-rules", folder, "no rule files here",
                                       "the folder holds library.json, checks/, faults/ and cautions.json")});
    }
    std::sort(names.begin(), names.end());
    std::vector<SourceText> sources;
    for (const std::string& name : names) {
        Result<std::string> text = read_file((fs::path(folder) / name).string());
        if (!text) {
            throw Stop(ExitCode::bad_library, text.diagnostics());
        }
        sources.push_back({name, std::move(*text)});
    }
    return sources;
}

}  // namespace

Result<std::string> read_file(const std::string& path) {
    if (is_folder(path)) {
        return problem("cannot-read", path, "is a folder, not a file");
    }
    ByteSource file(path);
    if (file.error() != 0) {
        return problem("cannot-read", path, "cannot open: " + system_words(file.error()));
    }
    std::string text = read_all(file);
    if (file.error() != 0) {
        return problem("cannot-read", path, "cannot read: " + system_words(file.error()));
    }
    return text;
}

std::string read_input(Context& context, const std::string& path) {
    if (path == "-") {
        if (context.in_is_terminal) {
            context.err << "reading a case from the keyboard; end it with Ctrl-D on a line of its own\n";
        }
        ByteSource source(context);
        std::string text = read_all(source);
        if (source.error() != 0) {
            throw Stop(ExitCode::bad_input,
                       Diagnostics{problem("cannot-read", path, "cannot read: " + system_words(source.error()))});
        }
        return text;
    }
    Result<std::string> text = read_file(path);
    if (!text) {
        throw Stop(ExitCode::bad_input, text.diagnostics());
    }
    return std::move(*text);
}

Diagnostics write_file(const std::string& path, std::string_view text) {
    // A link is followed, so that the file behind it is replaced and not the link.
    std::error_code ignored;
    const fs::path real = fs::weakly_canonical(path, ignored);
    const std::string target = ignored || real.empty() ? path : real.string();
    const std::string beside = target + ".new-" + std::to_string(::getpid());

    struct stat old {};
    const bool exists = ::stat(target.c_str(), &old) == 0;
    if (exists && S_ISDIR(old.st_mode)) {
        return {problem("cannot-write", path, "is a folder")};
    }
    if (exists && !S_ISREG(old.st_mode)) {
        // A pipe or a device cannot be replaced; it is written to.
        std::ofstream device(target, std::ios::binary);
        device << text << std::flush;
        return device ? Diagnostics{}
                      : Diagnostics{problem("cannot-write", path, "cannot write: " + system_words(errno))};
    }
    ::unlink(beside.c_str());
    int error = write_new(beside, text, exists ? old.st_mode & 07777U : 0666U);
    if (error == 0 && ::rename(beside.c_str(), target.c_str()) != 0) {
        error = errno;
    }
    if (error != 0) {
        ::unlink(beside.c_str());
        return {problem("cannot-write", path, "cannot write: " + system_words(error),
                        exists ? "the old file is untouched" : "nothing was written")};
    }
    flush_folder(target);
    return {};
}

void write_output(const std::string& path, std::string_view text) {
    if (Diagnostics problems = write_file(path, text); !problems.empty()) {
        throw Stop(ExitCode::not_written, std::move(problems));
    }
}

bool is_folder(const std::string& path) {
    std::error_code error;
    return fs::is_directory(path, error);
}

std::vector<std::string> case_files_below(const std::string& folder, std::size_t* passed_over) {
    std::error_code error;
    std::vector<std::string> paths;
    for (fs::recursive_directory_iterator it(folder, error), end; !error && it != end; it.increment(error)) {
        const std::string kind = it->path().extension().string();
        if (!it->is_regular_file(error)) {
            continue;
        }
        if (kind == ".json" || kind == ".jsonl") {
            paths.push_back(it->path().string());
        } else if (passed_over != nullptr) {
            ++*passed_over;
        }
    }
    if (error) {
        throw Stop(ExitCode::bad_input,
                   Diagnostics{problem("cannot-read", folder, "cannot list the folder: " + error.message())});
    }
    std::sort(paths.begin(), paths.end());
    return paths;
}

LibrarySources library_sources(const LibraryChoice& choice) {
    if (choice.folder.empty()) {
        return {embedded_library_sources(), "rules/"};
    }
    if (!is_folder(choice.folder)) {
        throw Stop(ExitCode::bad_library,
                   Diagnostics{problem("cannot-read", choice.folder, "is not a folder with rules")});
    }
    std::string prefix = choice.folder;
    if (!prefix.ends_with('/')) {
        prefix += '/';
    }
    return {sources_below(choice.folder), prefix};
}

Result<Library> read_chosen_library(const LibraryChoice& choice) {
    if (choice.folder.empty() && choice.extra.empty()) {
        return load_embedded_library();
    }
    const LibrarySources sources = library_sources(choice);
    Result<Library> library = load_library(sources.files, sources.prefix);
    if (library && !choice.extra.empty()) {
        Result<std::string> extra = read_file(choice.extra);
        if (!extra) {
            throw Stop(ExitCode::bad_library, extra.diagnostics());
        }
        library = apply_overlay(sources.files, {choice.extra, std::move(*extra)});
    }
    return library;
}

Library load_chosen_library(Context& context, const LibraryChoice& choice) {
    Result<Library> library = read_chosen_library(choice);
    if (!library) {
        throw Stop(ExitCode::bad_library, std::move(library.diagnostics()), "the rule library was not loaded");
    }
    print_diagnostics(context, library.diagnostics());
    return std::move(*library);
}

}  // namespace frostread::cli
