#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "frostread/present.hpp"
#include "present/report_words.hpp"
#include "present/text_session.hpp"
#include "present/writers.hpp"

/// A report for people: the answer, what can hurt, the ranking, the reasons, and last the next step.
namespace frostread {

namespace {

using present::Ink;
using present::inked;
using present::pad_left;
using present::pad_right;
using present::percent_words;
using present::wrapped;

constexpr double kWorthShowing = 0.02;  // rows of the ranking below this are left out after the third
constexpr double kSmallWeight = 0.5;    // decibans; smaller reasons are summed up in one row
constexpr std::size_t kBarWidth = 16;

/// "" when `count` is one.
const char* plural(std::size_t count) {
    return count == 1 ? "" : "s";
}

class Page {
public:
    Page(const Report& report, const ReportTextOptions& options)
        : report_(report), options_(options), style_(options.style), width_(options.style.width) {}

    std::string write() {
        header();
        cautions(outside_the_step());
        ranking();
        if (!report_.faults.empty() && !report_.faults.front().why.weights.empty()) {
            reasons(report_.faults.front());
        }
        asked_reasons();
        doubtful();
        pivotal();
        warnings();
        next();
        alternatives();
        repair_verdict();
        return std::move(out_);
    }

private:
    void blank() {
        if (!out_.empty()) {
            out_ += "\n";
        }
    }
    void line(const std::string& text) { out_ += text + "\n"; }
    void paragraph(const std::string& text, const std::string& first = "", const std::string& rest = "") {
        out_ += wrapped(text, width_, first, rest);
    }
    void heading(const std::string& text) {
        blank();
        for (const std::string& part : present::wrap(text, width_)) {
            line(inked(part, Ink::bold, style_));
        }
    }

    void header() {
        std::string words = report_.case_id ? fmt::format("Case {}", *report_.case_id) : "";
        if (!report_.unit_words.empty()) {
            words += (words.empty() ? "Unit: " : " · ") + report_.unit_words;
        }
        if (!words.empty()) {
            paragraph(words, "", "  ");
        }
        for (const std::string& overlay : report_.overlays) {
            paragraph(fmt::format("With your shop's own rules: {}", overlay), "", "  ");
        }
        blank();
        for (const std::string& part : present::wrap(report_.conclusion, width_)) {
            line(inked(part, Ink::bold, style_));
        }
    }

    /// Ids of the cautions that are printed right above the next step.
    [[nodiscard]] std::vector<std::string> step_cautions() const {
        if (report_.test) {
            return report_.test->cautions;
        }
        std::vector<std::string> ids;
        if (report_.repair && report_.action == Action::repair) {
            ids = report_.repair->cautions;
        }
        for (const ReportRepair& further : report_.same_visit) {
            ids.insert(ids.end(), further.cautions.begin(), further.cautions.end());
        }
        return ids;
    }

    /// Cautions that belong to no step below, most dangerous first.
    [[nodiscard]] std::vector<std::string> outside_the_step() const {
        const std::vector<std::string> below = step_cautions();
        std::vector<std::string> ids;
        for (const ReportCaution& caution : report_.cautions) {
            if (std::find(below.begin(), below.end(), caution.id) == below.end()) {
                ids.push_back(caution.id);
            }
        }
        return ids;
    }

    void caution_lines(const std::vector<std::string>& ids, const std::string& indent) {
        for (const ReportCaution& caution : report_.cautions) {
            if (std::find(ids.begin(), ids.end(), caution.id) != ids.end()) {
                bool first = true;
                for (const std::string& part : present::wrap(caution.text, width_ - indent.size() - 2)) {
                    line(indent + inked((first ? "! " : "  ") + part, Ink::caution, style_));
                    first = false;
                }
            }
        }
    }

    void cautions(const std::vector<std::string>& ids) {
        if (!ids.empty()) {
            blank();
            caution_lines(ids, "");
        }
    }

    static std::string grade_words(const ReportFault& fault) {
        std::string words;
        for (std::size_t i = 0; i < fault.grades.size() && i < fault.grade_names.size(); ++i) {
            if (fault.grades[i].second >= 0.005) {
                words += fmt::format("{}{} {}", words.empty() ? "" : ", ", fault.grade_names[i],
                                     std::lround(fault.grades[i].second * 100.0));
            }
        }
        return words.empty() ? "" : fmt::format(" ({})", words);
    }

    void ranking() {
        blank();
        std::size_t shown = 0;
        const double most = std::max(report_.faults.empty() ? 0.0 : report_.faults.front().probability, 0.05);
        for (const ReportFault& fault : report_.faults) {
            if (shown >= options_.max_faults || (shown >= 3 && fault.probability < kWorthShowing)) {
                break;
            }
            const std::string bar = present::bar(fault.probability / std::max(most, 0.5), kBarWidth);
            const std::string lead =
                fmt::format(" {}  {}  ", pad_left(percent_words(fault.probability), 11), pad_right(bar, kBarWidth));
            const std::string words = fault.name + grade_words(fault);
            const std::vector<std::string> parts = present::wrap(words, width_ - 32);
            line(lead + inked(parts.front(), shown == 0 ? Ink::bold : Ink::plain, style_));
            for (std::size_t i = 1; i < parts.size(); ++i) {
                line(std::string(32, ' ') + parts[i]);
            }
            ++shown;
        }
        line(fmt::format(" {}  {}  nothing wrong · {} something not listed",
                         pad_left(percent_words(report_.nothing_wrong), 11),
                         pad_right(present::bar(report_.nothing_wrong / std::max(most, 0.5), kBarWidth), kBarWidth),
                         percent_words(report_.something_else)));
    }

    /// Rounds to tenths so that the rows still add up to the rounded total.
    static std::vector<long> tenths(const std::vector<double>& parts, double total) {
        std::vector<long> rounded;
        for (const double part : parts) {
            rounded.push_back(std::lround(part * 10.0));
        }
        long missing = std::lround(total * 10.0) - std::accumulate(rounded.begin(), rounded.end(), 0L);
        const long direction = missing > 0 ? 1 : -1;
        while (missing != 0 && !parts.empty()) {
            std::size_t best = 0;
            double most = -1e300;
            for (std::size_t i = 0; i < parts.size(); ++i) {
                const double error =
                    (parts[i] * 10.0 - static_cast<double>(rounded[i])) * static_cast<double>(direction);
                if (error > most) {
                    most = error;
                    best = i;
                }
            }
            rounded[best] += direction;
            missing -= direction;
        }
        return rounded;
    }

    static std::string decibans(long tenth) {
        return fmt::format("{}{}.{}", tenth < 0 ? "-" : "", std::labs(tenth) / 10, std::labs(tenth) % 10);
    }

    static std::string odds_words(double margin_db) {
        const double odds = std::pow(10.0, std::abs(margin_db) / 10.0);
        const std::string number = odds >= 1e6    ? std::string("over a million")
                                   : odds >= 10.0 ? fmt::format("{:.0f}", odds)
                                                  : fmt::format("{:.1f}", odds);
        return margin_db >= 0 ? number + " : 1" : "1 : " + number;
    }

    struct Reason {
        std::string name;
        std::string value;
        double decibans = 0.0;
    };

    static std::vector<Reason> reason_rows(const ReportLedger& why) {
        std::vector<Reason> rows;
        double small = 0.0;
        std::size_t small_count = 0;
        for (const ReportWeight& weight : why.weights) {
            if (std::abs(weight.decibans) < kSmallWeight) {
                small += weight.decibans;
                ++small_count;
            } else {
                rows.push_back({weight.check_name, weight.value_words, weight.decibans});
            }
        }
        if (small_count > 0) {
            rows.push_back(
                {fmt::format("{} other reading{}", small_count, plural(small_count)), "little either way", small});
        }
        rows.push_back({"how often it is the cause", "", why.prior_db});
        return rows;
    }

    void reasons(const ReportFault& fault) {
        const ReportLedger& why = fault.why;
        heading(fmt::format("Why {} rather than {}", why.favoured_words, why.rival_words));
        const std::vector<Reason> rows = reason_rows(why);
        std::vector<double> parts;
        std::size_t name_width = 0;
        for (const Reason& row : rows) {
            parts.push_back(row.decibans);
            name_width = std::max(name_width, present::display_width(row.name));
        }
        name_width = std::min<std::size_t>(name_width, 28);
        const std::size_t numbers = 18;  // two columns of nine
        const std::size_t value_width = width_ - 4 - name_width - numbers - 2;
        line(std::string(width_ - numbers, ' ') + inked(pad_left("for", 9) + pad_left("against", 9), Ink::dim, style_));
        const std::vector<long> rounded = tenths(parts, why.margin_db);
        for (std::size_t i = 0; i < rows.size(); ++i) {
            const bool against = rounded[i] < 0;
            const std::string number = decibans(std::labs(rounded[i]));
            const std::vector<std::string> value = present::wrap(rows[i].value, value_width);
            std::vector<std::string> name = present::wrap(rows[i].name, name_width);
            const std::size_t height = std::max(value.size(), name.size());
            for (std::size_t k = 0; k < height; ++k) {
                std::string text = "  " + pad_right(k < name.size() ? name[k] : "", name_width) + "  " +
                                   pad_right(k < value.size() ? value[k] : "", value_width + 2);
                if (k == 0) {
                    text += against ? pad_left("", 9) + pad_left(number, 9) : pad_left(number, 9);
                }
                text.erase(text.find_last_not_of(' ') + 1);
                line(text);
            }
        }
        const long sum = std::lround(why.margin_db * 10.0);
        const std::string total = fmt::format("sum {} decibans ({})", decibans(sum), odds_words(why.margin_db));
        line(pad_left(total, width_));
    }

    void asked_reasons() {
        if (options_.why_fault.empty()) {
            return;
        }
        for (std::size_t i = 1; i < report_.faults.size(); ++i) {
            if (report_.faults[i].id == options_.why_fault) {
                reasons(report_.faults[i]);
            }
        }
    }

    void doubtful() {
        if (report_.doubtful.empty()) {
            return;
        }
        heading("Doubtful: does not fit the rest, measure it again");
        for (const ReportDoubt& doubt : report_.doubtful) {
            paragraph(fmt::format("{}: {} (wrong with {})", doubt.check_name, doubt.value_words,
                                  percent_words(doubt.probability_wrong)),
                      "  ", "    ");
        }
    }

    void pivotal() {
        if (report_.pivotal.empty()) {
            return;
        }
        heading("What would change the answer");
        std::size_t shown = 0;
        for (const ReportPivot& pivot : report_.pivotal) {
            if (++shown > 3) {
                break;
            }
            paragraph(fmt::format("{}: {} instead → {}", pivot.check_name, pivot.instead_words, pivot.new_leader_name),
                      "  ", "    ");
        }
    }

    void warnings() {
        if (report_.warnings.empty()) {
            return;
        }
        heading("Mind");
        for (const std::string& warning : report_.warnings) {
            paragraph(warning, "  ", "    ");
        }
    }

    void steps(const std::vector<std::string>& list) {
        std::size_t number = 0;
        for (const std::string& step : list) {
            const std::string mark = fmt::format("  {}. ", ++number);
            paragraph(step, mark, std::string(mark.size(), ' '));
        }
    }

    static std::string time_words(const ReportTest& test) {
        std::string words = present::minutes_words(test.minutes);
        if (test.wait_minutes > 0.0) {
            words += fmt::format(" of work after {} of waiting", present::minutes_words(test.wait_minutes));
        }
        return words;
    }

    void test_block(const std::string& lead) {
        const ReportTest& test = *report_.test;
        heading(fmt::format("{}{} ({}){}", lead, test.question.empty() ? test.name : test.question, time_words(test),
                            test.repeat ? ", once more" : ""));
        caution_lines(test.cautions, "  ");
        steps(test.steps);
        if (!report_.because.empty()) {
            paragraph(report_.because, "  ", "  ");
        }
        if (!test.also.empty()) {
            std::vector<std::string> also;
            for (std::size_t i = 0; i < test.also_names.size(); ++i) {
                also.push_back(
                    fmt::format("{} ({})", test.also_names[i], present::minutes_words(test.also_minutes[i])));
            }
            const std::string open = test.opens_names.empty() ? "While you are there" : "While it is open";
            paragraph(fmt::format("{}, also: {}.", open, present::join_words(also)), "  ", "  ");
        }
    }

    void next() {
        if (report_.ask) {
            blank();
            paragraph(fmt::format("Ask first (-u {}=…): {}", report_.ask->trait, present::question_words(*report_.ask)),
                      "", "  ");
        }
        switch (report_.action) {
            case Action::test:
                if (report_.test) {
                    test_block("Next: ");
                }
                break;
            case Action::repair:
                blank();
                out_ += present::repair_text(report_, "Next: ", report_.because, style_);
                break;
            case Action::retire:
                heading("Next: retire the unit");
                because();
                break;
            case Action::refer:
                heading("Next: stop here and call a licensed refrigerant handler");
                because();
                if (report_.test) {
                    test_block("What the handler would look at: ");
                }
                break;
            case Action::finish:
                heading("Next: nothing more to do");
                because();
                break;
        }
    }

    void because() {
        if (!report_.because.empty()) {
            paragraph(report_.because, "  ", "  ");
        }
    }

    void alternatives() {
        if (report_.action != Action::test) {
            return;
        }
        std::vector<std::string> names;
        for (const ReportTest& test : report_.alternatives) {
            if (names.size() == 3) {
                break;
            }
            names.push_back(fmt::format("{} ({})", test.name, present::minutes_words(test.minutes)));
        }
        if (!names.empty()) {
            paragraph(fmt::format("Or instead: {}.", present::join_words(names, "or")), "  ", "  ");
        }
    }

    /// While testing goes on, the owner may want to know that the repair in view will not pay.
    void repair_verdict() {
        if (report_.action != Action::test || report_.repairs.empty()) {
            return;
        }
        const ReportRepair& repair = report_.repairs.front();
        if (repair.cost > report_.worth) {
            blank();
            paragraph(
                fmt::format("If it is {}: to {} costs about {} {}, and the unit is worth about {}. Retire it, unless "
                            "the owner decides otherwise.",
                            repair.fault_name, repair.name, present::plain_number(repair.cost), report_.currency,
                            present::plain_number(report_.worth)));
        }
    }

    const Report& report_;
    const ReportTextOptions& options_;
    const TextStyle& style_;
    std::size_t width_;
    std::string out_;
};

}  // namespace

std::string to_text(const Report& report, const ReportTextOptions& options) {
    return Page(report, options).write();
}

}  // namespace frostread
