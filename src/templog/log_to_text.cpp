#include <algorithm>

#include "frostread/templog.hpp"
#include "templog/log_plot.hpp"
#include "templog/log_text.hpp"
#include "templog/log_words.hpp"

namespace frostread {

namespace {

using namespace templog;

std::string padded(const std::string& text, std::size_t width, bool right) {
    const std::size_t wide = display_width(text);
    const std::string blanks(wide < width ? width - wide : 0, ' ');
    return right ? blanks + text : text + blanks;
}

class TextWriter {
public:
    TextWriter(const Log& log, const LogFindings& findings, const std::vector<Reading>& readings, const LogStyle& style)
        : log_(log), findings_(findings), readings_(readings), style_(style), words_(log, findings, style.units) {}

    std::string write() {
        cautions();
        paragraph(file_title(log_.name) + " · " + words_.headline(), 2);
        blank();
        compartments();
        facts();
        for (std::string& plot_line : text_plot(log_, findings_, style_)) {
            line(plot_line);
        }
        blank();
        readings();
        quality();
        return std::move(out_);
    }

private:
    void line(const std::string& text) { out_ += text + "\n"; }
    void blank() { out_ += "\n"; }
    void paragraph(const std::string& text, std::size_t indent) {
        for (const std::string& each : wrap(text, style_.width, indent)) {
            line(each);
        }
    }

    void cautions() {
        for (const LogCaution& caution : findings_.cautions) {
            const auto lines = wrap("! " + caution.text, style_.width, 2);
            for (const std::string& each : lines) {
                line(style_.colour ? "\x1b[1;31m" + each + "\x1b[0m" : each);
            }
            blank();
        }
    }

    void compartments() {
        if (findings_.compartments.empty() && !findings_.room_mean) {
            return;
        }
        line("             mean     swing    lowest   highest");
        for (const LogCompartment& c : findings_.compartments) {
            line("  " + padded(std::string(frostread::to_word(c.channel)), 8, false) +
                 padded(words_.temperature(c.steady_mean.value_or(c.mean)), 9, true) +
                 padded(c.swing ? words_.difference(*c.swing) : "-", 9, true) +
                 padded(words_.temperature(c.minimum), 10, true) + padded(words_.temperature(c.maximum), 10, true));
        }
        if (findings_.room_mean) {
            line("  " + padded("room", 8, false) + padded(words_.temperature(*findings_.room_mean), 9, true));
        }
        if (!findings_.compartments.empty()) {
            line("  " + words_.where_from());
        }
        blank();
    }

    void facts() {
        auto all = words_.facts();
        if (!findings_.compartments.empty()) {
            all.insert(all.begin(), words_.above_limits());
        }
        for (const LogWords::Fact& fact : all) {
            bool first = true;
            for (const std::string& sentence : fact.sentences) {
                paragraph(padded(first ? fact.subject : "", 12, false) + sentence, 12);
                first = false;
            }
        }
        for (const std::string& remark : findings_.remarks) {
            paragraph(padded("Note", 12, false) + remark, 12);
        }
        blank();
    }

    void readings() {
        bool first = true;
        for (const Reading& reading : readings_) {
            paragraph(padded(first ? "Readings" : "", 12, false) + padded(reading.check, 18, false) +
                          shown_value(reading) + (reading.sure ? "" : " (not sure)"),
                      14);
            first = false;
        }
        if (!first) {
            blank();
        }
    }

    void quality() {
        line("Rows        " + words_.rows());
        for (const LogIssue& issue : log_.issues) {
            paragraph(std::string(12, ' ') + words_.issue(issue), 14);
        }
        bool first = true;
        for (const std::string& assumption : log_.assumptions) {
            paragraph(padded(first ? "Assumed" : "", 12, false) + assumption, 12);
            first = false;
        }
    }

    const Log& log_;
    const LogFindings& findings_;
    const std::vector<Reading>& readings_;
    LogStyle style_;
    LogWords words_;
    std::string out_;
};

}  // namespace

std::string log_to_text(const Log& log, const LogFindings& findings, const std::vector<Reading>& readings,
                        const LogStyle& style) {
    return TextWriter(log, findings, readings, style).write();
}

}  // namespace frostread
