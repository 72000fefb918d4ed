// Speed and memory of one exact diagnosis on the shipped library: load, compile, fit, infer.
// Prints the median and the best of many runs; nothing here fails.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <fstream>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "engine/case_sums.hpp"
#include "frostread/batch.hpp"
#include "frostread/files.hpp"
#include "frostread/why.hpp"

namespace {

using namespace frostread;
using Clock = std::chrono::steady_clock;

struct Timing {
    double median_us = 0.0, best_us = 0.0;
};

Timing time_of(int runs, const std::function<void()>& work) {
    std::vector<double> times;
    for (int i = 0; i < runs; ++i) {
        const auto start = Clock::now();
        work();
        times.push_back(std::chrono::duration<double, std::micro>(Clock::now() - start).count());
    }
    std::sort(times.begin(), times.end());
    return {times[times.size() / 2], times.front()};
}

void print(const std::string& what, const Timing& timing) {
    fmt::print("{:<44} {:>10.1f} µs median {:>10.1f} µs best\n", what, timing.median_us, timing.best_us);
}

std::size_t peak_kilobytes() {
    std::ifstream status("/proc/self/status");
    for (std::string line; std::getline(status, line);)
        if (line.rfind("VmHWM:", 0) == 0) return static_cast<std::size_t>(std::stoul(line.substr(6)));
    return 0;
}

/// A case of the wanted length: the first checks of the library that can be read, each at an outcome
/// that some fault produces, so that every reading touches many faults.
Case busy_case(const Library& library, std::size_t readings) {
    Case made;
    made.unit.words = {{"refrigerant", "R-600a"},
                       {"cooling", "one-evaporator"},
                       {"condenser", "forced-air"},
                       {"defrost", "automatic"}};
    std::vector<std::pair<std::size_t, const Check*>> by_rules;
    for (const Check& check : library.checks) {
        if (check.kind == CheckKind::several) continue;
        std::size_t rules = 0;
        for (const Fault& fault : library.faults)
            for (const Rule& rule : fault.rules) rules += rule.check == check.id ? 1U : 0U;
        by_rules.emplace_back(rules, &check);
    }
    std::stable_sort(by_rules.begin(), by_rules.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
    for (const auto& [rules, check] : by_rules) {
        if (made.readings.size() == readings) break;
        Reading reading;
        reading.check = check->id;
        if (check->kind == CheckKind::gauge)
            reading.value = check->normal.mean + check->normal.assumed.value_or(0.0) + 6.0;
        else
            reading.outcomes = {check->outcomes.back().id};
        made.readings.push_back(reading);
    }
    return made;
}

}  // namespace

int main() {
    auto loaded = load_library(embedded_library_sources());
    if (!loaded) {
        fmt::print("the embedded library does not load\n");
        return 3;
    }
    const auto library = std::make_shared<const Library>(*loaded);
    const auto compiled = compile(library);
    std::size_t rules = 0;
    for (const Fault& fault : library->faults) rules += fault.rules.size();
    fmt::print("library: {} faults at {} grades, {} checks, {} rules\n", library->faults.size(),
               compiled->alternative_count(), library->checks.size(), rules);
    print("load the embedded rules (JSON to values)",
          time_of(20, [] { (void)load_library(embedded_library_sources()); }));
    print("compile the library to dense rows", time_of(50, [&] { (void)compile(library); }));

    for (const std::size_t count : {0U, 5U, 20U, 40U}) {
        const Case the_case = busy_case(*library, count);
        const UnitModel model = fit_to_unit(compiled, the_case.unit);
        const Findings findings = gather(model, the_case);
        const std::string label = fmt::format("{} readings ({} findings): ", count, findings.items.size());
        print(label + "fit to unit", time_of(200, [&] { (void)fit_to_unit(compiled, the_case.unit); }));
        print(label + "gather", time_of(200, [&] { (void)gather(model, the_case); }));
        InferOptions sums_only;
        sums_only.max_sets = 0;
        print(label + "marginals only", time_of(2000, [&] {
                  forget_latest_case(false);
                  (void)infer(model, findings, sums_only);
              }));
        print(label + "exact posterior", time_of(2000, [&] {
                  forget_latest_case(false);
                  (void)infer(model, findings);
              }));
        print(label + "the same, no row kept from earlier cases", time_of(500, [&] {
                  forget_latest_case(true);
                  (void)infer(model, findings);
              }));
        print(label + "fit, gather, infer, rank", time_of(500, [&] {
                  const UnitModel fresh = fit_to_unit(compiled, the_case.unit);
                  (void)rank(fresh, infer(fresh, gather(fresh, the_case)));
              }));
    }
    // Cases as people write them: about 20 readings each, drawn from the library's own model.
    std::vector<std::pair<UnitModel, Findings>> drawn;
    double findings_total = 0.0, readings_total = 0.0;
    for (std::uint64_t i = 0; i < 200; ++i) {
        const Case made = draw_closed_case(compiled, 20, i, 20);
        UnitModel model = fit_to_unit(compiled, made.unit);
        Findings findings = gather(model, made);
        findings_total += static_cast<double>(findings.items.size());
        readings_total += static_cast<double>(made.readings.size());
        drawn.emplace_back(std::move(model), std::move(findings));
    }
    std::size_t next = 0;
    print(fmt::format("{:.0f} readings as drawn ({:.0f} findings): exact posterior", readings_total / 200.0,
                      findings_total / 200.0),
          time_of(4000, [&] {
              const auto& [unit, seen] = drawn[next++ % drawn.size()];
              (void)infer(unit, seen);
          }));

    InferOptions three;
    three.max_faults = 3;
    const Case the_case = busy_case(*library, 20);
    const UnitModel model = fit_to_unit(compiled, the_case.unit);
    const Findings findings = gather(model, the_case);
    print("20 readings: sets of up to three faults", time_of(20, [&] {
              forget_latest_case(false);
              (void)infer(model, findings, three);
          }));
    const Posterior posterior = infer(model, findings);
    print("20 readings: doubtful readings, after the posterior",
          time_of(50, [&] { (void)doubtful_readings(model, findings, posterior); }));
    print("20 readings: what would change the leader, after the posterior",
          time_of(20, [&] { (void)pivotal_readings(model, findings, posterior); }));
    fmt::print("memory: compiled library {} bytes, whole process at most {} kB\n", compiled->memory_bytes(),
               peak_kilobytes());
}
