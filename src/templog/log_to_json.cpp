#include <array>
#include <cmath>

#include "frostread/templog.hpp"
#include "templog/log_text.hpp"
#include "templog/log_time.hpp"
#include "templog/log_words.hpp"

namespace frostread {

namespace {

using namespace templog;

std::string quoted(std::string_view text) {
    static constexpr std::string_view kHex = "0123456789abcdef";
    std::string out = "\"";
    for (const char c : printable(text, 4000)) {
        if (c == '"' || c == '\\') {
            out += '\\';
            out += c;
        } else if (static_cast<unsigned char>(c) < 0x20) {
            out += "\\u00";
            out += kHex[static_cast<unsigned char>(c) >> 4];
            out += kHex[static_cast<unsigned char>(c) & 15];
        } else {
            out += c;
        }
    }
    return out + "\"";
}

std::string number(double value, int decimals) {
    if (!std::isfinite(value)) {
        return "null";
    }
    std::string text = fixed(value, decimals);
    if (text.find('.') != std::string::npos) {
        text.erase(text.find_last_not_of('0') + 1);
        if (text.back() == '.') {
            text.pop_back();
        }
    }
    return text;
}

std::string number(const std::optional<double>& value, int decimals, double factor = 1.0) {
    return value ? number(*value * factor, decimals) : "null";
}

/// Members of an object or entries of a list, one a line when they stand on the outer level.
class JsonList {
public:
    JsonList(char open, char close, bool tall) : close_(close), tall_(tall), out_(1, open) {}
    JsonList& member(std::string_view key, const std::string& value) { return entry(quoted(key) + ": " + value); }
    JsonList& entry(const std::string& value) {
        out_ += std::string(first_ ? "" : ",") + (tall_ ? "\n  " : first_ ? "" : " ") + value;
        first_ = false;
        return *this;
    }
    [[nodiscard]] std::string text() const { return out_ + (tall_ && !first_ ? "\n" : "") + close_; }

private:
    char close_;
    bool tall_;
    bool first_ = true;
    std::string out_;
};

JsonList object() {
    return {'{', '}', false};
}

template <class List, class Write>
std::string list_of(const List& list, Write write) {
    JsonList out('[', ']', false);
    for (const auto& each : list) {
        out.entry(write(each));
    }
    return out.text();
}

std::string strings(const std::vector<std::string>& list) {
    return list_of(list, [](const std::string& text) { return quoted(text); });
}

std::string time_of(const Log& log, double seconds) {
    return log.start ? quoted(iso_time(*log.start + seconds)) : "null";
}

std::string hours(double seconds) {
    return number(seconds / 3600.0, 4);
}

std::string span(const LogSpan& each) {
    return object().member("from_h", hours(each.from)).member("to_h", hours(each.to)).text();
}

std::string trend(const std::optional<LogTrend>& value) {
    return value ? object()
                       .member("per_day", number(value->per_day, 3))
                       .member("uncertainty", number(value->uncertainty, 3))
                       .member("clear", value->clear ? "true" : "false")
                       .text()
                 : "null";
}

std::string compartment(const LogCompartment& c) {
    return object()
        .member("compartment", quoted(to_word(c.channel)))
        .member("mean", number(c.mean, 2))
        .member("steady_mean", number(c.steady_mean, 2))
        .member("swing_k", number(c.swing, 2))
        .member("lowest", number(c.minimum, 2))
        .member("highest", number(c.maximum, 2))
        .member("limit", number(c.limit, 2))
        .member("hours_above", number(c.hours_above, 2))
        .member("longest_above_h", number(c.longest_above_h, 2))
        .member("longest_above", c.longest_above.length() > 0.0 ? span(c.longest_above) : "null")
        .member("trend", trend(c.trend))
        .text();
}

std::string defrost(const Log& log, const LogDefrost& d) {
    return object()
        .member("start_h", hours(d.start))
        .member("start", time_of(log, d.start))
        .member("heat_minutes", number((d.heat_end - d.start) / 60.0, 1))
        .member("peak", number(d.peak, 1))
        .member("freezer_peak", number(d.freezer_peak, 1))
        .member("recovery_minutes", d.recovered ? number((*d.recovered - d.start) / 60.0, 1) : "null")
        .member("interval_h", number(d.interval_h, 2))
        .member("run_interval_h", number(d.run_interval_h, 2))
        .member("seen_by", quoted(d.seen_by))
        .text();
}

std::string compressor(const LogFindings& f) {
    return object()
        .member("seen_by", f.run_source == RunSource::none ? "null" : quoted(to_word(f.run_source)))
        .member("run_percent", number(f.run_share, 1, 100.0))
        .member("steady_run_percent", number(f.steady_run_share, 1, 100.0))
        .member("cycles", std::to_string(f.cycles.size()))
        .member("cycles_per_hour", number(f.cycles_per_hour, 3))
        .member("pull_down_k_per_h", number(f.pull_down_rate, 2))
        .member("cycle_k_per_h", number(f.cycle_rate, 2))
        .member("running_w", number(f.running_watts, 1))
        .member("idle_w", number(f.idle_watts, 1))
        .member("heater_w", number(f.heater_watts, 1))
        .member("mean_w", number(f.mean_watts, 1))
        .member("short_bursts", std::to_string(f.short_bursts))
        .member("trend", trend(f.run_trend))
        .text();
}

std::string reading(const Reading& r) {
    return object()
        .member("check", quoted(r.check))
        .member("value", quoted(r.typed))
        .member("sure", r.sure ? "true" : "false")
        .member("at", r.at.empty() ? "null" : quoted(r.at))
        .member("note", quoted(r.note))
        .text();
}

}  // namespace

std::string log_to_json(const Log& log, const LogFindings& f, const std::vector<Reading>& readings) {
    JsonList out('{', '}', true);
    out.member("frostread_templog", "1");
    out.member("cautions", list_of(f.cautions, [](const LogCaution& c) {
                   return object().member("id", quoted(c.id)).member("text", quoted(c.text)).text();
               }));
    out.member("file", quoted(log.name));
    out.member("start", time_of(log, 0.0));
    out.member("end", time_of(log, log.seconds.back()));
    out.member("length_h", number(f.length_h, 3));
    out.member("known_h", number(f.known_h, 3));
    out.member("interval_s", number(f.interval_s, 2));
    out.member("rows_read", std::to_string(log.rows_read));
    out.member("rows_used", std::to_string(log.seconds.size()));
    out.member("columns", list_of(log.columns, [](const LogColumn& c) {
                   return object()
                       .member("channel", quoted(to_word(c.channel)))
                       .member("number", std::to_string(c.number))
                       .member("name", quoted(c.name))
                       .member("unit", quoted(c.unit))
                       .text();
               }));
    out.member("assumptions", strings(log.assumptions));
    out.member("issues", list_of(log.issues, [](const LogIssue& issue) {
                   return object()
                       .member("id", quoted(issue.id))
                       .member("what", quoted(issue.what))
                       .member("count", std::to_string(issue.count))
                       .member("first_lines",
                               list_of(issue.first_lines, [](std::size_t line) { return std::to_string(line); }))
                       .member("left_out", issue.left_out ? "true" : "false")
                       .text();
               }));
    out.member("gaps", list_of(f.gaps, span));
    out.member("steady", list_of(f.steady, span));
    out.member("steady_h", number(f.steady_h, 3));
    out.member("compartments", list_of(f.compartments, compartment));
    out.member("room_mean", number(f.room_mean, 2));
    out.member("evaporator_lowest", number(f.evaporator_min, 2));
    out.member("compressor", compressor(f));
    out.member("defrosts_visible", f.defrost_visible ? "true" : "false");
    out.member("defrost_each_cycle", f.defrost_each_cycle ? "true" : "false");
    out.member("defrosts", list_of(f.defrosts, [&](const LogDefrost& d) { return defrost(log, d); }));
    out.member("doors_visible", f.doors_visible ? "true" : "false");
    out.member("doors", list_of(f.doors, [&](const LogDoor& d) {
                   return object()
                       .member("compartment", quoted(to_word(d.compartment)))
                       .member("start_h", hours(d.start))
                       .member("start", time_of(log, d.start))
                       .member("rise_k", number(d.rise, 2))
                       .text();
               }));
    out.member("remarks", strings(f.remarks));
    out.member("readings", list_of(readings, reading));
    return out.text() + "\n";
}

}  // namespace frostread
