#include "present/text_session.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "present/report_words.hpp"
#include "present/writers.hpp"

/// The call: one compact update after each line, and the pages a technician asks for.
namespace frostread::present {

namespace {

constexpr double kMoved = 0.005;  ///< a smaller change shows no arrow
constexpr double kWorthShowing = 0.02;
constexpr double kSmallWeight = 0.5;  ///< decibans; smaller reasons are summed up

bool has(const std::vector<ReportCaution>& list, const std::string& id) {
    return std::any_of(list.begin(), list.end(), [&](const ReportCaution& c) { return c.id == id; });
}

std::string arrow(const Leader& leader) {
    if (leader.now >= leader.before + kMoved) return " ▲";
    if (leader.now <= leader.before - kMoved) return " ▼";
    return "";
}

/// Items side by side, three blanks apart, broken between items and, when one is too long, inside it.
std::string side_by_side(const std::vector<std::string>& items, std::size_t width) {
    std::string out, line;
    const auto shown = [&](const std::string& text) {
        return display_width(text) <= width ? text + "\n" : wrapped(text, width, "", "  ");
    };
    for (const std::string& item : items) {
        if (!line.empty() && display_width(line) + 3 + display_width(item) > width) {
            out += shown(line);
            line.clear();
        }
        line += (line.empty() ? "" : "   ") + item;
    }
    return line.empty() ? out : out + shown(line);
}

std::string recorded_words(const Recorded& recorded) {
    if (recorded.taken_back) return fmt::format("taken back: {} {}", recorded.name, recorded.words);
    if (recorded.skipped)
        return recorded.words.empty() ? fmt::format("{}: skipped", recorded.name)
                                      : fmt::format("{}: skipped, {}", recorded.name, recorded.words);
    const std::string remark = recorded.remark.empty() ? "" : fmt::format(" ({})", recorded.remark);
    return fmt::format("{} {}{}", recorded.name, recorded.words, remark);
}

std::string time_words(const ReportTest& test) {
    std::string words = minutes_words(test.minutes);
    if (test.wait_minutes > 0.0) words += fmt::format(", after a wait of {}", minutes_words(test.wait_minutes));
    return words;
}

/// ", on the same visit also: clean the condenser (35 min)"; "" when the repair stands alone.
std::string further_names(const Report& report) {
    std::vector<std::string> names;
    for (const ReportRepair& further : report.same_visit)
        names.push_back(fmt::format("{} ({})", further.name, minutes_words(further.minutes)));
    return names.empty() ? "" : ", on the same visit also: " + join_words(names);
}

std::string next_line(const Report& report) {
    const std::string leave = close_up(report);
    const std::string because = report.because + (leave.empty() ? "" : " " + leave);
    switch (report.action) {
        case Action::test:
            if (report.test) {
                const ReportTest& test = *report.test;
                return fmt::format("next: {} ({}){}", test.question.empty() ? test.name : test.question,
                                   time_words(test), test.repeat ? ", once more" : "");
            }
            break;
        case Action::repair:
            if (report.repair)
                return fmt::format("next: repair. {} ({}, parts about {}){}. \"next\" shows the steps.",
                                   sentence_case(report.repair->name), minutes_words(report.repair->minutes),
                                   plain_number(report.repair->parts), further_names(report));
            break;
        case Action::retire:
            return "next: retire the unit. " + because;
        case Action::refer:
            return "next: stop and refer. " + because;
        case Action::finish:
            return "next: nothing more to test. " + because;
    }
    return "next: " + report.because;
}

/// What can be typed for an answer to the test that was just proposed.
std::string say_line(const Report& report, std::size_t width) {
    if (report.action != Action::test || !report.test || report.test->answers.empty()) return "";
    const ReportTest& test = *report.test;
    std::vector<std::string> words = test.answers;
    if (test.takes_quantity) words.front() = "a number in " + words.front();
    return wrapped("say: " + join_words(words, "or"), width, "  ", "    ");
}

std::string step_names(const View& view) {
    std::string names;
    for (const auto& [id, name] : view.step_cautions)
        if (!has(view.new_cautions, id)) names += (names.empty() ? "" : " · ") + name;
    return names;
}

/// Every trait that was stated, so that what is missing shows.
std::vector<std::string> stated_traits(const Library& library, const UnitTraits& unit) {
    std::vector<std::string> out;
    for (const Trait& trait : library.traits) {
        if (const auto word = unit.words.find(trait.id); word != unit.words.end()) {
            const auto value = std::find_if(trait.values.begin(), trait.values.end(),
                                            [&](const TraitValue& v) { return v.id == word->second; });
            out.push_back(value == trait.values.end() ? word->second : value->name);
        }
        if (const auto number = unit.numbers.find(trait.id); number != unit.numbers.end()) {
            const Measure* measure = trait.unit.empty() ? nullptr : find_measure(trait.unit);
            out.push_back(fmt::format(
                "{} {}", trait.name,
                measure == nullptr ? plain_number(number->second) : to_text(Quantity{number->second, measure})));
        }
    }
    return out;
}

}  // namespace

std::vector<ReportCaution> cautions_of(const Report& report, const std::vector<std::string>& ids) {
    std::vector<ReportCaution> out;
    for (const ReportCaution& caution : report.cautions)
        if (std::find(ids.begin(), ids.end(), caution.id) != ids.end()) out.push_back(caution);
    return out;
}

std::string numbered(const std::vector<std::string>& steps, std::size_t width) {
    std::string out;
    std::size_t number = 0;
    for (const std::string& step : steps) {
        const std::string mark = fmt::format("  {}. ", ++number);
        out += wrapped(step, width, mark, std::string(mark.size(), ' '));
    }
    return out;
}

std::string caution_block(const std::vector<ReportCaution>& cautions, const TextStyle& style, std::string_view indent) {
    std::string out;
    for (const ReportCaution& caution : cautions) {
        bool first = true;
        for (const std::string& part : wrap(caution.text, style.width - indent.size() - 2)) {
            out += fmt::format("{}{}\n", indent, inked((first ? "! " : "  ") + part, Ink::caution, style));
            first = false;
        }
    }
    return out;
}

std::string leaders_line(const View& view, const TextStyle& style, std::size_t most) {
    std::vector<std::string> items;
    for (const Leader& leader : view.leaders) {
        if (items.size() >= most || (!items.empty() && leader.now < kWorthShowing)) break;
        items.push_back(fmt::format("{} {}{}", percent_words(leader.now), leader.name, arrow(leader)));
    }
    return side_by_side(items, style.width);
}

std::string call_update(const View& view, const TextStyle& style) {
    std::string out;
    std::vector<std::string> items;
    for (const Recorded& recorded : view.recorded) items.push_back(recorded_words(recorded));
    if (view.nothing_to_undo) out += "there is nothing to take back\n";
    if (!items.empty()) out += side_by_side(items, style.width);
    for (const Recorded& recorded : view.recorded) {
        std::string say;
        for (const std::string& id : recorded.unknown_traits) say += fmt::format(" {}=…", id);
        if (!say.empty())
            out += wrapped(fmt::format("The {} is judged by what most units show. Better by the plate, say: unit{}",
                                       recorded.name, say),
                           style.width, "", "  ");
    }
    std::string taken;
    for (const std::string& name : view.taken_open) taken += (taken.empty() ? "open now: " : ", ") + name;
    if (!view.power_changed.empty())
        taken += fmt::format("{}plug {}", taken.empty() ? "" : "; ", view.power_changed == "off" ? "out" : "in");
    if (!taken.empty()) out += wrapped(fmt::format("({})", taken), style.width);
    for (const std::string& warning : view.new_warnings) out += wrapped(warning, style.width, "", "  ");
    for (const OpenCondition& condition : view.conditions)
        out += wrapped(fmt::format("{}: did this hold, {}? Say: held {}, or: held {} no.", join_words(condition.checks),
                                   condition.name, condition.id, condition.id),
                       style.width, "", "  ");
    out += leaders_line(view, style);
    out += caution_block(view.new_cautions, style);
    if (const std::string names = step_names(view); !names.empty()) {
        std::string mark = "! ";
        for (const std::string& part : wrap(names, style.width - 2)) {
            out += inked(mark + part, Ink::caution, style) + "\n";
            mark = "  ";
        }
    }
    if (view.report.ask)
        out += wrapped(fmt::format("ask first: {} Say: unit {}={}", view.report.ask->question, view.report.ask->trait,
                                   view.report.ask->values.empty() ? "…" : join_words(view.report.ask->values, "or")),
                       style.width, "", "  ");
    std::string indent;
    for (const std::string& part : wrap(next_line(view.report), style.width - 2)) {
        out += indent + inked(part, Ink::bold, style) + "\n";
        indent = "  ";
    }
    return out + say_line(view.report, style.width);
}

std::string call_what_if(const View& view, const TextStyle& style) {
    std::vector<std::string> items;
    for (const Recorded& recorded : view.recorded) items.push_back(recorded_words(recorded));
    std::string out = side_by_side(items, style.width);
    if (!out.empty()) out.insert(0, "if ");
    for (const std::string& warning : view.new_warnings) out += wrapped(warning, style.width, "", "  ");
    std::vector<std::string> rows;
    for (const Leader& leader : view.leaders) {
        if (rows.size() >= 4 || (!rows.empty() && leader.now < kWorthShowing && leader.before < 0.1)) break;
        rows.push_back(
            fmt::format("{} {} (now {})", percent_words(leader.now), leader.name, percent_words(leader.before)));
    }
    for (const Leader& leader : view.leaders)
        if (leader.before >= 0.1 && leader.now < kWorthShowing)
            rows.push_back(fmt::format("{} would fall from {} to {}", leader.name, percent_words(leader.before),
                                       percent_words(leader.now)));
    out += side_by_side(rows, style.width);
    out += caution_block(view.new_cautions, style);
    out += wrapped("then " + next_line(view.report), style.width, "", "  ");
    return out + "nothing recorded.\n";
}

std::string before_you_go(const Report& report, const TextStyle& style) {
    const std::string words = close_up(report);
    return words.empty() || report.action == Action::test ? "" : wrapped(words, style.width, "  ", "    ");
}

std::string next_step(const Report& report, const TextStyle& style) {
    std::string out;
    const std::size_t width = style.width;
    const auto head = [&](const std::string& text) {
        for (const std::string& part : wrap(text, width)) out += inked(part, Ink::bold, style) + "\n";
    };
    if (report.ask)
        out += wrapped(fmt::format("Ask first: {} Say: unit {}=…", question_words(*report.ask), report.ask->trait),
                       width, "", "  ");
    if (report.action == Action::refer)
        head("Stop here and hand the unit over to somebody licensed or trained for it.");
    if (report.action == Action::retire) head("Retire the unit, unless the owner decides otherwise.");
    if (report.action == Action::finish) head("Nothing more to test.");
    if (report.test && (report.action == Action::test || report.action == Action::refer)) {
        const ReportTest& test = *report.test;
        const std::string lead = report.action == Action::refer ? "They would look at: " : "";
        head(fmt::format("{}{} ({}){}", lead, test.question.empty() ? test.name : test.question, time_words(test),
                         test.repeat ? ", once more" : ""));
        out += caution_block(cautions_of(report, test.cautions), style, "  ");
        if (!test.opens_names.empty())
            out += wrapped("To open: " + join_words(test.opens_names) + ".", width, "  ", "  ");
        out += numbered(test.steps, width);
        for (const std::string& how : opening_sentences(test.opens_names, test.opens_how))
            out += wrapped(how, width, "  ", "    ");
        if (!report.because.empty()) out += wrapped(report.because, width, "  ", "  ");
        std::vector<std::string> also;
        for (std::size_t i = 0; i < test.also_names.size(); ++i)
            also.push_back(fmt::format("{} ({})", test.also_names[i], minutes_words(test.also_minutes[i])));
        if (!also.empty())
            out += wrapped(fmt::format("While you are there, also: {}.", join_words(also)), width, "  ", "  ");
        std::vector<std::string> others;
        for (const ReportTest& other : report.alternatives)
            if (others.size() < 3) others.push_back(fmt::format("{} ({})", other.name, minutes_words(other.minutes)));
        if (!others.empty())
            out += wrapped(fmt::format("Or instead: {}.", join_words(others, "or")), width, "  ", "  ");
        return out + before_you_go(report, style);
    }
    if (report.repair && report.action == Action::repair) {
        return out + repair_text(report, "Repair: ", report.because, style) + before_you_go(report, style);
    }
    out += caution_block(report.cautions, style, "  ");
    out += wrapped(report.because, width, "  ", "  ");
    return out + before_you_go(report, style);
}

std::string reasons(const Report& report, const std::string& fault, const TextStyle& style) {
    const auto found =
        std::find_if(report.faults.begin(), report.faults.end(), [&](const ReportFault& f) { return f.id == fault; });
    if (found == report.faults.end()) return "this unit cannot have that fault\n";
    const ReportLedger& why = found->why;
    std::string out;
    const std::string head =
        fmt::format("{}: {} against {}", percent_words(found->probability), why.favoured_words, why.rival_words);
    for (const std::string& part : wrap(head, style.width)) out += inked(part, Ink::bold, style) + "\n";
    double small = 0.0;
    std::size_t small_count = 0;
    const auto row = [&](double decibans, const std::string& text) {
        const std::string mark =
            fmt::format("  {} {:>5.1f}  ", decibans < 0 ? "against" : "for    ", std::abs(decibans));
        out += wrapped(text, style.width, mark, std::string(mark.size(), ' '));
    };
    for (const ReportWeight& weight : why.weights) {
        if (std::abs(weight.decibans) < kSmallWeight) {
            small += weight.decibans;
            ++small_count;
        } else {
            row(weight.decibans, fmt::format("{} {}", weight.check_name, weight.value_words));
        }
    }
    if (small_count > 0)
        row(small, fmt::format("{} other reading{}, little either way", small_count, small_count == 1 ? "" : "s"));
    row(why.prior_db, "how often it is the cause");
    out += fmt::format("  sum {:>9.1f}  decibans; 10 is ten times likelier\n", why.margin_db);
    return out + reasons_told(why, style);
}

std::string case_overview(const Library& library, const Case& the_case, UnitPreference units, const TextStyle& style) {
    std::string out;
    const std::size_t width = style.width;
    const std::string unit = join_words(stated_traits(library, the_case.unit), "and");
    out += wrapped(unit.empty() ? "nothing is stated; say: unit layout=freezer-top" : unit, width, "unit: ", "  ");
    if (!the_case.note.empty()) out += wrapped(the_case.note, width, "note: ", "  ");
    std::size_t number = 0;
    for (std::size_t i = 0; i < the_case.readings.size(); ++i) {
        const Reading& reading = the_case.readings[i];
        const Check* check = find_check(library, reading.check);
        if (check == nullptr) continue;
        std::string text;
        if (reading.skipped) {
            text = fmt::format("{}: skipped{}{}", check->name, reading.skipped->empty() ? "" : ", ", *reading.skipped);
        } else {
            text = fmt::format("{} {}", check->name, reading_words(*check, reading, units).words);
            if (!reading.sure) text += ", not sure";
            if (latest_reading(the_case, reading.check) != i)
                text += read_alike_again(the_case, i) ? " (read again with the same result, counts once)"
                                                      : " (replaced by a later one)";
        }
        for (const auto& [id, held] : reading.after)
            if (const Condition* condition = find_condition(library, id))
                text += fmt::format("; {}{}", held ? "" : "not ", condition->name);
        if (!reading.note.empty()) text += fmt::format("; note: {}", reading.note);
        const std::string mark = fmt::format("{:>3}  ", ++number);
        out += wrapped(text, width, mark, std::string(mark.size(), ' '));
    }
    if (the_case.readings.empty()) out += "no readings yet\n";
    for (const Reading& reading : the_case.withdrawn)
        if (const Check* check = find_check(library, reading.check))
            out += wrapped(fmt::format("taken back: {} {}", check->name, reading_words(*check, reading, units).words),
                           width, "     ", "     ");
    std::vector<std::string> open;
    for (const std::string& id : the_case.job.open_areas)
        if (const Area* area = find_area(library, id)) open.push_back(area->name);
    out += wrapped(fmt::format("open: {}; plug {}", open.empty() ? "nothing" : join_words(open),
                               the_case.job.power == "off" ? "out" : "in"),
                   width);
    if (!the_case.job.cannot.empty()) out += wrapped("not here: " + join_words(the_case.job.cannot), width);
    return out;
}

}  // namespace frostread::present
