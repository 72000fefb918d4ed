#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "present/text_practice.hpp"
#include "present/text_session.hpp"
#include "present/writers.hpp"

/// The end of a practice case.
namespace frostread::present {

namespace {

constexpr std::size_t kLabel = 12;  ///< columns of the names of the rows in the comparison
constexpr std::size_t kMoved = 22;  ///< columns of "3 → 12 %" behind a step of the way

std::string heading(const std::string& text, const TextStyle& style) {
    std::string out;
    for (const std::string& part : wrap(text, style.width)) out += inked(part, Ink::bold, style) + "\n";
    return out;
}

std::string judged_words(Judgement judged) {
    switch (judged) {
        case Judgement::right:
            return "right";
        case Judgement::partly:
            return "half right";
        case Judgement::wrong:
            return "wrong";
        case Judgement::none:
            break;
    }
    return "not judged";
}

std::string verdict_line(const PracticeResult& result) {
    const std::string was = result.hidden.empty() ? "nothing was wrong" : "it was " + result.hidden_words;
    switch (result.you.judged) {
        case Judgement::right:
            return fmt::format("Right: {}.", was);
        case Judgement::partly:
            return fmt::format("Half right: {}. What you named is not all of it, or more than it.", was);
        case Judgement::wrong:
            return fmt::format("Wrong: {}.", was);
        case Judgement::none:
            break;
    }
    return fmt::format("Given up: {}.", was);
}

std::string points_line(const PracticeResult& result) {
    std::string out = fmt::format("{:.0f} of 100 points: {:.0f} of 60 for the verdict, {:.0f} of 40 for the way",
                                  result.points, result.points_verdict, result.points_way);
    if (result.points_hints > 0.0)
        out +=
            fmt::format(", less {:.0f} for {} hint{}", result.points_hints, result.hints, result.hints == 1 ? "" : "s");
    return out + ".";
}

/// The last line, since the first has left the screen by then.
std::string closing_line(const PracticeResult& result) {
    if (result.you.judged == Judgement::none) return "Given up: no points.";
    return fmt::format("{}: {:.0f} of 100 points.", sentence_case(judged_words(result.you.judged)), result.points);
}

std::size_t tests_of(const PracticeRun& run) {
    return run.rows.empty() ? 0 : run.rows.size() - 1;
}

/// Your figures beside the planner's.
std::string comparison(const PracticeResult& result, const TextStyle& style) {
    const std::size_t column = (style.width - kLabel) / 2;
    const auto cells = [&](const std::string& label, const std::string& you, const std::string& planner) {
        const std::vector<std::string> left = wrap(you, column - 2), right = wrap(planner, column - 2);
        std::string out;
        for (std::size_t i = 0; i < std::max(left.size(), right.size()); ++i) {
            std::string line = pad_right(i == 0 ? label : "", kLabel) +
                               pad_right(i < left.size() ? left[i] : "", column) + (i < right.size() ? right[i] : "");
            while (!line.empty() && line.back() == ' ') line.pop_back();
            out += line + "\n";
        }
        return out;
    };
    const PracticeRun &you = result.you, &planner = result.planner;
    std::string out =
        "\n" + inked(pad_right("", kLabel) + pad_right("you", column) + "the planner", Ink::bold, style) + "\n";
    out += cells("verdict", you.verdict_words, planner.verdict_words);
    out += cells("judged", judged_words(you.judged), judged_words(planner.judged));
    out += cells("checks", std::to_string(tests_of(you)), std::to_string(tests_of(planner)));
    out += cells("work", minutes_words(you.minutes), minutes_words(planner.minutes));
    if (you.wait_minutes > 0.0 || planner.wait_minutes > 0.0)
        out += cells("waiting", minutes_words(you.wait_minutes), minutes_words(planner.wait_minutes));
    out += cells("opened", std::to_string(you.opened), std::to_string(planner.opened));
    out += cells(result.hidden.empty() ? "the truth" : "right fault", percent_words(you.probability),
                 percent_words(planner.probability));
    return out;
}

/// "3 → 12 %", of the hidden fault that moved most.
std::string moved_words(const PracticeRow& row) {
    const PracticeMove* most = nullptr;
    for (const PracticeMove& move : row.moves)
        if (most == nullptr || std::abs(move.decibans) > std::abs(most->decibans)) most = &move;
    if (most == nullptr) return "";
    return fmt::format("{} → {}", percent_words(most->before), percent_words(most->after));
}

std::string way(const std::string& title, const PracticeRun& run, const TextStyle& style) {
    std::string out = "\n" + heading(title, style);
    for (const PracticeRow& row : run.rows) {
        const std::string time = step_minutes(row.minutes);
        std::string words = fmt::format("{} {}", row.name, row.words);
        if (row.wrong) words += " [a wrong reading]";
        const std::string mark = pad_left(time, 8) + "  ", moved = moved_words(row);
        const std::vector<std::string> lines = wrap(words, style.width - mark.size() - kMoved);
        for (std::size_t i = 0; i < lines.size(); ++i) {
            std::string line = (i == 0 ? mark : std::string(mark.size(), ' ')) + lines[i];
            if (i + 1 == lines.size()) line += pad_left(moved, style.width - display_width(line));
            out += line + "\n";
        }
    }
    out += fmt::format("{}  {}\n", pad_left("", 8), run.verdict_words);
    return out;
}

std::vector<std::string> named(const PracticeResult& result, const std::vector<std::size_t>& rows, bool with_weight) {
    std::vector<std::string> out;
    for (const std::size_t i : rows) {
        const PracticeRow& row = result.you.rows[i];
        std::string words = row.name;
        std::string remark = with_weight ? fmt::format("{:+.0f} dB", row.decibans()) : "";
        if (row.wrong) remark += (remark.empty() ? "" : "; ") + std::string("a wrong reading, as one in fifty is");
        if (!remark.empty()) words += fmt::format(" ({})", remark);
        if (std::find(out.begin(), out.end(), words) == out.end()) out.push_back(std::move(words));
    }
    return out;
}

std::string lessons(const PracticeResult& result, const TextStyle& style) {
    const auto line = [&](const std::string& lead, const std::string& text) {
        return wrapped(text, style.width, "  " + lead + ": ", "    ");
    };
    std::string out;
    if (tests_of(result.you) > 0) {
        out += "\n" + heading("What your checks told", style);
        out += line("most",
                    result.most.empty() ? "none told much by itself" : join_words(named(result, result.most, true)));
        if (!result.away.empty()) out += line("pointed away", join_words(named(result, result.away, true)));
        if (!result.nothing.empty()) out += line("next to nothing", join_words(named(result, result.nothing, false)));
    }
    out += "\n" + heading("What would have settled it faster", style);
    if (!result.enough.empty())
        out += wrapped(fmt::format("Of your own readings {} alone would have done: {} in place of {}, and {} sure.",
                                   join_words(result.enough), minutes_words(result.enough_minutes),
                                   minutes_words(result.you.minutes), percent_words(result.enough_probability)),
                       style.width, "  ", "  ");
    const bool planner_faster =
        result.planner.judged == Judgement::right && result.planner.minutes < result.you.minutes;
    if (planner_faster) {
        std::vector<std::string> missed;
        for (const PracticeRow& row : result.planner.rows) {
            const bool done = std::any_of(result.you.rows.begin(), result.you.rows.end(),
                                          [&](const PracticeRow& own) { return own.check == row.check; });
            if (!done && row.decibans() >= 3.0 && missed.size() < 3) missed.push_back(row.name);
        }
        out += wrapped(missed.empty() ? "The planner's way, with checks that you did too."
                                      : fmt::format("The planner's way; you did not look at: {}.", join_words(missed)),
                       style.width, "  ", "  ");
    } else if (result.you.judged < Judgement::right && result.planner.judged == Judgement::right) {
        out += wrapped(fmt::format("Nothing faster: more checks were wanted. The planner took {} and was right.",
                                   minutes_words(result.planner.minutes)),
                       style.width, "  ", "  ");
    } else if (result.enough.empty()) {
        out += wrapped("Nothing by much.", style.width, "  ", "  ");
    }
    return out;
}

std::string cures(const PracticeResult& result, const TextStyle& style) {
    std::string out;
    if (result.hidden.empty()) {
        out += "\n" + heading("The cure: none", style);
        return out + wrapped("Tell the owner what is normal, and leave the unit running as you found it.", style.width,
                             "  ", "  ");
    }
    out += "\n" + caution_block(result.cautions, style);
    for (const ReportRepair& cure : result.cures) {
        out += heading(fmt::format("The cure: {} ({}, parts about {})", cure.name, minutes_words(cure.minutes),
                                   plain_number(cure.parts)),
                       style);
        if (cure.who == Who::licensed)
            out += wrapped("This is work for a licensed refrigerant handler.", style.width, "  ", "  ");
        for (const std::string& proof : cure.proof)
            out += wrapped(fmt::format("Proof that it works: {}.", proof), style.width, "  ", "    ");
    }
    if (result.lost_cause())
        out += wrapped(fmt::format("It costs about {} and the unit is worth {}: retire it, unless the owner decides "
                                   "otherwise.",
                                   plain_number(result.repair_cost), plain_number(result.worth)),
                       style.width, "  ", "  ");
    return out;
}

}  // namespace

std::string practice_result(const PracticeResult& result, const TextStyle& style) {
    std::string out = heading(verdict_line(result), style);
    out += wrapped(points_line(result), style.width);
    out += comparison(result, style);
    std::string right = result.hidden.empty() ? "how sure that nothing is wrong" : "how sure of the right fault";
    if (result.hidden.size() > 1) right = "how sure of the one of the two that moved";
    out += way(fmt::format("Your way, and {}", right), result.you, style);
    out += way("The planner's way, with the same answers", result.planner, style);
    out += lessons(result, style);
    out += cures(result, style);
    out += fmt::format("\n{}\n", inked(closing_line(result), Ink::bold, style));
    out += wrapped(
        "Invented from the numbers of the rules: it tests the arithmetic and your method, not whether the "
        "rules are true.",
        style.width);
    return out;
}

}  // namespace frostread::present
