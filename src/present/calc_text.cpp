#include <algorithm>

#include "present/calc_writers.hpp"
#include "present/writers.hpp"

namespace frostread::present {
namespace {

/// Aligned "label  value" rows; a figure without a label is for scripts only.
std::string rows(const std::vector<CalcFigure>& figures, std::size_t label_width, std::size_t width) {
    std::string out;
    for (const auto& figure : figures) {
        if (!figure.label.empty()) {
            const std::string lead = "  " + pad_right(figure.label, label_width) + "  ";
            out += wrapped(figure.text, width, lead, std::string(display_width(lead), ' '));
        }
    }
    return out;
}

std::size_t widest_label(const CalcResult& result) {
    std::size_t widest = 0;
    for (const auto* list : {&result.given, &result.figures}) {
        for (const auto& figure : *list) {
            widest = std::max(widest, display_width(figure.label));
        }
    }
    return widest;
}

}  // namespace

std::string calc_text(const CalcResult& result, const TextStyle& style) {
    std::string out;
    for (const auto& caution : result.cautions) {
        out += inked("!", Ink::caution, style) + wrapped(caution.text, style.width, " ", "  ");
    }
    if (!out.empty()) {
        out += "\n";
    }
    out += inked(result.calculator + (result.subject.empty() ? "" : ", " + result.subject), Ink::bold, style) + "\n";
    const std::size_t label_width = widest_label(result);
    out += rows(result.given, label_width, style.width);
    const std::string figures = rows(result.figures, label_width, style.width);
    if (!figures.empty()) {
        out += "\n" + figures;
    }
    if (!result.verdict_words.empty()) {
        out += "\n";
        for (const auto& line : wrap(result.verdict_words, style.width)) {
            out += inked(line, Ink::bold, style) + "\n";
        }
    }
    if (!result.notes.empty()) {
        out += "\n";
        for (const auto& note : result.notes) {
            out += wrapped(note, style.width, "- ", "  ");
        }
    }
    out += "\n" + wrapped(result.formula, style.width, "Formula  ", "         ");
    out += wrapped(result.source, style.width, "Source   ", "         ");
    out += wrapped(result.range, style.width, "Range    ", "         ");
    return out;
}

}  // namespace frostread::present
