#include "files/json_place.hpp"

#include <fmt/format.h>

#include <utility>

#include "base/text.hpp"

namespace frostread::json {

namespace {
constexpr std::size_t kLongestLine = 4000;
constexpr std::size_t kMostDiagnostics = 200;

Diagnostic make(Severity severity, std::string id, std::string what, std::string expected, std::string suggestion) {
    Diagnostic diagnostic;
    diagnostic.severity = severity;
    diagnostic.id = std::move(id);
    diagnostic.what = std::move(what);
    diagnostic.expected = std::move(expected);
    diagnostic.suggestion = std::move(suggestion);
    return diagnostic;
}
}  // namespace

Place place_of(std::string_view text, std::string_view file_name, std::size_t offset) {
    Place place;
    place.file = file_name;
    const text::Position position = text::position_at(text, offset);
    place.line = position.line;
    place.column = position.column;
    place.source_line = text::line_at(text, offset);
    if (place.source_line.size() > kLongestLine) place.source_line.clear();
    return place;
}

void Problems::error(const Value& at, std::string id, std::string what, std::string expected, std::string suggestion) {
    put(at, at.offset(),
        make(Severity::error, std::move(id), std::move(what), std::move(expected), std::move(suggestion)));
}

void Problems::error_at_key(const Value& member, std::string id, std::string what, std::string expected,
                            std::string suggestion) {
    put(member, member.key_offset(),
        make(Severity::error, std::move(id), std::move(what), std::move(expected), std::move(suggestion)));
}

void Problems::warning_at_key(const Value& member, std::string id, std::string what, std::string expected,
                              std::string suggestion) {
    put(member, member.key_offset(),
        make(Severity::warning, std::move(id), std::move(what), std::move(expected), std::move(suggestion)));
}

void Problems::add(const Value& at, Diagnostic diagnostic) {
    put(at, at.offset(), std::move(diagnostic));
}

void Problems::put(const Value& at, std::size_t offset, Diagnostic diagnostic) {
    if (diagnostic.severity == Severity::error) ++errors_;
    if (diagnostics_.size() >= kMostDiagnostics) {
        ++left_out_;
        return;
    }
    diagnostic.place = place_of(document_->text(), file_name_, offset);
    diagnostic.place.pointer = at.pointer();
    diagnostics_.push_back(std::move(diagnostic));
}

Diagnostics Problems::take() {
    sort_by_place(diagnostics_);
    if (left_out_ > 0) {
        diagnostics_.push_back(make(Severity::error, "too-many-errors", fmt::format("and {} more problems", left_out_),
                                    "", "cure these first"));
        diagnostics_.back().place.file = file_name_;
        left_out_ = 0;
    }
    return std::exchange(diagnostics_, {});
}

}  // namespace frostread::json
