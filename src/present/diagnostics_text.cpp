#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "present/writers.hpp"

namespace frostread {

namespace {

using present::Ink;

std::string_view severity_word(Severity severity) {
    switch (severity) {
        case Severity::note:
            return "note";
        case Severity::warning:
            return "warning";
        case Severity::error:
            return "error";
    }
    return "error";
}

/// "demo/bad.json:9:21: ", "demo/bad.json: ", or "" for the command line.
std::string place_words(const Place& place) {
    std::string file = place.file == "-" ? "standard input" : place.file;
    if (file.empty()) {
        return "";
    }
    if (place.line > 0) {
        file += fmt::format(":{}", place.line);
        if (place.column > 0) {
            file += fmt::format(":{}", place.column);
        }
    } else if (!place.pointer.empty()) {
        file += fmt::format(" at {}", place.pointer);
    }
    return file + ": ";
}

/// The source line with a caret under the column, cut to a window that holds the column.
std::string caret_display(const Diagnostic& diagnostic, std::size_t width) {
    const std::string& line = diagnostic.place.source_line;
    if (line.empty()) {
        return "";
    }
    // A column is a character, not a byte.
    std::size_t at = 0;
    for (std::size_t column = 1; column < diagnostic.place.column && at < line.size(); ++column) {
        ++at;
        while (at < line.size() && (static_cast<unsigned char>(line[at]) & 0xC0U) == 0x80U) {
            ++at;
        }
    }
    std::string before = line.substr(0, at);
    std::string after = line.substr(at);
    for (char& letter : before) {
        letter = letter == '\t' ? ' ' : letter;
    }
    if (before.find_first_not_of(' ') == std::string::npos) {
        before.clear();
    } else {
        before.erase(0, before.find_first_not_of(' '));
    }
    const std::size_t room = width > 12 ? width - 2 : 10;
    while (present::display_width(before) > room / 2) {
        // Drop whole characters from the left until the column is in view.
        std::size_t bytes = 1;
        while (bytes < before.size() && (static_cast<unsigned char>(before[bytes]) & 0xC0U) == 0x80U) {
            ++bytes;
        }
        before.erase(0, bytes);
    }
    const std::string shown = present::cut(before + after, room);
    return fmt::format("  {}\n  {}^", shown, std::string(present::display_width(before), ' '));
}

/// A single name becomes a question; a sentence stays as it is.
std::string hint_words(const std::string& suggestion) {
    if (suggestion.empty() || suggestion.find(' ') != std::string::npos) {
        return suggestion;
    }
    return fmt::format("did you mean {}?", suggestion);
}

std::string one(const Diagnostic& diagnostic, const TextStyle& style) {
    const Ink ink = diagnostic.severity == Severity::error ? Ink::caution : Ink::bold;
    std::string sentence = place_words(diagnostic.place) + "\x01" + std::string(severity_word(diagnostic.severity)) +
                           ":\x02 " + diagnostic.what;
    if (!diagnostic.expected.empty()) {
        sentence += "; expected " + diagnostic.expected;
    }
    if (!diagnostic.id.empty()) {
        sentence += fmt::format(" [{}]", diagnostic.id);
    }
    // Colour goes in last, so that the marks do not change where lines break.
    const std::size_t from = sentence.find('\x01');
    const std::size_t to = sentence.find('\x02');
    sentence = sentence.substr(0, from) + present::inked(sentence.substr(from + 1, to - from - 1), ink, style) +
               sentence.substr(to + 1);
    std::string out = present::wrapped(sentence, style.width, "", "    ");

    const std::string hint = hint_words(diagnostic.suggestion);
    const std::string caret = caret_display(diagnostic, style.width);
    if (!caret.empty()) {
        out += caret;
        const std::size_t used = present::display_width(caret.substr(caret.rfind('\n') + 1));
        if (!hint.empty() && used + 1 + present::display_width(hint) > style.width) {
            out += "\n" + present::wrapped(hint, style.width, "    ", "    ");
        } else {
            out += (hint.empty() ? "" : " " + hint) + "\n";
        }
    } else if (!hint.empty()) {
        out += present::wrapped(hint, style.width, "    ", "    ");
    }
    return out;
}

}  // namespace

std::string to_text(const Diagnostics& diagnostics, const TextStyle& style) {
    std::string out;
    for (const Diagnostic& diagnostic : diagnostics) {
        out += one(diagnostic, style);
    }
    return out;
}

std::string to_json(const Diagnostics& diagnostics, int indent) {
    auto list = nlohmann::ordered_json::array();
    for (const Diagnostic& diagnostic : diagnostics) {
        nlohmann::ordered_json entry;
        entry["severity"] = severity_word(diagnostic.severity);
        entry["id"] = diagnostic.id;
        entry["file"] = diagnostic.place.file;
        entry["pointer"] = diagnostic.place.pointer;
        entry["line"] = diagnostic.place.line;
        entry["column"] = diagnostic.place.column;
        entry["what"] = diagnostic.what;
        entry["expected"] = diagnostic.expected;
        entry["suggestion"] = diagnostic.suggestion;
        list.push_back(std::move(entry));
    }
    return list.dump(indent, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + (indent < 0 ? "" : "\n");
}

}  // namespace frostread
