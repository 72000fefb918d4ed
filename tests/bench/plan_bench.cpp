// Speed of one proposal on the shipped library, part by part, at several moments of a call. Prints the
// median and the best of many runs; nothing here fails.
//
//   plan_bench [runs]
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "engine/case_sums.hpp"
#include "frostread/files.hpp"
#include "plan/look_ahead.hpp"

namespace {

using namespace frostread;
using Clock = std::chrono::steady_clock;

void time_of(const std::string& what, int runs, const std::function<void()>& work) {
    std::vector<double> times;
    for (int i = 0; i < runs; ++i) {
        const auto start = Clock::now();
        work();
        times.push_back(std::chrono::duration<double, std::milli>(Clock::now() - start).count());
    }
    std::sort(times.begin(), times.end());
    fmt::print("  {:<34} {:>9.2f} ms median {:>9.2f} ms best\n", what, times[times.size() / 2], times.front());
}

Reading look(const std::string& check, const std::string& outcome) {
    Reading reading;
    reading.check = check;
    reading.outcomes = {outcome};
    return reading;
}

Reading gauge(const std::string& check, double value) {
    Reading reading;
    reading.check = check;
    reading.value = value;
    return reading;
}

void measure(const std::string& title, const UnitModel& model, const Case& the_case, int runs) {
    const Library& library = model.compiled().library();
    const Findings findings = gather(model, the_case);
    const Posterior posterior = infer(model, findings);
    const JobState job = job_state(model, the_case);
    const PlanOptions options = plan_options(library);
    const plan::Belief belief = plan::make_belief(model, posterior);
    const plan::AccessCosts access(library, options.economy);
    const auto candidates = plan::list_candidates(model, the_case, findings, belief, job);
    std::size_t answers = 0;
    for (const auto& candidate : candidates) answers += candidate.rows.answers;
    fmt::print("{}: {} sets ({:.4f} covered), {} groups, {} candidates, {} answers\n", title, belief.sets.size(),
               belief.covered, belief.groups.size(), candidates.size(), answers);
    time_of("gather", runs, [&] { (void)gather(model, the_case); });
    time_of("infer", runs, [&] {
        forget_latest_case(false);
        (void)infer(model, findings);
    });
    time_of("belief", runs, [&] { (void)plan::make_belief(model, posterior); });
    time_of("candidates with their rows", runs,
            [&] { (void)plan::list_candidates(model, the_case, findings, belief, job); });
    time_of("one step", runs, [&] {
        plan::LookAhead ahead(model, findings, belief, candidates, access, options.economy, job.may, {});
        (void)ahead.one_step({});
    });
    time_of("decide, one step", runs, [&] {
        PlanOptions one = options;
        one.look_ahead = 1;
        (void)decide(model, the_case, findings, posterior, job, one);
    });
    time_of("decide, two steps", runs, [&] { (void)decide(model, the_case, findings, posterior, job, options); });
}

}  // namespace

int main(int argc, char** argv) {
    const int runs = argc > 1 ? std::atoi(argv[1]) : 15;
    auto loaded = load_library(embedded_library_sources());
    if (!loaded) return 3;
    const auto compiled = compile(std::make_shared<const Library>(std::move(*loaded)));
    UnitTraits unit;
    unit.words = {{"layout", "freezer-top"},   {"defrost", "automatic"},  {"cooling", "one-evaporator"},
                  {"condenser", "forced-air"}, {"refrigerant", "R-600a"}, {"control", "electronic"}};
    unit.numbers = {{"age_years", 11.0}, {"worth", 180.0}};
    Case the_case;
    measure("nothing known", fit_to_unit(compiled, {}), the_case, runs);
    the_case.unit = unit;
    const UnitModel model = fit_to_unit(compiled, unit);
    the_case.readings = {look("complaint", "freezer-warm"), gauge("freezer-temp", -9.4), gauge("fridge-temp", 2.2)};
    measure("complaint and two temperatures", model, the_case, runs);
    for (const auto& [check, outcome] : std::vector<std::pair<std::string, std::string>>{{"freezer-gasket", "seals"},
                                                                                         {"freezer-fan", "blows"},
                                                                                         {"condenser-coil", "clean"},
                                                                                         {"setting", "recommended"}})
        the_case.readings.push_back(look(check, outcome));
    measure("and four good parts", model, the_case, runs);
    return 0;
}
