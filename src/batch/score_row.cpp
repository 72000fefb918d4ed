#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "batch/case_runner.hpp"
#include "batch/scores.hpp"
#include "frostread/why.hpp"

/// One closed case against what was found. Classes are the faults of the library, "nothing wrong" and
/// "something else"; the forecast of a fault is its marginal probability over all sets.
namespace frostread::batch {

namespace {

constexpr double kWentWrong = 0.5;  ///< a found fault below this gets its reasons, for the list of the worst
constexpr std::size_t kReasons = 3;

/// Classes of the forecast: faults in library order, then nothing wrong, then something else.
struct Classes {
    const Library& library;
    [[nodiscard]] std::size_t nothing_wrong() const { return library.faults.size(); }
    [[nodiscard]] std::string id(std::size_t c) const {
        if (c < library.faults.size()) return library.faults[c].id;
        return c == nothing_wrong() ? "nothing-wrong" : "something-else";
    }
    [[nodiscard]] std::string system(std::size_t c) const {
        return c < library.faults.size() ? library.faults[c].system : id(c);
    }
};

std::vector<std::size_t> found_classes(const CompiledLibrary& compiled, const Closed& closed, const Classes& classes) {
    std::vector<std::size_t> found;
    for (const std::string& entry : closed.found) {
        const auto fault = compiled.fault_index(entry.substr(0, entry.find(':')));
        if (fault && std::find(found.begin(), found.end(), *fault) == found.end()) found.push_back(*fault);
    }
    if (closed.found.empty()) found.push_back(classes.nothing_wrong());
    return found;
}

/// The readings that speak loudest for the leading fault.
std::string reasons_for(const Diagnosed& diagnosed, FaultIndex fault) {
    const Ledger ledger = explain(diagnosed.model, diagnosed.findings, diagnosed.posterior, fault);
    std::string out;
    std::size_t listed = 0;
    for (const ReadingWeight& weight : ledger.weights) {
        if (weight.decibans <= 0.0 || listed == kReasons) continue;
        const Finding& finding = diagnosed.findings.items[weight.finding];
        const Reading& reading = diagnosed.the_case.readings[finding.reading];
        std::string value = reading.typed;
        if (!reading.outcomes.empty()) value = reading.outcomes.front();
        out += fmt::format("{}{} {} {:+.1f} dB", out.empty() ? "" : ", ", reading.check, value, weight.decibans);
        ++listed;
    }
    return out.empty() ? "no reading speaks for it; it leads by how common it is" : out;
}

}  // namespace

BatchScore score_of(const Diagnosed& diagnosed) {
    const CompiledLibrary& compiled = diagnosed.model.compiled();
    const Classes classes{compiled.library()};
    std::vector<double> forecast = diagnosed.posterior.fault;
    forecast.push_back(diagnosed.posterior.nothing_wrong);
    forecast.push_back(diagnosed.posterior.something_else);
    std::vector<std::size_t> order(forecast.size());
    for (std::size_t c = 0; c < order.size(); ++c) order[c] = c;
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return forecast[a] > forecast[b]; });

    const std::vector<std::size_t> truth = found_classes(compiled, *diagnosed.the_case.closed, classes);
    const std::vector<std::size_t> ranks = score::filtered_ranks(order, truth);
    BatchScore out;
    out.leader_probability = forecast[order.front()];
    out.leader_found = std::find(truth.begin(), truth.end(), order.front()) != truth.end();
    out.brier = score::brier_classes(forecast, truth);

    // Of k faults that were found, those among the first k of the ranking stand for themselves; the
    // others are matched, in order, with what stood in their place.
    const auto first_k = std::span<const std::size_t>(order).first(std::min(truth.size(), order.size()));
    std::vector<std::size_t> wrong;
    for (const std::size_t c : first_k)
        if (std::find(truth.begin(), truth.end(), c) == truth.end()) wrong.push_back(c);
    std::size_t next_wrong = 0;
    bool went_wrong = false;
    for (std::size_t i = 0; i < truth.size(); ++i) {
        BatchScore::Found found;
        found.fault = classes.id(truth[i]);
        found.system = classes.system(truth[i]);
        found.probability = forecast[truth[i]];
        found.rank = ranks[i];
        const bool among = std::find(first_k.begin(), first_k.end(), truth[i]) != first_k.end();
        found.predicted = classes.system(among || next_wrong >= wrong.size() ? truth[i] : wrong[next_wrong++]);
        went_wrong = went_wrong || found.probability < kWentWrong;
        out.found.push_back(std::move(found));
    }
    if (went_wrong && order.front() < compiled.fault_count())
        out.reasons = reasons_for(diagnosed, static_cast<FaultIndex>(order.front()));
    return out;
}

}  // namespace frostread::batch
