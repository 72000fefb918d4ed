#include <algorithm>
#include <initializer_list>

#include "templog/log_layout.hpp"

namespace frostread::templog {

namespace {

/// Lower-case words of a header name; everything but letters and digits parts them.
std::vector<std::string> words_of(std::string_view name) {
    std::vector<std::string> words;
    std::string word;
    for (const char c : lower(name)) {
        const bool part = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
        if (part) {
            word.push_back(c);
        } else if (!word.empty()) {
            words.push_back(std::move(word));
            word.clear();
        }
    }
    if (!word.empty()) {
        words.push_back(std::move(word));
    }
    return words;
}

bool has_word(const std::vector<std::string>& words, std::initializer_list<std::string_view> any) {
    return std::any_of(words.begin(), words.end(),
                       [&](const std::string& word) { return std::find(any.begin(), any.end(), word) != any.end(); });
}

bool has_part(std::string_view text, std::initializer_list<std::string_view> any) {
    return std::any_of(any.begin(), any.end(),
                       [&](std::string_view part) { return text.find(part) != std::string_view::npos; });
}

}  // namespace

std::string role_of_name(std::string_view name) {
    const std::string low = lower(name);
    const auto words = words_of(name);
    // Set points, humidity, energy counters and the like are no signal of ours.
    if (has_word(words,
                 {"set", "setpoint", "target", "rh", "humidity", "kwh", "wh", "va", "factor", "alarm", "limit"}) ||
        low.find('%') != std::string::npos) {
        return {};
    }
    if (has_part(low, {"evap", "coil"})) {
        return "evaporator";
    }
    if (has_part(low, {"freez"}) || has_word(words, {"frz", "fz", "fzr", "frzr"})) {
        return "freezer";
    }
    if (has_part(low, {"fridge", "refrig", "fresh", "larder", "cooler", "crisper"}) ||
        has_word(words, {"ff", "food"})) {
        return "fridge";
    }
    if (has_part(low, {"room", "ambient", "kitchen", "outdoor"})) {
        return "room";
    }
    if (has_part(low, {"watt", "power"}) || has_word(words, {"w", "kw"})) {
        return "watts";
    }
    if (has_part(low, {"timestamp", "datetime", "date/time", "date time", "date_time", "date-time"})) {
        return "time";
    }
    if (has_word(words, {"date", "day"})) {
        return has_word(words, {"time"}) ? "time" : "date";
    }
    if (has_part(low, {"time", "elapsed", "stamp"}) ||
        has_word(words, {"seconds", "second", "secs", "sec", "minutes", "minute", "mins", "min", "hours", "clock", "s",
                         "t"})) {
        return "time";
    }
    return {};
}

CellUnit unit_of_name(std::string_view name) {
    const auto words = words_of(name);
    if (has_word(words, {"c", "degc", "celsius", "centigrade", "tempc"})) {
        return CellUnit::celsius;
    }
    if (has_word(words, {"f", "degf", "fahrenheit", "tempf"})) {
        return CellUnit::fahrenheit;
    }
    if (has_word(words, {"kw", "kilowatt", "kilowatts"})) {
        return CellUnit::kilowatt;
    }
    if (has_word(words, {"w", "watt", "watts"})) {
        return CellUnit::watt;
    }
    return CellUnit::none;
}

}  // namespace frostread::templog
