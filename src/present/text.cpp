#include <fmt/format.h>

#include <algorithm>
#include <cmath>

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
constexpr std::size_t kBarWidth = 16;

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

    void reasons(const ReportFault& fault) {
        heading(fmt::format("Why {} rather than {}", fault.why.favoured_words, fault.why.rival_words));
        out_ += present::reason_table(fault.why, style_);
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
        for (const std::string& how : present::opening_sentences(test.opens_names, test.opens_how)) {
            paragraph(how, "  ", "    ");
        }
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
        out_ += present::before_you_go(report_, style_);
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
