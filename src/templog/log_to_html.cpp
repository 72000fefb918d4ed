#include <algorithm>

#include "base/markup.hpp"
#include "frostread/templog.hpp"
#include "templog/log_svg.hpp"
#include "templog/log_text.hpp"
#include "templog/log_words.hpp"

namespace frostread {

namespace {

using namespace templog;

constexpr std::string_view kStyle = R"(
body{font:15px/1.5 "Segoe UI","Helvetica Neue",Arial,"DejaVu Sans",sans-serif;color:#23272e;margin:0 auto;max-width:1040px;padding:24px}
h1{font-size:24px;margin:0}h2{font-size:17px;margin:28px 0 8px;border-bottom:1px solid #dde1e6;padding-bottom:4px}
.sub{color:#666c75;margin:2px 0 18px}
.caution{background:#fdeceb;border:1px solid #c6281c;border-left:6px solid #c6281c;border-radius:4px;color:#8f1a11;font-weight:600;padding:12px 16px;margin:0 0 18px}
.cards{display:grid;gap:12px;grid-template-columns:repeat(auto-fit,minmax(140px,1fr));margin:0 0 18px}
.card{border:1px solid #dde1e6;border-radius:6px;padding:10px 14px}
.card b{display:block;font-size:24px;line-height:1.25;white-space:nowrap}.card span{color:#666c75;font-size:13px}
.card .bad{color:#c6281c}
svg{height:auto;max-width:100%}
table{border-collapse:collapse;width:100%}th{color:#666c75;font-size:13px;font-weight:600;text-align:left}
th,td{border-bottom:1px solid #eceef1;padding:5px 12px 5px 0;vertical-align:top}td.n,th.n{text-align:right;white-space:nowrap}
dl{display:grid;grid-template-columns:120px 1fr;margin:0}dt{font-weight:600}dd{margin:0 0 6px}
.small{color:#666c75;font-size:13px}
@media print{body{padding:0;max-width:none}h2{break-after:avoid}tr,.card,svg{break-inside:avoid}}
)";

class HtmlWriter {
public:
    HtmlWriter(const Log& log, const LogFindings& findings, const std::vector<Reading>& readings, const LogStyle& style)
        : log_(log), findings_(findings), readings_(readings), style_(style), words_(log, findings, style.units) {}

    std::string write() {
        const std::string name = text::escaped(file_title(log_.name));
        out_ =
            "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" "
            "content=\"width=device-width, initial-scale=1\">\n<title>Temperature log " +
            name + "</title>\n<style>" + std::string(kStyle) + "</style>\n</head>\n<body>\n";
        for (const LogCaution& caution : findings_.cautions) {
            out_ += "<p class=\"caution\" role=\"alert\">" + text::escaped(caution.text) + "</p>\n";
        }
        out_ +=
            "<h1>Temperature log " + name + "</h1>\n<p class=\"sub\">" + text::escaped(words_.headline()) + "</p>\n";
        cards();
        out_ += draw_log(log_, findings_, style_, false);
        compartments();
        facts();
        defrosts();
        readings();
        quality();
        out_ += "</body>\n</html>\n";
        return std::move(out_);
    }

private:
    void card(const std::string& value, const std::string& what, bool bad) {
        out_ += "<div class=\"card\"><b" + std::string(bad ? " class=\"bad\"" : "") + ">" + text::escaped(value) +
                "</b><span>" + text::escaped(what) + "</span></div>\n";
    }

    void cards() {
        out_ += "<div class=\"cards\">\n";
        for (const LogCompartment& c : findings_.compartments) {
            card(words_.temperature(c.steady_mean.value_or(c.mean)),
                 std::string(to_word(c.channel)) + ", mean" + (c.steady_mean ? " when steady" : ""),
                 c.steady_mean.value_or(c.mean) > c.limit);
        }
        const auto share = findings_.steady_run_share ? findings_.steady_run_share : findings_.run_share;
        if (share) {
            card(fixed(100.0 * *share, 0) + " %", "compressor running", false);
        }
        if (findings_.running_watts) {
            card(fixed(*findings_.running_watts, 0) + " W", "while running", false);
        }
        if (findings_.defrost_visible) {
            card(std::to_string(findings_.defrosts.size()), findings_.defrosts.size() == 1 ? "defrost" : "defrosts",
                 false);
        }
        if (findings_.doors_visible) {
            card(std::to_string(findings_.doors.size()), findings_.doors.size() == 1 ? "door opening" : "door openings",
                 false);
        }
        out_ += "</div>\n";
    }

    void compartments() {
        if (findings_.compartments.empty()) {
            return;
        }
        out_ +=
            "<h2>Compartments</h2>\n<table>\n<tr><th></th><th class=\"n\">mean</th><th class=\"n\">swing</th><th "
            "class=\"n\">lowest</th><th class=\"n\">highest</th><th>above the limit</th></tr>\n";
        for (const LogCompartment& c : findings_.compartments) {
            const bool ever = c.longest_above.length() > 0.0;
            out_ += "<tr><td>" + std::string(to_word(c.channel)) + "</td>";
            for (const std::string& cell :
                 {words_.temperature(c.steady_mean.value_or(c.mean)), c.swing ? words_.difference(*c.swing) : "–",
                  words_.temperature(c.minimum), words_.temperature(c.maximum)}) {
                out_ += "<td class=\"n\">" + cell + "</td>";
            }
            out_ += "<td>" +
                    (ever ? fixed(c.hours_above, 1) + " h above " + words_.limit(c) + "; longest stretch " +
                                duration(c.longest_above.length()) + " from " + words_.when(c.longest_above.from)
                          : "never above " + words_.limit(c)) +
                    "</td></tr>\n";
        }
        out_ += "</table>\n<p class=\"small\">" + text::escaped(words_.where_from()) + ".</p>\n";
    }

    void facts() {
        out_ += "<h2>What the log shows</h2>\n<dl>\n";
        for (const LogWords::Fact& fact : words_.facts()) {
            out_ += "<dt>" + text::escaped(fact.subject) + "</dt><dd>";
            for (std::size_t i = 0; i < fact.sentences.size(); ++i) {
                out_ += (i > 0 ? "<br>" : "") + text::escaped(fact.sentences[i]);
            }
            out_ += "</dd>\n";
        }
        for (const std::string& remark : findings_.remarks) {
            out_ += "<dt>Note</dt><dd>" + text::escaped(remark) + "</dd>\n";
        }
        out_ += "</dl>\n";
    }

    void defrosts() {
        if (findings_.defrosts.empty()) {
            return;
        }
        out_ +=
            "<h2>Defrosts</h2>\n<table>\n<tr><th>start</th><th class=\"n\">heat</th><th class=\"n\">peak</th><th "
            "class=\"n\">freezer peak</th><th class=\"n\">cold again after</th><th class=\"n\">since the one "
            "before</th>"
            "<th class=\"n\">in run time</th></tr>\n";
        const std::size_t most = 40;
        for (std::size_t i = 0; i < std::min(most, findings_.defrosts.size()); ++i) {
            const LogDefrost& d = findings_.defrosts[i];
            out_ += "<tr><td>" + words_.when(d.start) + "</td>";
            for (const std::string& cell : {duration(d.heat_end - d.start), d.peak ? words_.temperature(*d.peak) : "–",
                                            d.freezer_peak ? words_.temperature(*d.freezer_peak) : "–",
                                            d.recovered ? duration(*d.recovered - d.start) : "–",
                                            d.interval_h ? fixed(*d.interval_h, 1) + " h" : "–",
                                            d.run_interval_h ? fixed(*d.run_interval_h, 1) + " h" : "–"}) {
                out_ += "<td class=\"n\">" + cell + "</td>";
            }
            out_ += "</tr>\n";
        }
        out_ += "</table>\n";
        if (findings_.defrosts.size() > most) {
            out_ += "<p class=\"small\">The first " + std::to_string(most) + " of " +
                    std::to_string(findings_.defrosts.size()) + ".</p>\n";
        }
    }

    void readings() {
        if (readings_.empty()) {
            return;
        }
        out_ +=
            "<h2>Readings for the diagnosis</h2>\n<table>\n<tr><th>check</th><th>value</th><th>where it comes "
            "from</th></tr>\n";
        for (const Reading& reading : readings_) {
            out_ += "<tr><td>" + text::escaped(reading.check) + "</td><td>" + text::escaped(shown_value(reading)) +
                    (reading.sure ? "" : " (not sure)") + "</td><td class=\"small\">" + text::escaped(reading.note) +
                    "</td></tr>\n";
        }
        out_ += "</table>\n";
    }

    void quality() {
        out_ += "<h2>The file</h2>\n<p>" + text::escaped(words_.rows()) + ".</p>\n";
        if (!log_.issues.empty() || !log_.assumptions.empty()) {
            out_ += "<ul>\n";
            for (const LogIssue& issue : log_.issues) {
                out_ += "<li>" + text::escaped(words_.issue(issue)) + "</li>\n";
            }
            for (const std::string& assumption : log_.assumptions) {
                out_ += "<li>Assumed: " + text::escaped(assumption) + "</li>\n";
            }
            out_ += "</ul>\n";
        }
        out_ +=
            "<p class=\"small\">Steady: whole compressor cycles outside defrosts and their recovery, door openings, "
            "the first pull-down and gaps. Swing: peak to peak within a cycle, the middle one.</p>\n";
    }

    const Log& log_;
    const LogFindings& findings_;
    const std::vector<Reading>& readings_;
    LogStyle style_;
    LogWords words_;
    std::string out_;
};

}  // namespace

std::string log_to_html(const Log& log, const LogFindings& findings, const std::vector<Reading>& readings,
                        const LogStyle& style) {
    return HtmlWriter(log, findings, readings, style).write();
}

}  // namespace frostread
