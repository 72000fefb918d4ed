#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <utility>

#include "base/text.hpp"
#include "cli/prompt_words.hpp"
#include "frostread/files.hpp"

/// A list that goes on over the commas of a line.
namespace frostread::cli {

namespace {

constexpr std::array<std::string_view, 9> kFillers = {"the", "is", "are", "at", "reads", "was", "of", "and", "="};

/// The words that carry meaning, with this between them.
std::string kept(const std::vector<std::string>& words, std::string_view between) {
    std::string out;
    for (const std::string& word : words)
        if (!is_filler(word)) out.append(out.empty() ? "" : between).append(word);
    return out;
}

bool denies(const Check& check, const std::vector<std::string>& outcomes) {
    const Outcome* normal = normal_outcome(check);
    return normal != nullptr && std::find(outcomes.begin(), outcomes.end(), normal->id) != outcomes.end();
}

}  // namespace

bool is_filler(std::string_view word) {
    return std::find(kFillers.begin(), kFillers.end(), text::to_lower(word)) != kFillers.end();
}

void ListReader::begin(const std::string& check, std::string typed, bool read) {
    check_ = find_check(library_, check);
    if (check_ != nullptr && check_->kind != CheckKind::several) check_ = nullptr;
    typed_ = std::move(typed);
    read_ = read;
}

bool ListReader::take(const std::vector<std::string>& words, Understood& out) {
    if (check_ == nullptr) return false;
    const Result<Reading> items = parse_reading(check_->id, kept(words, ","), library_, UnitPreference::si);
    if (!items.has_value()) {
        if (items.diagnostics().front().id != "contradiction") return false;
        out.problems.push_back(in_one_sentence(items.diagnostics()));
        return true;
    }
    // Nobody denies what could not be read.
    const bool denied = denies(*check_, items->outcomes) || (read_ && denies(*check_, out.readings.back().outcomes));
    if (denied) {
        const std::string& none = normal_outcome(*check_)->id;
        if (read_ && out.readings.back().outcomes == items->outcomes) return true;
        out.problems.push_back(
            fmt::format("{} after {}: {} cannot be {} and something else; expected {} alone, or what was found.",
                        text::quoted(kept(words, " ")), text::quoted(typed_), check_->id, none, none));
        return true;
    }
    if (!read_) {
        out.readings.push_back(*items);
        read_ = true;
        return true;
    }
    Reading& last = out.readings.back();
    const std::string all = text::join(last.outcomes, ",") + "," + kept(words, ",");
    Result<Reading> more = parse_reading(check_->id, all, library_, UnitPreference::si);
    if (!more.has_value()) return false;
    more->sure = last.sure && more->sure;
    last = std::move(*more);
    return true;
}

std::string ListReader::refusal(const std::vector<std::string>& words) const {
    if (check_ == nullptr) return "";
    const Result<Reading> items = parse_reading(check_->id, kept(words, " "), library_, UnitPreference::si);
    return items.has_value() ? "" : " " + in_one_sentence(items.diagnostics());
}

}  // namespace frostread::cli
