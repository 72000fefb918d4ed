#include <fmt/format.h>

#include <cmath>
#include <utility>
#include <vector>

#include "files/json_document.hpp"
#include "frostread/files.hpp"
#include "frostread/version.hpp"

namespace frostread {

namespace {

/// How one line is spaced: `{ "a": 1 }` for people, `{"a":1}` for JSON Lines.
struct Spacing {
    bool wide = true;
};

std::string quoted(std::string_view s) {
    std::string out;
    json::append_string(out, s);
    return out;
}

std::string number_text(double number) {
    return std::isfinite(number) ? fmt::format("{}", number) : "null";
}

std::string enclose(const std::vector<std::string>& parts, char open, char close, Spacing spacing) {
    if (parts.empty()) return {open, close};
    std::string out(1, open);
    if (spacing.wide) out += ' ';
    for (std::size_t i = 0; i < parts.size(); ++i) {
        if (i > 0) out += spacing.wide ? ", " : ",";
        out += parts[i];
    }
    if (spacing.wide) out += ' ';
    out += close;
    return out;
}

/// A value as it was written, on one line: numbers and texts keep their own spelling.
std::string one_line(const json::Value& value, Spacing spacing);

std::string member_text(std::string_view key, const std::string& value, Spacing spacing) {
    return quoted(key) + (spacing.wide ? ": " : ":") + value;
}

std::string one_line(const json::Value& value, Spacing spacing) {
    std::vector<std::string> parts;
    switch (value.kind()) {
        case json::Kind::array:
            for (const json::Value element : value) parts.push_back(one_line(element, spacing));
            return enclose(parts, '[', ']', spacing);
        case json::Kind::object:
            for (const json::Value member : value) {
                parts.push_back(member_text(member.key(), one_line(member, spacing), spacing));
            }
            return enclose(parts, '{', '}', spacing);
        case json::Kind::null:
        case json::Kind::boolean:
        case json::Kind::number:
        case json::Kind::string:
            break;
    }
    return std::string(value.raw());
}

class Members {
public:
    explicit Members(Spacing spacing) : spacing_(spacing) {}
    void raw(std::string_view key, const std::string& value) { parts_.push_back(member_text(key, value, spacing_)); }
    void text(std::string_view key, std::string_view value) { raw(key, quoted(value)); }
    void text_if(std::string_view key, std::string_view value) {
        if (!value.empty()) text(key, value);
    }
    void list(std::string_view key, const std::vector<std::string>& words) {
        std::vector<std::string> parts;
        for (const std::string& word : words) parts.push_back(quoted(word));
        raw(key, enclose(parts, '[', ']', spacing_));
    }
    /// Members that were kept as one JSON object.
    void kept(const std::string& object) {
        if (object.empty()) return;
        json::Document document(object);
        Diagnostics ignored;
        if (!document.parse("", ignored)) return;
        for (const json::Value member : document.root()) raw(member.key(), one_line(member, spacing_));
    }
    [[nodiscard]] std::string line() const { return enclose(parts_, '{', '}', spacing_); }
    [[nodiscard]] const std::vector<std::string>& parts() const { return parts_; }

private:
    Spacing spacing_;
    std::vector<std::string> parts_;
};

std::string unit_line(const Case& the_case, Spacing spacing) {
    Members members(spacing);
    for (const auto& [trait, word] : the_case.unit.words) members.text(trait, word);
    for (const auto& [trait, number] : the_case.unit.numbers) members.raw(trait, number_text(number));
    members.kept(the_case.unit_unknown);
    return members.line();
}

std::string reading_line(const Reading& reading, Spacing spacing) {
    Members members(spacing);
    members.text("check", reading.check);
    if (reading.skipped) {
        members.text("skipped", *reading.skipped);
    } else if (reading.value) {
        if (reading.typed.empty()) {
            members.raw("value", number_text(*reading.value));
        } else {
            members.text("value", reading.typed);
        }
    } else if (reading.outcomes.size() == 1) {
        members.text("value", reading.outcomes.front());
    } else {
        members.list("value", reading.outcomes);
    }
    if (!reading.sure) members.raw("sure", "false");
    if (!reading.after.empty()) {
        Members after(spacing);
        for (const auto& [condition, held] : reading.after) after.raw(condition, held ? "true" : "false");
        members.raw("after", after.line());
    }
    members.text_if("at", reading.at);
    members.text_if("origin", reading.origin);
    members.text_if("note", reading.note);
    members.kept(reading.unknown);
    return members.line();
}

/// A list with one reading on each line, or all on one.
std::string reading_list(const std::vector<Reading>& readings, int indent, int depth) {
    const Spacing spacing{indent >= 0};
    std::vector<std::string> lines;
    for (const Reading& reading : readings) lines.push_back(reading_line(reading, spacing));
    if (indent < 0 || lines.empty()) return enclose(lines, '[', ']', spacing);
    const std::string margin(static_cast<std::size_t>(indent * depth), ' ');
    const std::string inner(static_cast<std::size_t>(indent * (depth + 1)), ' ');
    std::string out = "[";
    for (std::size_t i = 0; i < lines.size(); ++i) {
        out += i == 0 ? "\n" : ",\n";
        out += inner + lines[i];
    }
    out += "\n" + margin + "]";
    return out;
}

std::string job_line(const JobRecord& job, Spacing spacing) {
    Members members(spacing);
    if (!job.open_areas.empty()) members.list("open", job.open_areas);
    members.text_if("power", job.power);
    if (!job.cannot.empty()) members.list("cannot", job.cannot);
    members.text_if("may", job.may);
    members.text_if("units", job.units);
    members.kept(job.unknown);
    return members.parts().empty() ? "" : members.line();
}

std::string stack(const std::vector<std::string>& parts, int indent, int depth) {
    if (indent < 0) return enclose(parts, '{', '}', {false});
    const std::string margin(static_cast<std::size_t>(indent * depth), ' ');
    const std::string inner(static_cast<std::size_t>(indent * (depth + 1)), ' ');
    std::string out = "{";
    for (std::size_t i = 0; i < parts.size(); ++i) {
        out += i == 0 ? "\n" : ",\n";
        out += inner + parts[i];
    }
    return out + "\n" + margin + "}";
}

std::string closed_text(const Closed& closed, int indent) {
    Members members({indent >= 0});
    members.list("found", closed.found);
    members.text_if("remedy", closed.remedy);
    members.text_if("at", closed.at);
    members.text_if("note", closed.note);
    if (!closed.proof.empty()) members.raw("proof", reading_list(closed.proof, indent, 2));
    members.kept(closed.unknown);
    return stack(members.parts(), indent, 1);
}

}  // namespace

std::string write_case(const Case& the_case, int indent) {
    const Spacing spacing{indent >= 0};
    Members members(spacing);
    members.raw("frostread", std::to_string(kCaseFormat));
    if (!the_case.id.empty()) members.text("case", the_case.id);
    members.raw("unit", unit_line(the_case, spacing));
    members.raw("readings", reading_list(the_case.readings, indent, 1));
    if (!the_case.withdrawn.empty()) members.raw("withdrawn", reading_list(the_case.withdrawn, indent, 1));
    members.text_if("note", the_case.note);
    const std::string job = job_line(the_case.job, spacing);
    if (!job.empty()) members.raw("job", job);
    if (the_case.closed) members.raw("closed", closed_text(*the_case.closed, indent));
    members.kept(the_case.unknown);
    return stack(members.parts(), indent, 0) + (indent < 0 ? "" : "\n");
}

}  // namespace frostread
