#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "cli/batch_reports.hpp"
#include "present/writers.hpp"

namespace frostread::cli {

namespace {

std::string percent(double probability) {
    return probability < 0.0 ? "not listed" : present::percent_words(probability);
}

std::string decibans(const std::optional<double>& value) {
    return value ? fmt::format("{:+.1f}", *value) : std::string("not counted");
}

std::string or_none(const std::string& text) {
    return text.empty() ? "none" : text;
}

std::string counted(std::size_t cases) {
    return fmt::format("{} case{}", cases, cases == 1 ? "" : "s");
}

std::string step_words(const BatchVerdict& verdict) {
    return verdict.action.value_or("none") + (verdict.fault.empty() ? "" : " " + verdict.fault);
}

}  // namespace

std::string CompareReport::take(const BatchEntry& entry) {
    if (!entry.change || !entry.change->had_before) {
        ++new_;
        return "";
    }
    const BatchChange& change = *entry.change;
    ++compared_;
    ++leaders_table_[{change.before.leader, entry.verdict.leader}];
    if (!change.any()) return "";
    ++changed_;
    leaders_ += change.leader ? 1U : 0U;
    verdicts_ += change.verdict ? 1U : 0U;
    tests_ += change.next_test ? 1U : 0U;

    std::string out = entry.case_id.value_or("(no id)") + "\n";
    const auto line = [&out](const std::string& text) { out += present::wrapped(text, 80, "  ", "    "); };
    if (change.leader) {
        line(fmt::format("leader: {} {} -> {} {}", change.before.leader, percent(change.before.probability),
                         entry.verdict.leader, percent(entry.verdict.probability)));
        line(fmt::format("{} now {}; {} before {}", change.before.leader, percent(change.before_now),
                         entry.verdict.leader, percent(change.leader_before)));
    } else {
        line(fmt::format("leader: {} {} -> {}", entry.verdict.leader, percent(change.before.probability),
                         percent(entry.verdict.probability)));
    }
    if (change.verdict) line(fmt::format("verdict: {} -> {}", step_words(change.before), step_words(entry.verdict)));
    if (change.next_test)
        line(fmt::format("next test: {} -> {}", or_none(change.before.check), or_none(entry.verdict.check)));
    for (const BatchChange::Move& move : change.moves)
        line(fmt::format("moved: {} {}, for {}: {} -> {} dB", move.check, move.value, change.before.leader,
                         decibans(move.before_db), decibans(move.now_db)));
    return out;
}

std::string CompareReport::text() const {
    std::string out;
    std::vector<std::pair<std::pair<std::string, std::string>, std::size_t>> rows;
    for (const auto& row : leaders_table_)
        if (row.first.first != row.first.second) rows.push_back(row);
    std::stable_sort(rows.begin(), rows.end(), [](const auto& a, const auto& b) { return a.second > b.second; });
    if (!rows.empty()) {
        out += fmt::format("\nLeader before{:<19}Leader now{:<22}  Cases\n", "", "");
        for (const auto& [pair, count] : rows)
            out += fmt::format("{:<32}{:<32}{:>9}\n", pair.first, pair.second, count);
        out += fmt::format("{:<64}{:>9}\n", "the same", compared_ - leaders_);
    }
    out += fmt::format("{}{} of {} changed: {} leader, {} verdict, {} next test\n", out.empty() ? "" : "\n", changed_,
                       counted(compared_), leaders_, verdicts_, tests_);
    if (new_ > 0) out += fmt::format("{} {} not in the earlier run\n", counted(new_), new_ == 1 ? "is" : "are");
    if (old_count_ > compared_)
        out += fmt::format("{} of the earlier run {} not here\n", counted(old_count_ - compared_),
                           old_count_ - compared_ == 1 ? "is" : "are");
    out += "Cautions stand in each case's own result: read them before a test that is named here.\n";
    return out;
}

std::string CompareReport::json_line(const BatchEntry& entry) const {
    using Json = nlohmann::ordered_json;
    const BatchChange& change = *entry.change;
    const auto verdict = [](const BatchVerdict& v) {
        return Json{{"leader", v.leader},
                    {"probability", v.probability},
                    {"action", v.action ? Json(*v.action) : Json(nullptr)},
                    {"check", v.check.empty() ? Json(nullptr) : Json(v.check)},
                    {"fault", v.fault.empty() ? Json(nullptr) : Json(v.fault)}};
    };
    const auto maybe = [](double p) { return p < 0.0 ? Json(nullptr) : Json(p); };
    const auto weight = [](const std::optional<double>& db) { return db ? Json(*db) : Json(nullptr); };
    Json moves = Json::array();
    for (const auto& move : change.moves)
        moves.push_back({{"check", move.check},
                         {"value", move.value},
                         {"before_db", weight(move.before_db)},
                         {"now_db", weight(move.now_db)}});
    const Json out = {{"frostread_change", 1},
                      {"case", entry.case_id ? Json(*entry.case_id) : Json(nullptr)},
                      {"leader", change.leader},
                      {"verdict", change.verdict},
                      {"next_test", change.next_test},
                      {"before", verdict(change.before)},
                      {"now", verdict(entry.verdict)},
                      {"before_leader_now", maybe(change.before_now)},
                      {"now_leader_before", maybe(change.leader_before)},
                      {"moved", std::move(moves)}};
    return out.dump(-1, ' ', false, Json::error_handler_t::replace);
}

std::string CompareReport::json() const {
    using Json = nlohmann::ordered_json;
    Json table = Json::array();
    for (const auto& [pair, count] : leaders_table_)
        table.push_back({{"before", pair.first}, {"now", pair.second}, {"cases", count}});
    const Json out = {{"frostread_compare", 1},     {"compared", compared_},
                      {"changed", changed_},        {"leader", leaders_},
                      {"verdict", verdicts_},       {"next_test", tests_},
                      {"not_before", new_},         {"not_here", old_count_ > compared_ ? old_count_ - compared_ : 0},
                      {"leaders", std::move(table)}};
    return out.dump(-1, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace frostread::cli
