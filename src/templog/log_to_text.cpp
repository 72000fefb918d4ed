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
    TextWriter(const Log& log, const LogFindings& findings, const LogStyle& style)
        : log_(log), findings_(findings), style_(style), words_(log, findings, style.units) {}

    std::string write() {
        line(printable(log_.name, 60) + " · " + words_.headline());
        blank();
        cautions();
        compartments();
        facts();
        for (std::string& plot_line : text_plot(log_, findings_, style_)) {
            line(plot_line);
        }
        blank();
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
        line("             mean     swing    lowest   highest   above the limit");
        for (const LogCompartment& c : findings_.compartments) {
            const bool spell = c.longest_above.length() > 0.0;
            line("  " + padded(std::string(frostread::to_word(c.channel)), 8, false) +
                 padded(words_.temperature(c.steady_mean.value_or(c.mean)), 9, true) +
                 padded(c.swing ? words_.difference(*c.swing) : "-", 9, true) +
                 padded(words_.temperature(c.minimum), 10, true) + padded(words_.temperature(c.maximum), 10, true) +
                 "   " +
                 (spell ? fixed(c.hours_above, 1) + " h above " + words_.limit(c) + ", longest " +
                              duration(c.longest_above.length())
                        : "never above " + words_.limit(c)));
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
        for (const LogWords::Fact& fact : words_.facts()) {
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
    LogStyle style_;
    LogWords words_;
    std::string out_;
};

}  // namespace

std::string log_to_text(const Log& log, const LogFindings& findings, const LogStyle& style) {
    return TextWriter(log, findings, style).write();
}

}  // namespace frostread
