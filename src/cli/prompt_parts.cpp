#include <fmt/format.h>

#include <algorithm>

#include "base/text.hpp"
#include "cli/prompt_words.hpp"

/// A typed line cut into its parts, and what is wrong with one of them in a sentence.
namespace frostread::cli {

std::vector<std::string> split_traits(std::string_view typed) {
    std::vector<std::string> parts;
    std::string part;
    const auto finish = [&] {
        if (const std::string_view trimmed = text::trim(part); !trimmed.empty()) parts.emplace_back(trimmed);
        part.clear();
    };
    std::size_t at = 0;
    while (at < typed.size()) {
        const std::size_t end = std::min(typed.find_first_of(",; \t", at), typed.size());
        const std::string_view word = typed.substr(at, end - at);
        // A blank may stand on either side of "=": only a word that brings its own begins a new part.
        if (const std::size_t equals = word.find('='); equals != std::string_view::npos && equals > 0) finish();
        part.append(part.empty() ? "" : " ").append(word);
        if (end < typed.size() && (typed[end] == ',' || typed[end] == ';')) finish();
        at = end + 1;
    }
    finish();
    return parts;
}

std::string in_one_sentence(const Diagnostic& diagnostic) {
    std::string out = diagnostic.what;
    if (!diagnostic.expected.empty()) out += fmt::format("; expected {}", diagnostic.expected);
    if (!diagnostic.suggestion.empty())
        out += diagnostic.suggestion.find(' ') == std::string::npos
                   ? fmt::format("; did you mean {}?", diagnostic.suggestion)
                   : fmt::format("; {}", diagnostic.suggestion);
    if (!out.empty() && out.back() != '?' && out.back() != '.') out += '.';
    return out;
}

std::string in_one_sentence(const Diagnostics& diagnostics) {
    std::string out;
    for (const Diagnostic& diagnostic : diagnostics) out += (out.empty() ? "" : " ") + in_one_sentence(diagnostic);
    return out;
}

}  // namespace frostread::cli
