#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "present/text_session.hpp"
#include "present/writers.hpp"

/// The guide: one question with its reason, what each answer said, and the recap.
namespace frostread::present {

namespace {

constexpr std::size_t kMostEvidence = 6;
constexpr double kSmallWeight = 1.0;  ///< decibans

std::string heading(const std::string& text, const TextStyle& style) {
    std::string out;
    for (const std::string& part : wrap(text, style.width)) out += inked(part, Ink::bold, style) + "\n";
    return out;
}

std::string time_words(const GuideQuestion& question) {
    if (question.about != GuideQuestion::About::check) return "";
    std::string words = minutes_words(question.minutes);
    if (question.waiting > 0.0) words += fmt::format(", after a wait of {}", minutes_words(question.waiting));
    return words;
}

std::string choices_text(const GuideQuestion& question, const TextStyle& style) {
    std::string out;
    std::size_t number = 0;
    bool short_ones = question.choices.size() <= 4;
    for (const Choice& choice : question.choices) short_ones = short_ones && display_width(choice.words) <= 16;
    std::string line;
    for (const Choice& choice : question.choices) {
        ++number;
        if (short_ones) {
            line += fmt::format("{}{} {}", line.empty() ? "  " : "     ", number, choice.words);
        } else {
            const std::string mark = fmt::format(" {:>2} ", number);
            out += wrapped(choice.words, style.width, mark, "    ");
        }
    }
    if (!line.empty()) out += display_width(line) <= style.width ? line + "\n" : wrapped(line, style.width, "", "  ");
    return out;
}

std::string moved(const std::vector<Leader>& leaders) {
    std::vector<std::string> parts;
    for (const Leader& leader : leaders)
        parts.push_back(
            fmt::format("{} ({} → {})", leader.name, percent_words(leader.before), percent_words(leader.now)));
    return join_words(parts);
}

std::string spoke_sentence(const Spoke& spoke) {
    if (!spoke.counts) return "It does not count as evidence here.";
    if (spoke.for_these.empty() && spoke.against.empty())
        return "It changes little: it fits all of the suspects alike.";
    if (spoke.against.empty()) return fmt::format("It speaks for {}.", moved(spoke.for_these));
    if (spoke.for_these.empty()) return fmt::format("It speaks against {}.", moved(spoke.against));
    return fmt::format("It speaks for {}, and against {}.", moved(spoke.for_these), moved(spoke.against));
}

std::string behind_line(const Behind& behind, std::size_t width) {
    if (behind.because.empty()) return "";
    const std::string lead = behind.answer.empty() ? sentence_case(behind.fault_name)
                                                   : fmt::format("{} → {}", behind.answer, behind.fault_name);
    return wrapped(fmt::format("{}: {}", lead, behind.because), width, "  ", "  ");
}

std::string odds_words(double decibans) {
    const double odds = std::pow(10.0, std::abs(decibans) / 10.0);
    if (odds >= 1000.0) return "over 1000";
    return odds >= 10.0 ? fmt::format("{:.0f}", odds) : fmt::format("{:.1f}", odds);
}

std::string what_to_do(const Recap& recap, const TextStyle& style) {
    const Report& report = recap.report;
    const std::size_t width = style.width;
    std::string out;
    // Everything that applies and does not stand right above the steps below.
    std::vector<std::string> below;
    if (report.repair && report.action == Action::repair) below = report.repair->cautions;
    for (const ReportRepair& further : report.same_visit)
        below.insert(below.end(), further.cautions.begin(), further.cautions.end());
    std::vector<ReportCaution> rest;
    for (const ReportCaution& caution : report.cautions)
        if (std::find(below.begin(), below.end(), caution.id) == below.end()) rest.push_back(caution);
    out += caution_block(rest, style);
    switch (report.action) {
        case Action::repair:
            // Why it is right to repair now, above all where it is not settled.
            if (!report.because.empty()) out += wrapped(report.because, width, "", "");
            return out + repair_text(report, "What to do: ", close_up(report), style);
        case Action::retire:
            out += heading("What to do: retire the unit, unless the owner decides otherwise", style);
            out += wrapped(report.because, width, "  ", "  ");
            break;
        case Action::refer:
            out += heading("What to do: stop here and hand the unit over, with these readings", style);
            out += wrapped(report.because, width, "  ", "  ");
            break;
        case Action::finish:
            out += heading("What to do: nothing to repair", style);
            out += wrapped(report.because, width, "  ", "  ");
            break;
        case Action::test:
            out += heading("Not finished. The next question would be:", style);
            if (report.test) out += wrapped(report.test->question, width, "  ", "  ");
            break;
    }
    if (const std::string words = close_up(report); !words.empty()) out += wrapped(words, width, "  ", "  ");
    return out;
}

std::string in_short(const Report& report) {
    switch (report.action) {
        case Action::repair:
            return report.conclusion + (report.repair ? fmt::format(" To do: {}.", report.repair->name) : "");
        case Action::retire:
            return report.conclusion + " Retire the unit, unless the owner decides otherwise.";
        case Action::refer:
            return report.conclusion + " Hand the unit over.";
        case Action::finish:
        case Action::test:
            break;
    }
    return report.conclusion;
}

std::string evidence(const Recap& recap, const TextStyle& style) {
    if (recap.evidence.empty()) return "";
    std::string out = "\n" + heading(fmt::format("Why {} rather than {}", recap.leader_name, recap.rival_name), style);
    std::size_t shown = 0;
    for (const ReportWeight& weight : recap.evidence) {
        if (shown == kMostEvidence || std::abs(weight.decibans) < kSmallWeight) break;
        ++shown;
        const std::string mark = weight.decibans > 0 ? "  for      " : "  against  ";
        out +=
            wrapped(fmt::format("{} {} ({} to 1)", weight.check_name, weight.value_words, odds_words(weight.decibans)),
                    style.width, mark, std::string(mark.size(), ' '));
    }
    if (shown == 0) out += "  no reading weighs much either way\n";
    return out;
}

std::string the_way(const Recap& recap, const TextStyle& style) {
    std::string out = "\n" + heading(fmt::format("The way: {} of work", minutes_words(recap.minutes)), style);
    for (const PathStep& step : recap.path) {
        const std::string time = step.skipped ? "" : minutes_words(step.minutes);
        const std::string mark = fmt::format("  {}  ", pad_left(time, 10));
        const std::string words = step.skipped ? fmt::format("{}: skipped, {}", step.name, step.words)
                                               : fmt::format("{} {}", step.name, step.words);
        out += wrapped(words, style.width, mark, std::string(14, ' '));
    }
    return out;
}

std::string shorter_way(const Recap& recap, const TextStyle& style) {
    std::string out = "\n" + heading("What would have been faster", style);
    if (recap.enough.empty()) {
        return out + wrapped("Nothing by much: with hindsight too, most of these steps were needed.", style.width, "  ",
                             "  ");
    }
    return out + wrapped(fmt::format("With hindsight, {} alone would have been enough: {} in place of {}, and {} sure.",
                                     join_words(recap.enough), minutes_words(recap.enough_minutes),
                                     minutes_words(recap.minutes), percent_words(recap.enough_probability)),
                         style.width, "  ", "  ");
}

}  // namespace

std::string question_text(const GuideQuestion& question, const TextStyle& style) {
    const std::size_t width = style.width;
    std::string out;
    if (question.about == GuideQuestion::About::none) return out;
    out += caution_block(question.cautions, style);
    if (!question.opens_names.empty())
        out +=
            wrapped(fmt::format("This means opening: {}. \"how\" tells how.", join_words(question.opens_names)), width);
    if (!question.power.empty()) out += wrapped(question.power, width);
    const std::string lead = fmt::format("Question {}. {}", question.number, question.text);
    const std::string time = time_words(question);
    if (!time.empty() && display_width(lead) + 3 + display_width(time) <= width) {
        out += inked(lead, Ink::bold, style) + pad_left(time, width - display_width(lead)) + "\n";
    } else {
        out += heading(time.empty() ? lead : fmt::format("{} ({})", lead, time), style);
    }
    if (!question.why.empty()) out += wrapped("Why ask: " + question.why, width);
    for (const Behind& behind : question.behind) out += behind_line(behind, width);
    out += choices_text(question, style);
    const std::string or_word = question.choices.empty() ? "" : "or ";
    if (question.quantity && !question.worked_out.empty())
        out += wrapped(fmt::format("{}type {}", or_word, question.worked_out), width, "  ", "  ");
    else if (question.quantity && question.choices.empty())
        out += wrapped(fmt::format("type an amount, such as {}", question.example), width, "  ", "  ");
    else if (question.quantity)
        out += wrapped(fmt::format("or type what you measured, with its unit, such as {}", question.example), width,
                       "  ", "  ");
    if (question.several) out += "  more than one may hold: 1 3\n";
    const bool meter = std::any_of(question.tools.begin(), question.tools.end(), [](const std::string& tool) {
        return tool == "meter" || tool == "multimeter" || tool == "clamp meter";
    });
    out += inked(fmt::format("  how · why · don't know · can't{} · back · stop", meter ? " · no meter" : ""), Ink::dim,
                 style) +
           "\n";
    return out;
}

std::string how_text(const GuideQuestion& question, const TextStyle& style) {
    const std::size_t width = style.width;
    std::string out = caution_block(question.cautions, style);
    if (!question.power.empty()) out += wrapped(question.power, width);
    if (question.steps.empty()) out += "there is nothing special to do\n";
    out += numbered(question.steps, width);
    for (const std::string& how : opening_sentences(question.opens_names, question.opens_how))
        out += wrapped(how, width, "  ", "    ");
    if (!question.tools.empty()) out += wrapped("Tools: " + join_words(question.tools) + ".", width, "  ", "  ");
    if (!question.normal_looks.empty()) out += wrapped("Normal: " + question.normal_looks, width, "  ", "  ");
    if (!question.often_mistaken.empty())
        out += wrapped("Often mistaken: " + question.often_mistaken, width, "  ", "  ");
    std::size_t number = 0;
    for (const Choice& choice : question.choices) {
        ++number;
        if (choice.looks.empty()) continue;
        const std::string mark = fmt::format(" {:>2} ", number);
        out += wrapped(fmt::format("{}: {}", choice.words, choice.looks), width, mark, "    ");
    }
    return out;
}

std::string why_text(const GuideQuestion& question, const TextStyle& style) {
    std::string out;
    out += wrapped(question.why.empty() ? "It narrows down what this unit can have." : question.why, style.width);
    for (const ReportOutcome& outcome : question.expect) {
        if (outcome.probability < 0.01) continue;
        out += wrapped(fmt::format("{} (chance {}) → {} {}", outcome.words, percent_words(outcome.probability),
                                   outcome.leader_name, percent_words(outcome.leader_probability)),
                       style.width, "  ", "    ");
    }
    return out;
}

std::string answer_text(const View& view, const TextStyle& style) {
    const std::size_t width = style.width;
    std::string out;
    for (const Recorded& recorded : view.recorded) {
        std::string words;
        Behind behind;
        if (recorded.taken_back) {
            words = fmt::format("Taken back: {} {}.", recorded.name, recorded.words);
        } else if (recorded.skipped) {
            words = fmt::format("{}: skipped ({}).", sentence_case(recorded.name), recorded.words);
        } else {
            words = fmt::format("Put down: {} {}{}.", recorded.name, recorded.words,
                                recorded.remark.empty() ? "" : fmt::format(" ({})", recorded.remark));
            for (const Spoke& spoke : view.spoke)
                if (spoke.reading == recorded.reading) {
                    words += " " + spoke_sentence(spoke);
                    behind = spoke.behind;
                }
        }
        out += wrapped(words, width) + behind_line(behind, width);
    }
    if (view.nothing_to_undo) out += "This is the first question; there is nothing to go back to.\n";
    for (const std::string& warning : view.new_warnings) out += wrapped(warning, width, "", "  ");
    if (!view.leaders.empty() && !view.recorded.empty()) {
        const std::string lead = "So far: ";
        out += lead + leaders_line(view, {width - lead.size(), style.colour}, 2);
    }
    // What stands with the next question, or in the recap, is not said twice in a row.
    std::vector<ReportCaution> here;
    const bool ended = view.question && view.question->about == GuideQuestion::About::none;
    for (const ReportCaution& caution : view.new_cautions) {
        const bool follows =
            view.question && std::any_of(view.question->cautions.begin(), view.question->cautions.end(),
                                         [&](const ReportCaution& c) { return c.id == caution.id; });
        if (!ended && !follows) here.push_back(caution);
    }
    out += caution_block(here, style);
    return out;
}

std::string recap_text(const Recap& recap, const TextStyle& style) {
    std::string out =
        heading(fmt::format("Recap: {}, {}", recap.leader_name.empty() ? "no conclusion" : recap.leader_name,
                            percent_words(recap.probability)),
                style);
    out += wrapped(recap.report.conclusion, style.width);
    out += "\n" + what_to_do(recap, style);
    out += evidence(recap, style);
    if (!recap.path.empty()) {
        out += the_way(recap, style);
        if (recap.report.action != Action::test) out += shorter_way(recap, style);
    }
    // The first lines may have left the screen by now.
    if (recap.report.action != Action::test) out += "\n" + wrapped("In short: " + in_short(recap.report), style.width);
    return out;
}

}  // namespace frostread::present
