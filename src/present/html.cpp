#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "frostread/present.hpp"
#include "present/report_words.hpp"
#include "present/text_session.hpp"
#include "present/writers.hpp"

/// One self-contained page: no script, nothing fetched, everything escaped.
namespace frostread {

namespace {

using present::html_escape;
using present::minutes_words;
using present::percent_words;
using present::plain_number;

constexpr std::size_t kRows = 8;

std::string element(const char* tag, std::string_view text, std::string_view attributes = "") {
    return fmt::format("<{}{}>{}</{}>\n", tag, attributes, html_escape(text), tag);
}

std::string caution_list(const Report& report, const std::vector<std::string>* only) {
    std::string items;
    for (const ReportCaution& caution : report.cautions) {
        if (only == nullptr || std::find(only->begin(), only->end(), caution.id) != only->end()) {
            items += element("li", caution.text);
        }
    }
    return items.empty() ? "" : "<ul class=\"cautions\">\n" + items + "</ul>\n";
}

std::string numbered(const std::vector<std::string>& steps) {
    std::string items;
    for (const std::string& step : steps) {
        items += element("li", step);
    }
    return items.empty() ? "" : "<ol>\n" + items + "</ol>\n";
}

std::string ranking(const Report& report) {
    std::string rows;
    const auto row = [&](double probability, const std::string& name) {
        rows += fmt::format(
            "<tr><td class=\"number\">{}</td><td class=\"bar\"><span "
            "style=\"width:{:.1f}%\"></span></td><td>{}</td></tr>\n",
            percent_words(probability), std::clamp(probability * 100.0, 0.0, 100.0), html_escape(name));
    };
    for (std::size_t i = 0; i < report.faults.size() && i < kRows; ++i) {
        const ReportFault& fault = report.faults[i];
        std::string grades;
        for (std::size_t k = 0; k < fault.grades.size() && k < fault.grade_names.size(); ++k) {
            grades += fmt::format("{}{} {}", grades.empty() ? " (" : ", ", fault.grade_names[k],
                                  percent_words(fault.grades[k].second));
        }
        row(fault.probability, fault.name + grades + (grades.empty() ? "" : ")"));
    }
    row(report.nothing_wrong, "nothing wrong");
    row(report.something_else, "something that is not listed");
    return "<h2>How likely</h2>\n<table>\n" + rows + "</table>\n";
}

std::string reasons(const Report& report) {
    if (report.faults.empty() || report.faults.front().why.weights.empty()) {
        return "";
    }
    const ReportLedger& why = report.faults.front().why;
    std::string rows;
    const auto row = [&](const std::string& name, const std::string& value, double decibans) {
        rows += fmt::format("<tr><td>{}</td><td>{}</td><td class=\"number\">{:+.1f}</td></tr>\n", html_escape(name),
                            html_escape(value), decibans);
    };
    for (const ReportWeight& weight : why.weights) {
        row(weight.check_name, weight.value_words, weight.decibans);
    }
    row("how often it is the cause", "", why.prior_db);
    std::string behind;
    for (const std::string& reason : present::told_reasons(why)) {
        behind += element("li", reason);
    }
    row("sum", "", why.margin_db);
    return element("h2", fmt::format("Why {} rather than {}", why.favoured_words, why.rival_words)) +
           "<table>\n<tr><th>reading</th><th>what it was</th><th class=\"number\">weight in decibans</th></tr>\n" +
           rows + "</table>\n" +
           element("p", "Ten decibans make one explanation ten times likelier than the other.", " class=\"small\"") +
           (behind.empty() ? "" : "<ul>\n" + behind + "</ul>\n");
}

std::string list_section(const char* title, const std::vector<std::string>& lines) {
    std::string items;
    for (const std::string& line : lines) {
        items += element("li", line);
    }
    return items.empty() ? "" : element("h2", title) + "<ul>\n" + items + "</ul>\n";
}

std::string doubts(const Report& report) {
    std::vector<std::string> lines;
    for (const ReportDoubt& doubt : report.doubtful) {
        lines.push_back(fmt::format("{}: {} (wrong with {})", doubt.check_name, doubt.value_words,
                                    percent_words(doubt.probability_wrong)));
    }
    return list_section("Doubtful readings: measure again", lines);
}

std::string test_block(const Report& report, const char* lead) {
    const ReportTest& test = *report.test;
    std::string time = minutes_words(test.minutes);
    if (test.wait_minutes > 0.0) {
        time += fmt::format(" of work after {} of waiting", minutes_words(test.wait_minutes));
    }
    std::string out =
        element("h2", fmt::format("{}{} ({})", lead, test.question.empty() ? test.name : test.question, time));
    out += caution_list(report, &test.cautions) + numbered(test.steps);
    for (const std::string& how : present::opening_sentences(test.opens_names, test.opens_how)) {
        out += element("p", how);
    }
    out += report.because.empty() ? "" : element("p", report.because);
    std::vector<std::string> also;
    for (std::size_t i = 0; i < test.also_names.size(); ++i) {
        also.push_back(fmt::format("{} ({})", test.also_names[i], minutes_words(test.also_minutes[i])));
    }
    if (!also.empty()) {
        out += element(
            "p", fmt::format("{}, also: {}.", test.opens_names.empty() ? "While you are there" : "While it is open",
                             present::join_words(also)));
    }
    return out;
}

std::string repair_block(const Report& report, const ReportRepair& repair, const std::vector<std::string>& cautions,
                         const char* lead, const std::string& reason) {
    std::string out = element("h2", fmt::format("{}: {} ({}, parts about {})", lead, repair.name,
                                                minutes_words(repair.minutes), plain_number(repair.parts)));
    out += cautions.empty() ? "" : caution_list(report, &cautions);
    out += numbered(repair.steps);
    out += reason.empty() ? "" : element("p", reason);
    for (const std::string& proof : repair.proof) {
        out += element("p", fmt::format("Proof that it works: {}.", proof));
    }
    return out;
}

std::string repair_blocks(const Report& report) {
    std::string out = repair_block(report, *report.repair, report.repair->cautions, "Next", report.because);
    for (std::size_t i = 0; i < report.same_visit.size(); ++i) {
        const ReportRepair& further = report.same_visit[i];
        out += repair_block(report, further, present::further_cautions(report, i), "On the same visit",
                            present::same_visit_reason(further));
    }
    return out;
}

std::string verdict(const Report& report, const char* title) {
    std::string out = element("h2", title);
    return out + (report.because.empty() ? "" : element("p", report.because));
}

std::string next_step(const Report& report) {
    std::string out;
    switch (report.action) {
        case Action::test:
            out = report.test ? test_block(report, "Next: ") : "";
            break;
        case Action::repair:
            out = report.repair ? repair_blocks(report) : "";
            break;
        case Action::retire:
            out = verdict(report, "Next: retire the unit");
            break;
        case Action::refer:
            out = verdict(report, "Next: stop here and call a licensed refrigerant handler");
            break;
        case Action::finish:
            out = verdict(report, "Next: nothing more to do");
            break;
    }
    const std::string leave = present::close_up(report);
    return out + (leave.empty() || report.action == Action::test ? "" : element("p", leave));
}

std::string next(const Report& report) {
    const std::string ask = report.ask ? element("p", fmt::format("Ask first (-u {}=…): {}", report.ask->trait,
                                                                  present::question_words(*report.ask)))
                                       : "";
    const std::string out = ask + next_step(report);
    return out.empty() ? "" : "<div class=\"next\">\n" + out + "</div>\n";
}

}  // namespace

std::string to_html(const Report& report) {
    const std::string title = report.case_id ? fmt::format("Case {}", *report.case_id) : "Diagnosis";
    std::string out =
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n" +
        element("title", title) + "<style>" + std::string(present::html_style()) + "</style>\n</head>\n<body>\n";
    out += element("h1", title);
    out += report.unit_words.empty() ? "" : element("p", report.unit_words, " class=\"unit\"");
    for (const std::string& overlay : report.overlays) {
        out += element("p", fmt::format("With your shop's own rules: {}", overlay), " class=\"unit\"");
    }
    out += element("p", report.conclusion, " class=\"answer\"");
    out += caution_list(report, nullptr);
    out += next(report) + ranking(report) + reasons(report) + doubts(report);
    out += list_section("Mind", report.warnings);
    out += element("p",
                   fmt::format("Rules: {} {}. The advice gives way to local law, to licensed practice and to the "
                               "unit's own wiring diagram and rating plate.",
                               report.library_name, report.library_version),
                   " class=\"small\"");
    return out + "</body>\n</html>\n";
}

}  // namespace frostread
