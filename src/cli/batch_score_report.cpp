#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "cli/batch_reports.hpp"
#include "present/writers.hpp"

namespace frostread::cli {

namespace {

constexpr std::size_t kWorst = 10;
constexpr const char* kDrawnWarning =
    "Cases drawn from the library's own model test the arithmetic, not the truth of the rules.";

double share(std::size_t part, std::size_t all) {
    return all == 0 ? 0.0 : static_cast<double>(part) / static_cast<double>(all);
}

std::string found_words(const BatchScore& score) {
    std::string out;
    for (const BatchScore::Found& found : score.found)
        out +=
            fmt::format("{}{} ({:.3f}, place {})", out.empty() ? "" : ", ", found.fault, found.probability, found.rank);
    return out;
}

}  // namespace

void ScoreReport::take(const BatchEntry& entry) {
    if (entry.bad) {
        ++bad_;
        return;
    }
    if (!entry.score) {
        ++open_;
        return;
    }
    const BatchScore& score = *entry.score;
    ++cases_;
    double loss = 0.0;
    for (const BatchScore::Found& found : score.found) {
        ++found_;
        first_ += found.rank <= 1 ? 1U : 0U;
        first_three_ += found.rank <= 3 ? 1U : 0U;
        loss += score::log_loss(found.probability);
        ++systems_[{found.system, found.predicted}];
    }
    loss_ += loss;
    brier_ += score.brier;
    calibration_.add(std::clamp(score.leader_probability, 0.0, 1.0), score.leader_found);
    drawn_ += entry.case_id && entry.case_id->starts_with("drawn-") ? 1U : 0U;

    const double mean = loss / static_cast<double>(std::max<std::size_t>(1, score.found.size()));
    if (worst_.size() == kWorst && mean <= worst_.back().loss) return;
    const auto place = std::upper_bound(worst_.begin(), worst_.end(), mean,
                                        [](double value, const Worst& other) { return value > other.loss; });
    worst_.insert(place, {mean, entry.case_id.value_or("(no id)"), score, entry.verdict.leader});
    if (worst_.size() > kWorst) worst_.pop_back();
}

double ScoreReport::per_found(double sum) const {
    return found_ == 0 ? 0.0 : sum / static_cast<double>(found_);
}

double ScoreReport::per_case(double sum) const {
    return cases_ == 0 ? 0.0 : sum / static_cast<double>(cases_);
}

/// Systems that occur, in library order, then the two that are none.
std::vector<std::string> ScoreReport::systems() const {
    std::vector<std::string> all;
    for (const System& system : library_.systems) all.push_back(system.id);
    all.emplace_back("nothing-wrong");
    all.emplace_back("something-else");
    std::vector<std::string> used;
    for (const std::string& id : all)
        for (const auto& [pair, count] : systems_)
            if (pair.first == id || pair.second == id) {
                used.push_back(id);
                break;
            }
    return used;
}

std::string ScoreReport::text() const {
    const auto counted = [](std::size_t count, const char* what) {
        return fmt::format("{} {}{}", count, what, count == 1 ? "" : "s");
    };
    std::string out = fmt::format("{} scored, {} found; {} not closed, {} bad\n", counted(cases_, "closed case"),
                                  counted(found_, "fault"), counted(open_, "case"), bad_);
    if (drawn_ > 0) out += fmt::format("{}\n", kDrawnWarning);
    if (cases_ == 0) return out;
    out += fmt::format("\n{:<44}{:>9.1f} %\n", "found fault stands first", 100.0 * share(first_, found_));
    out += fmt::format("{:<44}{:>9.1f} %\n", "found fault among the first three", 100.0 * share(first_three_, found_));
    out += fmt::format("{:<44}{:>9.4f}    0 is best\n", "log loss for each fault found, nats", per_found(loss_));
    out += fmt::format("{:<44}{:>9.4f}    0 is best, 2 worst for one fault\n", "Brier score for each case",
                       per_case(brier_));
    out += fmt::format("{:<44}{:>9.4f}    0 is best\n", "expected calibration error of the leader",
                       calibration_.expected_error());

    out += "\nHow sure the leading answer was, and how often it was right\n";
    out += "  said             cases   said on average   was right\n";
    for (std::size_t i = 0; i < calibration_.bins().size(); ++i) {
        const auto& bin = calibration_.bins()[i];
        const std::string range = fmt::format("{:>2} to {:>3} %", i * 10, (i + 1) * 10);
        out += bin.count == 0 ? fmt::format("  {:<14}{:>8}                 -           -\n", range, 0)
                              : fmt::format("  {:<14}{:>8}{:>16.1f} %{:>10.1f} %\n", range, bin.count,
                                            100.0 * bin.mean_forecast(), 100.0 * bin.share_true());
    }

    const std::vector<std::string> ids = systems();
    out += "\nSystems: what was found (rows) against what was ranked in its place (columns)\n";
    out += fmt::format("  {:<20}", "");
    for (std::size_t column = 0; column < ids.size(); ++column) out += fmt::format("{:>4}", column + 1);
    out += '\n';
    for (std::size_t row = 0; row < ids.size(); ++row) {
        out += fmt::format("  {:>2} {:<17}", row + 1, ids[row]);
        for (const std::string& column : ids) {
            const auto cell = systems_.find({ids[row], column});
            out += cell == systems_.end() ? "   ." : fmt::format("{:>4}", cell->second);
        }
        out += '\n';
    }

    out += fmt::format("\nThe worst {}, by log loss\n", worst_.size());
    for (const Worst& worst : worst_) {
        out += fmt::format("  {:.2f} nats  {}\n", worst.loss, worst.case_id);
        out += present::wrapped(fmt::format("found {}; the leader was {} ({:.3f})", found_words(worst.score),
                                            worst.leader, worst.score.leader_probability),
                                80, "    ", "    ");
        if (!worst.score.reasons.empty()) out += present::wrapped("for it: " + worst.score.reasons, 80, "    ", "    ");
    }
    return out;
}

std::string ScoreReport::json() const {
    using Json = nlohmann::ordered_json;
    // A figure about nothing is no figure: 0 would read as the best or the worst there is.
    const auto known = [](std::size_t count, double value) { return count == 0 ? Json(nullptr) : Json(value); };
    Json out = {{"frostread_score", 1},
                {"cases", cases_},
                {"found", found_},
                {"not_closed", open_},
                {"bad", bad_},
                {"drawn", drawn_},
                {"note", drawn_ > 0 ? kDrawnWarning : ""},
                {"top1", known(found_, share(first_, found_))},
                {"top3", known(found_, share(first_three_, found_))},
                {"log_loss", known(found_, per_found(loss_))},
                {"brier", known(cases_, per_case(brier_))},
                {"ece", known(cases_, calibration_.expected_error())},
                {"calibration", Json::array()},
                {"systems", Json::array()},
                {"worst", Json::array()}};
    for (std::size_t i = 0; i < calibration_.bins().size(); ++i) {
        const auto& bin = calibration_.bins()[i];
        out["calibration"].push_back({{"above", static_cast<double>(i) / 10.0},
                                      {"up_to", static_cast<double>(i + 1) / 10.0},
                                      {"cases", bin.count},
                                      {"mean_forecast", known(bin.count, bin.mean_forecast())},
                                      {"share_true", known(bin.count, bin.share_true())}});
    }
    for (const auto& [pair, count] : systems_)
        out["systems"].push_back({{"found", pair.first}, {"predicted", pair.second}, {"count", count}});
    for (const Worst& worst : worst_) {
        Json found = Json::array();
        for (const auto& one : worst.score.found)
            found.push_back({{"fault", one.fault}, {"probability", one.probability}, {"rank", one.rank}});
        out["worst"].push_back({{"case", worst.case_id},
                                {"log_loss", worst.loss},
                                {"found", std::move(found)},
                                {"leader", worst.leader},
                                {"leader_probability", worst.score.leader_probability},
                                {"reasons", worst.score.reasons}});
    }
    return out.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace frostread::cli
