#include "present/text_practice.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "present/report_words.hpp"
#include "present/text_session.hpp"
#include "present/writers.hpp"

/// Practice while it goes on: the scene, what can be checked, answers, hints.
namespace frostread::present {

namespace {

constexpr double kListed = 0.01;  ///< causes below this are not in a hint
constexpr std::size_t kMostListed = 8;

std::string heading(const std::string& text, const TextStyle& style) {
    std::string out;
    for (const std::string& part : wrap(text, style.width)) out += inked(part, Ink::bold, style) + "\n";
    return out;
}

/// Items three blanks apart, indented.
std::string in_rows(const std::vector<std::string>& items, std::size_t width) {
    std::string out, line;
    for (const std::string& item : items) {
        if (!line.empty() && display_width(line) + 3 + display_width(item) > width) {
            out += line + "\n";
            line.clear();
        }
        line += (line.empty() ? "  " : "   ") + item;
    }
    return line.empty() ? out : out + line + "\n";
}

bool was_read(const Practice& practice, const std::string& check) {
    return std::any_of(practice.rows().begin(), practice.rows().end(),
                       [&](const PracticeRow& row) { return row.check == check; });
}

/// Words and numbers of the unit, all of them: whoever stands before it sees them.
std::string all_traits(const Library& library, const UnitTraits& unit, const TextStyle& style) {
    std::vector<std::pair<std::string, std::string>> rows;
    for (const Trait& trait : library.traits) {
        if (const auto word = unit.words.find(trait.id); word != unit.words.end()) {
            const auto value = std::find_if(trait.values.begin(), trait.values.end(),
                                            [&](const TraitValue& v) { return v.id == word->second; });
            rows.emplace_back(trait.name, value == trait.values.end() ? word->second : value->name);
        }
        if (const auto number = unit.numbers.find(trait.id); number != unit.numbers.end()) {
            const Measure* measure = trait.unit.empty() ? nullptr : find_measure(trait.unit);
            std::string words =
                measure == nullptr ? plain_number(number->second) : to_text(Quantity{number->second, measure});
            if (trait.id == "age_years") words += number->second == 1.0 ? " year" : " years";
            rows.emplace_back(trait.name, std::move(words));
        }
    }
    std::size_t longest = 0;
    for (const auto& [name, words] : rows) longest = std::max(longest, display_width(name));
    std::string out;
    for (const auto& [name, words] : rows) {
        const std::string mark = "  " + pad_right(name, longest + 2);
        out += wrapped(words, style.width, mark, std::string(longest + 4, ' '));
    }
    return out;
}

/// Minutes of hands, short.
std::string short_minutes(double minutes) {
    return fmt::format("{:.3g}", minutes);
}

std::string row_words(const PracticeRow& row) {
    return fmt::format("{} {}", row.name, row.words);
}

}  // namespace

std::string step_minutes(double minutes) {
    if (minutes <= 0.0) return "";
    return minutes < 60.0 ? short_minutes(minutes) + " min" : minutes_words(minutes);
}

std::string practice_scene(const Practice& practice, const TextStyle& style) {
    std::string out = heading("The unit", style) + all_traits(practice.library(), practice.the_case().unit, style);
    if (const std::string words = practice.complaint_words(); !words.empty())
        out += heading("The owner says", style) + wrapped(words + ".", style.width, "  ", "  ");
    return out;
}

std::string practice_checks(const Practice& practice, const TextStyle& style) {
    const Library& library = practice.library();
    std::string out;
    for (const System& place : library.places) {
        std::vector<std::string> items;
        bool refused = true;
        for (CheckIndex check = 0; check < library.checks.size(); ++check) {
            const Check& entry = library.checks[check];
            if (entry.place != place.id || !practice.exists(check)) continue;
            refused = refused && !practice.prepare(check).refused.empty();
            items.push_back(fmt::format("{} {}{}", entry.id, short_minutes(entry.minutes),
                                        was_read(practice, entry.id) ? " (done)" : ""));
        }
        if (items.empty()) continue;
        out += heading(place.name + (refused ? " (not yours to do)" : ""), style) + in_rows(items, style.width);
    }
    out += wrapped(
        "The numbers are minutes of hands; opening a panel, switching and waiting come on top. \"checks PLACE\" "
        "shows one place in full, such as: checks rear. \"how CHECK\" shows how it is done.",
        style.width);
    return out;
}

std::string practice_place(const Practice& practice, std::string_view place, const TextStyle& style) {
    const Library& library = practice.library();
    std::string out;
    for (const System& known : library.places)
        if (known.id == place) out += heading(known.name, style);
    for (CheckIndex check = 0; check < library.checks.size(); ++check) {
        const Check& entry = library.checks[check];
        if (entry.place != place || !practice.exists(check)) continue;
        const PracticeStep step = practice.prepare(check);
        std::string words = fmt::format("{} ({}", entry.question, minutes_words(step.minutes));
        if (step.wait_minutes > 0.0) words += fmt::format(", after a wait of {}", minutes_words(step.wait_minutes));
        if (!step.opens_names.empty()) words += fmt::format("; opens: {}", join_words(step.opens_names));
        words += was_read(practice, entry.id) ? "; done)" : ")";
        out += fmt::format("  {}\n", entry.id) + wrapped(words, style.width, "      ", "      ");
    }
    return out;
}

std::string practice_faults(const Practice& practice, std::string_view system, const TextStyle& style) {
    const Library& library = practice.library();
    std::string out;
    const std::span<const double> prior = practice.model().prior();
    for (const System& entry : library.systems) {
        if (!system.empty() && entry.id != system) continue;
        std::vector<std::string> items;
        for (FaultIndex fault = 0; fault < library.faults.size(); ++fault) {
            if (library.faults[fault].system != entry.id) continue;
            bool possible = false;
            for (AlternativeIndex a = 0; a < prior.size(); ++a)
                possible = possible || (practice.model().compiled().alternative(a).fault == fault && prior[a] > 0.0);
            if (possible) items.push_back(library.faults[fault].id);
        }
        if (!items.empty()) out += heading(sentence_case(entry.name), style) + in_rows(items, style.width);
    }
    return out;
}

std::string practice_before(const PracticeStep& step, const TextStyle& style) {
    std::string out = caution_block(step.cautions, style);
    std::string on_the_way;
    const auto add = [&](const std::string& words) { on_the_way += (on_the_way.empty() ? "" : "; ") + words; };
    if (!step.waits.empty())
        add(fmt::format("waited {} for: {}", minutes_words(step.wait_minutes), join_words(step.waits)));
    if (!step.power.empty()) add(step.power == "off" ? "plug out" : "plug in");
    if (!step.opens_names.empty()) add("opened: " + join_words(step.opens_names));
    if (step.panels_off)
        out += inked("! Panels are off: mains parts and fans lie open. Hands and tools clear first.", Ink::caution,
                     style) +
               "\n";
    if (!on_the_way.empty()) out += wrapped(fmt::format("({})", on_the_way), style.width);
    return out;
}

std::string practice_answer(const Practice& practice, const TextStyle& style) {
    const PracticeRow& row = practice.rows().back();
    std::string out;
    for (const std::string& part : wrap(row_words(row), style.width)) out += inked(part, Ink::bold, style) + "\n";
    std::string time = fmt::format("{}, {} so far", step_minutes(row.minutes), step_minutes(practice.minutes()));
    if (practice.wait_minutes() > 0.0)
        time += fmt::format(" and {} of waiting", minutes_words(practice.wait_minutes()));
    for (const std::string& note : practice.notes()) out += wrapped(note, style.width, "", "  ");
    return out + wrapped(time, style.width, "", "  ");
}

std::string practice_readings(const Practice& practice, const TextStyle& style) {
    std::string out;
    for (const PracticeRow& row : practice.rows()) {
        const std::string mark = fmt::format("{}  ", pad_left(step_minutes(row.minutes), 8));
        out += wrapped(row_words(row), style.width, mark, std::string(10, ' '));
    }
    if (practice.rows().empty()) out += "no readings yet\n";
    return out + practice_so_far(practice, style);
}

std::string practice_ranking(const Report& report, const TextStyle& style) {
    struct Cause {
        std::string name;
        double probability = 0.0;
    };
    std::vector<Cause> causes;
    for (const ReportFault& fault : report.faults) causes.push_back({fault.name, fault.probability});
    causes.push_back({"nothing wrong", report.nothing_wrong});
    causes.push_back({"something not listed", report.something_else});
    std::stable_sort(causes.begin(), causes.end(),
                     [](const Cause& a, const Cause& b) { return a.probability > b.probability; });
    std::string out;
    for (std::size_t i = 0; i < causes.size() && i < kMostListed; ++i) {
        if (i > 0 && causes[i].probability < kListed) break;
        const std::string mark = fmt::format("{}  ", pad_left(percent_words(causes[i].probability), 8));
        out += wrapped(causes[i].name, style.width, mark, std::string(10, ' '));
    }
    return out;
}

std::string practice_so_far(const Practice& practice, const TextStyle& style) {
    const std::size_t asked = practice.rows().empty() ? 0 : practice.rows().size() - 1;
    std::string words =
        fmt::format("{} check{}, {} of work", asked, asked == 1 ? "" : "s", minutes_words(practice.minutes()));
    if (practice.wait_minutes() > 0.0) words += fmt::format(", {} of waiting", minutes_words(practice.wait_minutes()));
    words += fmt::format(", {} place{} opened, {} hint{}", practice.opened(), practice.opened() == 1 ? "" : "s",
                         practice.hints(), practice.hints() == 1 ? "" : "s");
    return wrapped("So far: " + words + ".", style.width, "", "  ");
}

}  // namespace frostread::present
