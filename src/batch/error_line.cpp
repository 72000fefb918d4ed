#include <fmt/format.h>

#include "batch/case_runner.hpp"
#include "files/json_document.hpp"

namespace frostread::batch {

std::string where_words(const Diagnostic& problem) {
    std::string where = problem.place.file;
    if (problem.place.line > 0) where += fmt::format(":{}", problem.place.line);
    if (problem.place.line > 0 && problem.place.column > 0) where += fmt::format(":{}", problem.place.column);
    return where;
}

std::string what_words(const Diagnostic& problem) {
    std::string what = problem.what;
    if (!problem.expected.empty()) what += fmt::format("; expected {}", problem.expected);
    if (!problem.suggestion.empty()) {
        const bool is_name = problem.suggestion.find(' ') == std::string::npos;
        what += is_name ? fmt::format("; did you mean {}?", problem.suggestion) : "; " + problem.suggestion;
    }
    return what;
}

std::string error_line(const std::optional<std::string>& case_id, const Diagnostics& problems) {
    std::string out = "{\"case\":";
    if (case_id)
        json::append_string(out, *case_id);
    else
        out += "null";
    const auto member = [&](const char* key, const std::string& text) {
        out += key;
        json::append_string(out, text);
    };
    Diagnostic first;
    std::string what;
    for (const Diagnostic& problem : problems) {
        if (problem.severity != Severity::error) continue;
        if (what.empty())
            first = problem;
        else
            what += fmt::format(" | {}: ", where_words(problem));
        what += what_words(problem);
    }
    member(",\"error\":{\"where\":", where_words(first));
    member(",\"what\":", what);
    member(",\"id\":", first.id);
    member(",\"pointer\":", first.place.pointer);
    return out + "}}";
}

std::optional<std::string> id_of_bad_case(const std::string& text) {
    json::Document document(text);
    Diagnostics ignored;
    if (text.empty() || !document.parse("", ignored) || !document.root().is(json::Kind::object)) return std::nullopt;
    const auto member = document.root().find("case");
    if (!member || !member->is(json::Kind::string) || member->string().empty()) return std::nullopt;
    return std::string(member->string());
}

}  // namespace frostread::batch
