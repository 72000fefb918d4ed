#include <cmath>
#include <cstdint>
#include <nlohmann/json.hpp>

#include "present/json_rounding.hpp"
#include "present/text_practice.hpp"

/// The score of a practice case as JSON: docs/practice.md. Every key always there, in this order.
namespace frostread::present {

namespace {

using Json = nlohmann::ordered_json;

constexpr auto probability = json_probability;
constexpr auto amount = json_amount;

const char* word_of(PracticeVerdict::Kind kind) {
    switch (kind) {
        case PracticeVerdict::Kind::none:
            return "none";
        case PracticeVerdict::Kind::repair:
            return "repair";
        case PracticeVerdict::Kind::refer:
            return "refer";
        case PracticeVerdict::Kind::retire:
            return "retire";
        case PracticeVerdict::Kind::finish:
            return "finish";
        case PracticeVerdict::Kind::give_up:
            return "give-up";
    }
    return "none";
}

const char* word_of(Judgement judged) {
    switch (judged) {
        case Judgement::none:
            return "none";
        case Judgement::wrong:
            return "wrong";
        case Judgement::partly:
            return "partly";
        case Judgement::right:
            return "right";
    }
    return "none";
}

/// `told`: with what each reading said about what is hidden.
Json run_json(const PracticeRun& run, bool told) {
    Json path = Json::array();
    for (const PracticeRow& row : run.rows) {
        Json step = {{"check", row.check},
                     {"value", row.value},
                     {"minutes", amount(row.minutes)},
                     {"wait_minutes", amount(row.wait_minutes)}};
        step["weight_db"] = told ? Json(amount(row.decibans())) : Json(nullptr);
        step["wrong"] = told ? Json(row.wrong) : Json(nullptr);
        path.push_back(std::move(step));
    }
    return {{"action", word_of(run.verdict.kind)},
            {"faults", run.verdict.faults},
            {"judged", word_of(run.judged)},
            {"minutes", amount(run.minutes)},
            {"wait_minutes", amount(run.wait_minutes)},
            {"opened", run.opened},
            {"probability", told ? Json(probability(run.probability)) : Json(nullptr)},
            {"path", std::move(path)}};
}

Json checks_of(const PracticeResult& result, const std::vector<std::size_t>& rows) {
    Json out = Json::array();
    for (const std::size_t i : rows) out.push_back(result.you.rows[i].check);
    return out;
}

}  // namespace

std::string practice_json(const PracticeResult& result, const Library& library) {
    const bool ended = result.you.verdict.kind != PracticeVerdict::Kind::none;
    Json unit = Json::object();
    for (const Trait& trait : library.traits) {
        const UnitTraits& traits = result.the_case.unit;
        if (const auto word = traits.words.find(trait.id); word != traits.words.end()) unit[trait.id] = word->second;
        if (const auto number = traits.numbers.find(trait.id); number != traits.numbers.end())
            unit[trait.id] = std::floor(number->second) == number->second
                                 ? Json(static_cast<std::int64_t>(number->second))
                                 : Json(number->second);
    }
    Json remedies = Json::array(), cautions = Json::array(), proof = Json::array();
    for (const ReportRepair& cure : result.cures) {
        remedies.push_back(cure.remedy);
        for (const std::string& sentence : cure.proof) proof.push_back(sentence);
    }
    for (const ReportCaution& caution : result.cautions)
        cautions.push_back({{"id", caution.id}, {"text", caution.text}});
    Json out = {{"frostread_practice", 1},
                {"seed", result.seed},
                {"library", {{"name", library.name}, {"version", library.version}}},
                {"unit", std::move(unit)},
                {"points", amount(result.points)},
                {"points_of",
                 {{"verdict", amount(result.points_verdict)},
                  {"way", amount(result.points_way)},
                  {"hints", amount(-result.points_hints)}}},
                {"hints", result.hints},
                {"hidden", ended ? Json(result.hidden) : Json(nullptr)},
                {"you", run_json(result.you, ended)},
                {"planner", ended ? run_json(result.planner, true) : Json(nullptr)},
                {"told_most", ended ? checks_of(result, result.most) : Json(nullptr)},
                {"told_nothing", ended ? checks_of(result, result.nothing) : Json(nullptr)},
                {"pointed_away", ended ? checks_of(result, result.away) : Json(nullptr)},
                {"remedies", ended ? std::move(remedies) : Json(nullptr)},
                {"repair_cost", ended ? Json(amount(result.repair_cost)) : Json(nullptr)},
                {"worth", amount(result.worth)},
                {"cautions", ended ? std::move(cautions) : Json::array()},
                {"proof", ended ? std::move(proof) : Json(nullptr)},
                {"note",
                 "invented from the library's own model: tests a person's method and the arithmetic, not the truth "
                 "of the rules"}};
    return out.dump(2) + "\n";
}

}  // namespace frostread::present
