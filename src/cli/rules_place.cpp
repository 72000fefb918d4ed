#include "cli/rules_place.hpp"

#include <string>

#include "base/text.hpp"

namespace frostread::cli {

namespace {

/// Offset of `"id": "name"` in a rule file, however it is spaced; npos when it is not there.
std::size_t find_entry(std::string_view file, std::string_view name) {
    const std::string quoted = "\"" + std::string(name) + "\"";
    for (std::size_t at = file.find(quoted); at != std::string_view::npos; at = file.find(quoted, at + 1)) {
        std::size_t before = file.find_last_not_of(" \t\r\n", at == 0 ? 0 : at - 1);
        if (before == std::string_view::npos || file[before] != ':') {
            continue;
        }
        before = file.find_last_not_of(" \t\r\n", before - 1);
        if (before != std::string_view::npos && before >= 3 && file.substr(before - 3, 4) == "\"id\"") {
            return at;
        }
    }
    return std::string_view::npos;
}

bool may_hold(std::string_view file, std::string_view kind) {
    if (kind == "fault") {
        return file.starts_with("faults/");
    }
    if (kind == "check") {
        return file.starts_with("checks/");
    }
    return !file.starts_with("faults/") && !file.starts_with("checks/") && !file.starts_with("schema/");
}

}  // namespace

void find_places(Diagnostics& diagnostics, const LibrarySources& sources) {
    for (Diagnostic& diagnostic : diagnostics) {
        const std::string entry = diagnostic.place.pointer;
        const std::size_t colon = entry.find(':');
        if (colon == std::string::npos || entry.starts_with('/')) {
            continue;
        }
        for (const SourceText& source : sources.files) {
            if (!may_hold(source.name, std::string_view(entry).substr(0, colon))) {
                continue;
            }
            const std::size_t at = find_entry(source.text, std::string_view(entry).substr(colon + 1));
            if (at == std::string_view::npos) {
                continue;
            }
            const text::Position position = text::position_at(source.text, at);
            diagnostic.place.file = sources.prefix + source.name;
            diagnostic.place.line = position.line;
            diagnostic.place.column = position.column;
            break;
        }
    }
}

}  // namespace frostread::cli
