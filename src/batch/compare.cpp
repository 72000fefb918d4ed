#include <algorithm>
#include <cmath>

#include "batch/case_runner.hpp"
#include "files/json_document.hpp"
#include "frostread/why.hpp"
#include "present/report_words.hpp"

/// One case against the line that an earlier run wrote for it.
namespace frostread::batch {

namespace {

using json::Kind;
using json::Value;

constexpr double kMoved = 0.5;  ///< decibans; a smaller move is not worth a line
constexpr std::size_t kMoves = 3;

std::string text_of(const std::optional<Value>& value) {
    return value && value->is(Kind::string) ? std::string(value->string()) : std::string();
}

double number_of(const std::optional<Value>& value) {
    return value && value->is(Kind::number) ? value->number() : 0.0;
}

std::optional<Value> first_of(const std::optional<Value>& list) {
    if (!list || !list->is(Kind::array) || list->size() == 0) return std::nullopt;
    return *list->begin();
}

/// Leader, verdict and next test of a result line.
BatchVerdict old_verdict(const Value& root) {
    BatchVerdict verdict;
    if (root.find("error")) {
        verdict.leader = "bad-case";
        return verdict;
    }
    const auto first = first_of(root.find("faults"));
    verdict.leader = first ? text_of(first->find("fault")) : "";
    verdict.probability = first ? number_of(first->find("probability")) : 0.0;
    for (const auto& [key, id] : {std::pair{"nothing_wrong", "nothing-wrong"}, {"something_else", "something-else"}}) {
        const double probability = number_of(root.find(key));
        if (probability >= verdict.probability) verdict = {id, probability, std::nullopt, "", ""};
    }
    const auto next = root.find("next");
    if (next && next->is(Kind::object)) {
        verdict.action = text_of(next->find("action"));
        verdict.check = text_of(next->find("check"));
        verdict.fault = text_of(next->find("fault"));
    }
    return verdict;
}

double old_probability(const Value& root, const std::string& leader) {
    if (leader == "nothing-wrong") return number_of(root.find("nothing_wrong"));
    if (leader == "something-else") return number_of(root.find("something_else"));
    if (const auto faults = root.find("faults"); faults && faults->is(Kind::array))
        for (const Value fault : *faults)
            if (fault.is(Kind::object) && text_of(fault.find("fault")) == leader)
                return number_of(fault.find("probability"));
    return -1.0;
}

double present_probability(const Diagnosed& diagnosed, const std::string& leader) {
    if (leader == "nothing-wrong") return diagnosed.posterior.nothing_wrong;
    if (leader == "something-else") return diagnosed.posterior.something_else;
    const auto fault = diagnosed.model.compiled().fault_index(leader);
    return fault ? diagnosed.posterior.fault[*fault] : -1.0;
}

bool is_possible(const UnitModel& model, FaultIndex fault) {
    const CompiledLibrary& compiled = model.compiled();
    for (AlternativeIndex a = compiled.first_alternative(fault);
         a < compiled.alternative_count() && compiled.alternative(a).fault == fault; ++a)
        if (model.prior()[a] > 0.0) return true;
    return false;
}

/// Weights for the earlier leader then and now, reading by reading.
std::vector<BatchChange::Move> moves_of(const Diagnosed& diagnosed, const Value& root, const std::string& leader) {
    std::vector<BatchChange::Move> moves;
    const auto first = first_of(root.find("faults"));
    const auto why = first && text_of(first->find("fault")) == leader ? first->find("why") : std::nullopt;
    const auto fault = diagnosed.model.compiled().fault_index(leader);
    if (!why || !why->is(Kind::array) || !fault || !is_possible(diagnosed.model, *fault)) return moves;
    for (const Value weight : *why)
        if (weight.is(Kind::object))
            moves.push_back({text_of(weight.find("check")), text_of(weight.find("value")),
                             number_of(weight.find("weight_db")), std::nullopt});
    const Library& library = diagnosed.model.compiled().library();
    const Ledger ledger = explain(diagnosed.model, diagnosed.findings, diagnosed.posterior, *fault);
    for (const ReadingWeight& weight : ledger.weights) {
        const Finding& finding = diagnosed.findings.items[weight.finding];
        const Check& check = library.checks[finding.check];
        const std::string value =
            present::finding_words(check, finding, diagnosed.the_case.readings[finding.reading], UnitPreference::si)
                .value;
        const auto same = std::find_if(moves.begin(), moves.end(), [&](const BatchChange::Move& move) {
            return move.check == check.id && move.value == value && !move.now_db;
        });
        if (same != moves.end())
            same->now_db = weight.decibans;
        else
            moves.push_back({check.id, value, std::nullopt, weight.decibans});
    }
    const auto size = [](const BatchChange::Move& move) {
        return std::abs(move.now_db.value_or(0.0) - move.before_db.value_or(0.0));
    };
    std::stable_sort(moves.begin(), moves.end(), [&](const auto& a, const auto& b) { return size(a) > size(b); });
    std::size_t keep = 0;
    while (keep < moves.size() && keep < kMoves && size(moves[keep]) >= kMoved) ++keep;
    moves.resize(keep);
    return moves;
}

/// The line belongs to this case: same id, or neither has one and the place is the same.
bool belongs(const Value& root, const std::optional<std::string>& case_id) {
    return root.is(Kind::object) && text_of(root.find("case")) == case_id.value_or("");
}

}  // namespace

BatchChange change_of(const Diagnosed* diagnosed, const BatchVerdict& now, const std::optional<std::string>& case_id,
                      const std::string& old_line, const OldResults* others) {
    BatchChange change;
    Diagnostics ignored;
    std::string text = old_line;
    auto document = std::make_unique<json::Document>(text);
    if (text.empty() || !document->parse("", ignored) || !belongs(document->root(), case_id)) {
        const auto elsewhere = others != nullptr && case_id ? others->find(*case_id) : std::nullopt;
        if (!elsewhere) return change;
        text = *elsewhere;
        document = std::make_unique<json::Document>(text);
        if (!document->parse("", ignored) || !document->root().is(Kind::object)) return change;
    }
    const Value root = document->root();
    change.had_before = true;
    change.before = old_verdict(root);
    change.leader = change.before.leader != now.leader;
    if (change.before.action && now.action) {
        change.verdict = *change.before.action != *now.action || change.before.fault != now.fault;
        change.next_test = change.before.check != now.check;
    }
    change.leader_before = old_probability(root, now.leader);
    change.before_now = diagnosed != nullptr ? present_probability(*diagnosed, change.before.leader) : -1.0;
    if (diagnosed != nullptr && change.any()) change.moves = moves_of(*diagnosed, root, change.before.leader);
    return change;
}

}  // namespace frostread::batch
