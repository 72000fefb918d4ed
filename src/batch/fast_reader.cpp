#include "batch/fast_reader.hpp"

#include <algorithm>
#include <cstdint>
#include <cstring>
#include <utility>

#include "base/text.hpp"
#include "files/value_parser.hpp"
#include "frostread/version.hpp"

namespace frostread::batch {

namespace {

constexpr std::size_t kMostValues = 4096;  ///< remembered per check or trait
constexpr std::size_t kLongestValue = 256;

bool is_space(char c) {
    return c == ' ' || c == '\n' || c == '\r' || c == '\t';
}

bool is_number_char(char c) {
    return (c >= '0' && c <= '9') || c == '-' || c == '+' || c == '.' || c == 'e' || c == 'E';
}

/// Whether none of eight bytes ends a string, is escaped or not plain ASCII: bytes side by side in one number, and
/// what is subtracted from one below its limit leaves its highest bit set.
bool all_ordinary(const char* from) {
    constexpr std::uint64_t kEach = 0x0101010101010101U, kHighest = 0x80U * kEach;
    std::uint64_t word = 0;
    std::memcpy(&word, from, sizeof word);
    const std::uint64_t quote = word ^ ('"' * kEach), escape = word ^ ('\\' * kEach);
    return ((word | (word - 0x20U * kEach) | (quote - kEach) | (escape - kEach)) & kHighest) == 0;
}

/// A number as JSON writes it; leading zeros and the like are for the careful reader to refuse.
bool is_plain_number(std::string_view raw) {
    std::size_t at = raw.starts_with('-') ? 1 : 0;
    const auto digits = [&] {
        const std::size_t from = at;
        while (at < raw.size() && raw[at] >= '0' && raw[at] <= '9') ++at;
        return at - from;
    };
    const std::size_t first = at;
    const std::size_t whole = digits();
    if (whole == 0 || (whole > 1 && raw[first] == '0')) return false;
    if (at < raw.size() && raw[at] == '.') {
        ++at;
        if (digits() == 0) return false;
    }
    return at == raw.size();  // an exponent is unusual
}

/// `raw` is a string token with its quotes: what stands between them.
std::string_view unquoted(std::string_view raw) {
    return raw.substr(1, raw.size() - 2);
}

}  // namespace

FastReader::FastReader(const CompiledLibrary& library) : library_(library.library()) {
    for (CheckIndex i = 0; i < library_.checks.size(); ++i) {
        KnownCheck& known = checks_[library_.checks[i].id];
        known.check = &library_.checks[i];
        known.index = i;
    }
    for (const Trait& trait : library_.traits) traits_[trait.id].trait = &trait;
    for (const Condition& condition : library_.conditions) conditions_.insert(condition.id);
    for (const Fault& fault : library_.faults) {
        faults_.insert(fault.id);
        for (const Grade& grade : fault.grades) faults_.insert(fault.id + ":" + grade.id);
    }
}

// ---------------------------------------------------------------- tokens

void FastReader::skip_space() {
    while (at_ < text_.size() && is_space(text_[at_])) ++at_;
}

bool FastReader::take(char c) {
    skip_space();
    if (at_ >= text_.size() || text_[at_] != c) return false;
    ++at_;
    return true;
}

bool FastReader::plain_string(std::string_view& out) {
    if (!take('"')) return false;
    const std::size_t from = at_;
    bool ascii = true;
    while (at_ + 8 <= text_.size() && all_ordinary(text_.data() + at_)) at_ += 8;
    while (at_ < text_.size() && text_[at_] != '"') {
        const auto byte = static_cast<unsigned char>(text_[at_]);
        if (byte == '\\' || byte < 0x20U) return false;
        ascii = ascii && byte < 0x80U;
        ++at_;
    }
    if (at_ >= text_.size()) return false;
    out = text_.substr(from, at_ - from);
    ++at_;
    return ascii || !text::first_invalid_utf8(out);
}

bool FastReader::key(std::string_view& out) {
    return plain_string(out) && take(':');
}

bool FastReader::plain_boolean(bool& out) {
    skip_space();
    const std::string_view rest = text_.substr(at_);
    out = rest.starts_with("true");
    if (!out && !rest.starts_with("false")) return false;
    at_ += out ? 4 : 5;
    return true;
}

/// A string with its quotes, a number, or a list of strings as it stands.
bool FastReader::raw_value(std::string_view& out) {
    skip_space();
    const std::size_t from = at_;
    std::string_view ignored;
    if (at_ >= text_.size()) return false;
    if (text_[at_] == '"') {
        if (!plain_string(ignored)) return false;
    } else if (text_[at_] == '[') {
        ++at_;
        do {
            if (!plain_string(ignored)) return false;
        } while (take(','));
        if (!take(']')) return false;
    } else {
        while (at_ < text_.size() && is_number_char(text_[at_])) ++at_;
        if (!is_plain_number(text_.substr(from, at_ - from))) return false;
    }
    out = text_.substr(from, at_ - from);
    return true;
}

// ---------------------------------------------------------------- meanings

const FastReader::Meaning* FastReader::meaning_of(KnownCheck& known, std::string_view raw) {
    if (const auto found = known.values.find(raw); found != known.values.end()) return &found->second;
    if (raw.size() > kLongestValue) return nullptr;
    const Check& check = *known.check;
    Reading reading;
    std::optional<Diagnostic> refusal;
    if (raw.front() == '"') {
        refusal = set_value(reading, check, unquoted(raw), own_measure(check));
    } else if (raw.front() == '[') {
        std::vector<std::string_view> words;
        for (std::size_t from = raw.find('"'); from != std::string_view::npos; from = raw.find('"', from)) {
            const std::size_t to = raw.find('"', from + 1);
            words.push_back(raw.substr(from + 1, to - from - 1));
            from = to + 1;
        }
        refusal = set_words(reading, check, words);
    } else {
        if (own_measure(check) == nullptr) return nullptr;
        refusal = set_value(reading, check, raw, own_measure(check));
    }
    if (refusal) return nullptr;
    if (known.values.size() >= kMostValues) known.values.clear();
    return &known.values
                .emplace(std::string(raw),
                         Meaning{std::move(reading.outcomes), reading.value, std::move(reading.typed)})
                .first->second;
}

const FastReader::TraitMeaning* FastReader::meaning_of(KnownTrait& known, std::string_view raw) {
    if (const auto found = known.values.find(raw); found != known.values.end()) return &found->second;
    const bool is_text = raw.front() == '"';
    if (raw.size() > kLongestValue || raw.front() == '[' || (!is_text && !known.trait->is_number)) return nullptr;
    UnitTraits unit;
    if (set_trait(unit, *known.trait, is_text ? unquoted(raw) : raw)) return nullptr;
    TraitMeaning meaning;
    if (!unit.numbers.empty()) meaning.number = unit.numbers.begin()->second;
    if (!unit.words.empty()) meaning.word = unit.words.begin()->second;
    if (known.values.size() >= kMostValues) known.values.clear();
    return &known.values.emplace(std::string(raw), std::move(meaning)).first->second;
}

// ---------------------------------------------------------------- the parts of a case

bool FastReader::read_unit(UnitTraits& unit) {
    if (!take('{')) return false;
    if (take('}')) return true;
    do {
        std::string_view name, raw;
        if (!key(name) || !raw_value(raw)) return false;
        const auto known = traits_.find(name);
        if (known == traits_.end()) return false;
        const TraitMeaning* meaning = meaning_of(known->second, raw);
        if (meaning == nullptr) return false;
        const bool is_new = meaning->number ? unit.numbers.emplace(known->first, *meaning->number).second
                                            : unit.words.emplace(known->first, meaning->word).second;
        if (!is_new) return false;  // given twice
    } while (take(','));
    return take('}');
}

bool FastReader::read_after(Reading& reading) {
    if (!take('{')) return false;
    if (take('}')) return true;
    do {
        std::string_view name;
        bool held = false;
        if (!key(name) || !plain_boolean(held)) return false;
        std::string id(name);
        if (conditions_.count(id) == 0 || !reading.after.emplace(std::move(id), held).second) return false;
    } while (take(','));
    return take('}');
}

bool FastReader::read_reading(Reading& reading) {
    reading.outcomes.clear();
    reading.value.reset();
    reading.skipped.reset();
    reading.after.clear();
    reading.sure = true;
    for (std::string* text :
         {&reading.check, &reading.typed, &reading.at, &reading.note, &reading.origin, &reading.unknown})
        text->clear();
    KnownCheck* known = nullptr;
    unsigned seen = 0;  // one bit per key: no key twice
    const auto first_time = [&seen](unsigned bit) {
        const bool is_new = (seen & bit) == 0;
        seen |= bit;
        return is_new;
    };
    const auto text_into = [&](std::string& target) {
        std::string_view text;
        if (!plain_string(text)) return false;
        target = text;
        return true;
    };
    if (!take('{')) return false;
    do {
        std::string_view name, raw;
        if (!key(name)) return false;
        bool good = false;
        if (name == "check") {
            good = first_time(1) && plain_string(raw);
            const auto found = good ? checks_.find(raw) : checks_.end();
            if (found == checks_.end()) return false;
            known = &found->second;
            checks_of_case_.push_back(known->index);
            reading.check = found->first;
        } else if (name == "value") {
            good = first_time(2) && known != nullptr && raw_value(raw);
            const Meaning* meaning = good ? meaning_of(*known, raw) : nullptr;
            if (meaning == nullptr) return false;
            reading.outcomes = meaning->outcomes;
            reading.value = meaning->value;
            reading.typed = meaning->typed;
        } else if (name == "skipped") {
            good = first_time(4) && text_into(reading.skipped.emplace());
        } else if (name == "sure") {
            good = first_time(8) && plain_boolean(reading.sure);
        } else if (name == "after") {
            good = first_time(16) && read_after(reading);
        } else if (name == "at") {
            good = first_time(32) && text_into(reading.at);
        } else if (name == "note") {
            good = first_time(64) && text_into(reading.note);
        } else if (name == "origin") {
            good = first_time(128) && text_into(reading.origin);
        }
        if (!good) return false;
    } while (take(','));
    const bool one_of_two = ((seen & 2U) != 0) != ((seen & 4U) != 0);
    return take('}') && known != nullptr && one_of_two;
}

bool FastReader::recall_reading(Reading& reading) {
    skip_space();
    const WholeReadings::Known* known = whole_.find(text_.substr(at_));
    if (known == nullptr) return false;
    at_ += known->text.size();
    checks_of_case_.push_back(known->check);
    reading.check = library_.checks[known->check].id;
    reading.outcomes = known->outcomes;
    reading.value = known->value;
    reading.typed = known->typed;
    reading.sure = known->sure;
    reading.after = known->after;
    reading.skipped.reset();
    for (std::string* part : {&reading.at, &reading.note, &reading.origin, &reading.unknown}) part->clear();
    return true;
}

bool FastReader::read_readings(std::vector<Reading>& readings) {
    if (!take('[')) return false;
    std::size_t count = 0;
    if (!take(']')) {
        do {
            if (readings.size() == count) readings.emplace_back();
            Reading& reading = readings[count++];
            if (recall_reading(reading)) continue;
            const std::size_t from = at_;
            if (!read_reading(reading)) return false;
            whole_.remember(text_.substr(from, at_ - from), checks_of_case_.back(), reading);
        } while (take(','));
        if (!take(']')) return false;
    }
    readings.resize(count);
    return true;
}

bool FastReader::read_closed(Closed& closed) {
    if (!take('{')) return false;
    unsigned seen = 0;
    do {
        std::string_view name, text;
        if (!key(name)) return false;
        if (name == "found") {
            if ((seen & 1U) != 0 || !take('[')) return false;
            seen |= 1U;
            if (take(']')) continue;
            do {
                if (!plain_string(text)) return false;
                std::string id(text);
                if (faults_.count(id) == 0) return false;
                closed.found.push_back(std::move(id));
            } while (take(','));
            if (!take(']')) return false;
            continue;
        }
        std::string* target = nullptr;
        unsigned bit = 0;
        if (name == "remedy") {
            target = &closed.remedy;
            bit = 2;
        } else if (name == "at") {
            target = &closed.at;
            bit = 4;
        } else if (name == "note") {
            target = &closed.note;
            bit = 8;
        }
        if (target == nullptr || (seen & bit) != 0 || !plain_string(text)) return false;
        seen |= bit;
        *target = text;
    } while (take(','));
    return take('}') && (seen & 1U) != 0;
}

bool FastReader::read(std::string_view text, Case& out) {
    text_ = text;
    at_ = 0;
    out.id.clear();
    out.unit.words.clear();
    out.unit.numbers.clear();
    out.job = JobRecord{};
    out.withdrawn.clear();
    out.note.clear();
    out.closed.reset();
    out.unknown.clear();
    out.unit_unknown.clear();
    checks_of_case_.clear();
    unsigned seen = 0;
    if (!take('{')) return false;
    do {
        std::string_view name, raw;
        if (!key(name)) return false;
        unsigned bit = 0;
        bool good = false;
        if (name == "frostread") {
            bit = 1;
            good = raw_value(raw) && raw == std::to_string(kCaseFormat);
        } else if (name == "case") {
            bit = 2;
            good = plain_string(raw);
            if (good) out.id = raw;
        } else if (name == "unit") {
            bit = 4;
            good = (seen & bit) == 0 && read_unit(out.unit);
        } else if (name == "readings") {
            bit = 8;
            good = (seen & bit) == 0 && read_readings(out.readings);
        } else if (name == "closed") {
            bit = 16;
            good = (seen & bit) == 0 && read_closed(out.closed.emplace());
        }
        if (!good || (seen & bit) != 0) return false;
        seen |= bit;
    } while (take(','));
    if (!take('}')) return false;
    skip_space();
    if ((seen & 8U) == 0) out.readings.clear();
    return at_ == text_.size() && (seen & 1U) != 0;
}

}  // namespace frostread::batch
