#include <algorithm>
#include <cmath>
#include <limits>

#include "base/markup.hpp"
#include "frostread/templog.hpp"
#include "templog/log_plot.hpp"
#include "templog/log_svg.hpp"
#include "templog/log_text.hpp"
#include "templog/log_words.hpp"

namespace frostread {

namespace {

using namespace templog;

constexpr double kWidth = 1000.0;
constexpr double kLeft = 74.0;
constexpr double kRight = 24.0;
constexpr double kPlot = kWidth - kLeft - kRight;
constexpr double kGap = 30.0;

struct Panel {
    std::vector<LogChannel> channels;
    std::string title;
    double height = 0.0;
    double top = 0.0;
    double low = 0.0, high = 1.0;
};

std::string_view colour_of(LogChannel channel) {
    switch (channel) {
        case LogChannel::fridge:
            return "#12805c";
        case LogChannel::freezer:
            return "#1c5fb0";
        case LogChannel::evaporator:
            return "#7b4fb5";
        case LogChannel::room:
            return "#8a8f98";
        case LogChannel::watts:
            return "#b8590a";
    }
    return "#000";
}

std::string px(double value) {
    return fixed(value, 1);
}

class SvgWriter {
public:
    SvgWriter(const Log& log, const LogFindings& findings, const LogStyle& style, bool with_heading)
        : with_heading_(with_heading),
          log_(log),
          findings_(findings),
          words_(log, findings, style.units),
          grid_(make_grid(log, findings.interval_s)),
          length_(log.seconds.back()) {}

    std::string write() {
        lay_out();
        const double height = bottom_ + 58.0;
        body_ += "<rect width=\"" + px(kWidth) + "\" height=\"" + px(height) + "\" fill=\"#fff\"/>\n";
        heading();
        for (const Panel& panel : panels_) {
            bands(panel);
        }
        for (const Panel& panel : panels_) {
            draw(panel);
        }
        running();
        doors();
        axis();
        legend();
        return "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 " + px(kWidth) + " " + px(height) +
               "\" width=\"" + px(kWidth) + "\" height=\"" + px(height) +
               "\" font-family=\"'Segoe UI','Helvetica Neue',Arial,'DejaVu Sans',sans-serif\" font-size=\"12\" "
               "fill=\"#33383f\" role=\"img\">\n<title>" +
               text::escaped(file_title(log_.name)) + "</title>\n" + body_ + "</svg>\n";
    }

private:
    [[nodiscard]] double x(double seconds) const { return kLeft + std::clamp(seconds / length_, 0.0, 1.0) * kPlot; }
    [[nodiscard]] static double y(const Panel& panel, double value) {
        return panel.top + panel.height - (value - panel.low) / (panel.high - panel.low) * panel.height;
    }
    [[nodiscard]] double shown(LogChannel channel, double value) const {
        return channel == LogChannel::watts ? value : words_.degrees(value);
    }

    void text(double at_x, double at_y, const std::string& what, std::string_view more = {}) {
        body_ += "<text x=\"" + px(at_x) + "\" y=\"" + px(at_y) + "\"" + (more.empty() ? "" : " " + std::string(more)) +
                 ">" + text::escaped(what) + "</text>\n";
    }

    /// Range of a panel: without the outermost thousandth, so that one spike does not flatten the rest.
    void scale(Panel& panel) {
        double low = std::numeric_limits<double>::infinity();
        double high = -low;
        for (const LogChannel channel : panel.channels) {
            for (const Slice& part : slices(grid_.of(channel), 900)) {
                if (!std::isnan(part.low)) {
                    low = std::min(low, shown(channel, static_cast<double>(part.low)));
                    high = std::max(high, shown(channel, static_cast<double>(part.high)));
                }
            }
        }
        if (panel.channels.front() == LogChannel::fridge) {
            // The food limit belongs into the picture of a fridge, unless it is far off.
            high = std::max(high, words_.degrees(4.6));
            low = words_.degrees(3.5) > low - 0.6 * (high - low) ? std::min(low, words_.degrees(3.5)) : low;
        }
        if (panel.channels.front() == LogChannel::watts) {
            low = std::min(low, 0.0);
        }
        const double space = std::max(0.06 * (high - low), 0.3);
        panel.low = panel.channels.front() == LogChannel::watts ? low : low - space;
        panel.high = high + space;
    }

    void lay_out() {
        const auto add = [&](std::vector<LogChannel> channels, std::string title, double height) {
            std::erase_if(channels, [&](LogChannel c) { return !grid_.has(c); });
            if (!channels.empty()) {
                panels_.push_back({std::move(channels), std::move(title), height, 0.0, 0.0, 1.0});
            }
        };
        add({LogChannel::fridge}, "Fridge", 190.0);
        add({LogChannel::freezer, LogChannel::evaporator}, grid_.has(LogChannel::freezer) ? "Freezer" : "Evaporator",
            190.0);
        add({LogChannel::watts}, "Power", 100.0);
        add({LogChannel::room}, "Room", 70.0);
        double top = 6.0;
        if (with_heading_) {
            top = 70.0;
            for (const LogCaution& caution : findings_.cautions) {
                top += 18.0 * static_cast<double>(wrap(caution.text, 125, 0).size()) + 26.0;
            }
        }
        for (Panel& panel : panels_) {
            scale(panel);
            panel.top = top + 18.0;
            top = panel.top + panel.height + kGap - 10.0;
        }
        bottom_ = top + (findings_.runs.empty() ? 0.0 : 26.0);
    }

    /// The caution stands above the title: it is the first thing to read.
    void heading() {
        if (!with_heading_) {
            return;
        }
        double top = 16.0;
        for (const LogCaution& caution : findings_.cautions) {
            const auto lines = wrap(caution.text, 125, 0);
            const double height = 18.0 * static_cast<double>(lines.size()) + 14.0;
            body_ += "<rect x=\"" + px(kLeft) + "\" y=\"" + px(top) + "\" width=\"" + px(kPlot) + "\" height=\"" +
                     px(height) + "\" rx=\"4\" fill=\"#fdeceb\" stroke=\"#c6281c\"/>\n";
            for (std::size_t i = 0; i < lines.size(); ++i) {
                text(kLeft + 14.0, top + 20.0 + 18.0 * static_cast<double>(i), lines[i],
                     "fill=\"#8f1a11\" font-weight=\"600\"");
            }
            top += height + 12.0;
        }
        text(kLeft, top + 16.0, file_title(log_.name), "font-size=\"19\" font-weight=\"600\"");
        text(kLeft, top + 36.0, words_.headline(), "fill=\"#666c75\"");
    }

    void rect(double from, double to, const Panel& panel, std::string_view fill, double opacity) {
        body_ += "<rect x=\"" + px(x(from)) + "\" y=\"" + px(panel.top) + "\" width=\"" +
                 px(std::max(x(to) - x(from), 0.8)) + "\" height=\"" + px(panel.height) + "\" fill=\"" +
                 std::string(fill) + "\" fill-opacity=\"" + fixed(opacity, 2) + "\"/>\n";
    }

    /// What lies behind the curves: gaps, defrosts with their recovery, the fridge above its limit.
    void bands(const Panel& panel) {
        rect(0.0, length_, panel, "#f7f8fa", 1.0);
        for (const LogDefrost& defrost : findings_.defrosts) {
            if (defrost.recovered) {
                rect(defrost.heat_end, *defrost.recovered, panel, "#f3c66b", 0.28);
            }
            rect(defrost.start, defrost.heat_end, panel, "#ef9f2e", 0.55);
        }
        for (const LogSpan& gap : findings_.gaps) {
            rect(gap.from, gap.to, panel, "url(#gap)", 1.0);
        }
        for (const double tick : round_ticks(panel.low, panel.high, panel.height > 120.0 ? 6 : 3)) {
            const double at = y(panel, tick);
            body_ += "<path d=\"M" + px(kLeft) + " " + px(at) + "H" + px(kLeft + kPlot) +
                     "\" stroke=\"#dde1e6\" stroke-width=\"1\"/>\n";
            text(kLeft - 8.0, at + 4.0, with_minus(tick, std::abs(tick - std::round(tick)) > 1e-6 ? 1 : 0),
                 "text-anchor=\"end\" fill=\"#666c75\"");
        }
        for (const TimeTick& tick : time_ticks(log_, 10)) {
            body_ += "<path d=\"M" + px(x(tick.seconds)) + " " + px(panel.top) + "v" + px(panel.height) +
                     "\" stroke=\"#e6e9ed\" stroke-width=\"1\"/>\n";
        }
    }

    void curve(const Panel& panel, LogChannel channel) {
        // One slice a pixel: a line through lows and highs looks like the signal at any zoom.
        const Values& values = grid_.of(channel);
        const std::size_t count = std::min<std::size_t>(values.size(), static_cast<std::size_t>(kPlot * 1.5));
        const auto parts = slices(values, count);
        std::string path;
        bool open = false;
        for (std::size_t i = 0; i < count; ++i) {
            if (std::isnan(parts[i].low)) {
                open = false;
                continue;
            }
            const double at = kLeft + (static_cast<double>(i) + 0.5) / static_cast<double>(count) * kPlot;
            const double low = y(panel, shown(channel, static_cast<double>(parts[i].low)));
            const double high = y(panel, shown(channel, static_cast<double>(parts[i].high)));
            path += (open ? "L" : "M") + px(at) + " " + px(low);
            if (low - high > 0.3) {
                path += "V" + px(high);
            }
            open = true;
        }
        body_ += "<path d=\"" + path + "\" fill=\"none\" stroke=\"" + std::string(colour_of(channel)) +
                 "\" stroke-width=\"" + (panel.channels.size() > 1 && channel != panel.channels.front() ? "1" : "1.4") +
                 "\" stroke-linejoin=\"round\"/>\n";
    }

    void limit_line(const Panel& panel) {
        for (const LogCompartment& compartment : findings_.compartments) {
            if (compartment.channel != panel.channels.front()) {
                continue;
            }
            const double at = y(panel, words_.degrees(compartment.limit));
            if (at < panel.top || at > panel.top + panel.height) {
                continue;
            }
            if (compartment.channel == LogChannel::fridge && compartment.longest_above_h > 2.0) {
                body_ += "<rect x=\"" + px(x(compartment.longest_above.from)) + "\" y=\"" + px(panel.top) +
                         "\" width=\"" + px(x(compartment.longest_above.to) - x(compartment.longest_above.from)) +
                         "\" height=\"" + px(at - panel.top) + "\" fill=\"#d93a2b\" fill-opacity=\"0.13\"/>\n";
            }
            body_ += "<path d=\"M" + px(kLeft) + " " + px(at) + "H" + px(kLeft + kPlot) +
                     "\" stroke=\"#c6281c\" stroke-width=\"1\" stroke-dasharray=\"6 4\"/>\n";
            limits_.push_back({at, words_.limit(compartment)});
        }
    }

    void draw(const Panel& panel) {
        limits_.clear();
        limit_line(panel);
        for (auto channel = panel.channels.rbegin(); channel != panel.channels.rend(); ++channel) {
            curve(panel, *channel);
        }
        // Over the curve, on a white rim, so that the figure stays readable.
        for (const auto& [at, label] : limits_) {
            text(kLeft + 6.0, at - 5.0, label,
                 "fill=\"#c6281c\" font-weight=\"600\" stroke=\"#fff\" stroke-width=\"4\" paint-order=\"stroke\"");
        }
        body_ += "<rect x=\"" + px(kLeft) + "\" y=\"" + px(panel.top) + "\" width=\"" + px(kPlot) + "\" height=\"" +
                 px(panel.height) + "\" fill=\"none\" stroke=\"#c3c9d1\"/>\n";
        const LogChannel first = panel.channels.front();
        std::string title = panel.title + ", " + (first == LogChannel::watts ? "W" : std::string(words_.degree_sign()));
        body_ += "<text x=\"" + px(kLeft) + "\" y=\"" + px(panel.top - 6.0) + "\"><tspan font-weight=\"600\" fill=\"" +
                 std::string(colour_of(first)) + "\">" + title + "</tspan>";
        for (const LogCompartment& compartment : findings_.compartments) {
            if (compartment.channel == first) {
                body_ += "<tspan dx=\"10\" fill=\"#666c75\">mean " +
                         words_.temperature(compartment.steady_mean.value_or(compartment.mean)) +
                         (compartment.swing ? ", swing " + words_.difference(*compartment.swing) : "") + "</tspan>";
            }
        }
        if (panel.channels.size() > 1) {
            body_ +=
                "<tspan dx=\"10\" fill=\"" + std::string(colour_of(LogChannel::evaporator)) + "\">evaporator</tspan>";
        }
        body_ += "</text>\n";
    }

    void running() {
        if (findings_.runs.empty()) {
            return;
        }
        const double top = bottom_ - 26.0;
        std::string path;
        // Runs closer than half a pixel are drawn as one.
        double from = x(findings_.runs.front().from);
        double to = x(findings_.runs.front().to);
        const auto put = [&] {
            path += "M" + px(from) + " " + px(top) + "H" + px(std::max(to, from + 0.4)) + "v14H" + px(from) + "z";
        };
        for (const LogSpan& run : findings_.runs) {
            if (x(run.from) - to > 0.5) {
                put();
                from = x(run.from);
            }
            to = x(run.to);
        }
        put();
        body_ += "<rect x=\"" + px(kLeft) + "\" y=\"" + px(top) + "\" width=\"" + px(kPlot) +
                 "\" height=\"14\" fill=\"#eef0f3\"/>\n<path d=\"" + path + "\" fill=\"#5b6573\"/>\n";
        text(kLeft - 8.0, top + 11.0, "running", "text-anchor=\"end\" fill=\"#666c75\"");
    }

    void doors() {
        for (const LogDoor& door : findings_.doors) {
            for (const Panel& panel : panels_) {
                if (panel.channels.front() == door.compartment) {
                    const double at = x(door.start);
                    body_ += "<path d=\"M" + px(at) + " " + px(panel.top + 8.0) + "l-3.5 -7h7z\" fill=\"#33383f\"/>\n";
                }
            }
        }
    }

    void axis() {
        for (const TimeTick& tick : time_ticks(log_, 10)) {
            text(x(tick.seconds), bottom_ + 6.0, tick.label, "text-anchor=\"middle\" fill=\"#666c75\"");
        }
    }

    void legend() {
        double at = kLeft;
        const double base = bottom_ + 40.0;
        const auto swatch = [&](std::string_view fill, const std::string& label, double width) {
            body_ += "<rect x=\"" + px(at) + "\" y=\"" + px(base - 10.0) + "\" width=\"16\" height=\"12\" fill=\"" +
                     std::string(fill) + "\"/>\n";
            text(at + 22.0, base, label);
            at += width;
        };
        if (!findings_.defrosts.empty()) {
            swatch("#f5c584", "defrost", 86.0);
            swatch("#fbeccb", "back to cold", 116.0);
        }
        if (!findings_.doors.empty()) {
            body_ += "<path d=\"M" + px(at + 8.0) + " " + px(base) + "l-4.5 -8h9z\" fill=\"#33383f\"/>\n";
            text(at + 18.0, base, "door opened");
            at += 112.0;
        }
        if (!findings_.runs.empty()) {
            swatch("#5b6573", "compressor running", 156.0);
        }
        if (!findings_.gaps.empty()) {
            swatch("url(#gap)", "nothing recorded", 138.0);
        }
        for (const LogCompartment& compartment : findings_.compartments) {
            if (compartment.channel == LogChannel::fridge) {
                body_ += "<path d=\"M" + px(at) + " " + px(base - 4.0) +
                         "h18\" stroke=\"#c6281c\" stroke-dasharray=\"6 4\"/>\n";
                text(at + 24.0, base, "food limit");
            }
        }
        body_ =
            "<defs><pattern id=\"gap\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\" "
            "patternTransform=\"rotate(45)\"><rect width=\"6\" height=\"6\" fill=\"#eceef1\"/><path d=\"M0 0v6\" "
            "stroke=\"#b9c0c9\" stroke-width=\"2\"/></pattern></defs>\n" +
            body_;
    }

    bool with_heading_;
    const Log& log_;
    const LogFindings& findings_;
    LogWords words_;
    Grid grid_;
    double length_;
    double bottom_ = 0.0;
    std::vector<Panel> panels_;
    std::vector<std::pair<double, std::string>> limits_;
    std::string body_;
};

}  // namespace

std::string templog::draw_log(const Log& log, const LogFindings& findings, const LogStyle& style, bool with_heading) {
    return SvgWriter(log, findings, style, with_heading).write();
}

std::string log_to_svg(const Log& log, const LogFindings& findings, const LogStyle& style) {
    return templog::draw_log(log, findings, style, true);
}

}  // namespace frostread
