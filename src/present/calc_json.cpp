#include <cmath>
#include <nlohmann/json.hpp>

#include "present/calc_writers.hpp"

namespace frostread::present {
namespace {

using Json = nlohmann::ordered_json;

/// Nine significant digits: more than any bench needs, and the same bytes on every machine.
double steady(double value) {
    if (value == 0.0 || !std::isfinite(value)) {
        return 0.0;
    }
    const double scale = std::pow(10.0, 8.0 - std::floor(std::log10(std::abs(value))));
    return std::round(value * scale) / scale;
}

Json figures(const std::vector<CalcFigure>& list) {
    Json object = Json::object();
    for (const auto& figure : list) {
        Json entry = Json::object();
        if (figure.value) {
            entry["value"] = steady(*figure.value);
            entry["unit"] = std::string(canonical_measure(figure.dimension).id);
        } else {
            entry["value"] = nullptr;
            entry["unit"] = "";
        }
        entry["text"] = figure.text;
        object[figure.key] = std::move(entry);
    }
    return object;
}

Json text_or_null(const std::string& text) {
    return text.empty() ? Json(nullptr) : Json(text);
}

}  // namespace

std::string calc_json(const CalcResult& result, int indent) {
    Json document = {{"frostread_calc", 1}, {"calculator", result.calculator}};
    document["subject"] = text_or_null(result.subject);
    document["cautions"] = Json::array();
    for (const auto& caution : result.cautions) {
        document["cautions"].push_back({{"id", std::string(caution.id)}, {"text", std::string(caution.text)}});
    }
    document["given"] = figures(result.given);
    document["results"] = figures(result.figures);
    document["verdict"] = text_or_null(result.verdict);
    document["verdict_words"] = text_or_null(result.verdict_words);
    document["notes"] = result.notes;
    document["readings"] = Json::array();
    for (const auto& reading : result.readings) {
        document["readings"].push_back({{"check", reading.check}, {"value", reading.value}});
    }
    document["traits"] = Json::object();
    for (const auto& [trait, value] : result.traits) {
        document["traits"][trait] = value;
    }
    document["no_reading"] = text_or_null(result.no_reading);
    document["formula"] = result.formula;
    document["source"] = result.source;
    document["range"] = result.range;
    return document.dump(indent) + (indent < 0 ? "" : "\n");
}

}  // namespace frostread::present
