// What the planner is worth: made-up calls played to their end by several policies, on the shipped
// library or on made-up ones, with answers from the model itself and from one whose weights are off.
//
//   planner_quality [--calls N] [--seed S] [--jitter DB] [--library shipped|made-up] [--only TEXT]
//                   [--caution X] [--overlap X] [--call-back MIN] [--comparable X]
//                   [--confidence P] [--one-step] [--stories 1|2] [--stated SHARE [--no-questions]]
//   planner_quality --optimum N     N small libraries against their exact optimum
//
// Prints means with standard errors. docs/planner.md has the table and says how to read it.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <memory>
#include <string>
#include <vector>

#include "bench/call_simulator.hpp"
#include "bench/made_up.hpp"
#include "frostread/files.hpp"
#include "support/optimum.hpp"
#include "support/plan_library.hpp"

namespace {

using namespace frostread;
using namespace frostread::bench;

struct Options {
    int calls = 2000;
    std::uint64_t seed = 1;
    double jitter = 0.0;
    bool shipped = true;
    std::string only;
    plan::Tuning tuning;
    double confidence = 0.0;  ///< 0: the library's own
    int look_ahead = 2;
    int optimum = 0;
    double stated = 1.0;    ///< share of the traits that are stated at the start
    bool questions = true;  ///< traits left open may be asked for
    int stories = 0;        ///< 1: of calls with a wrong first repair, 2: of all
};

Options read_options(int argc, char** argv) {
    Options options;
    for (int i = 1; i < argc; ++i) {
        const std::string word = argv[i];
        const auto value = [&] { return i + 1 < argc ? std::string(argv[++i]) : std::string("0"); };
        if (word == "--calls")
            options.calls = std::stoi(value());
        else if (word == "--seed")
            options.seed = std::stoull(value());
        else if (word == "--jitter")
            options.jitter = std::stod(value());
        else if (word == "--library")
            options.shipped = value() != "made-up";
        else if (word == "--only")
            options.only = value();
        else if (word == "--caution")
            options.tuning.caution = std::stod(value());
        else if (word == "--call-back")
            options.tuning.call_back = std::stod(value());
        else if (word == "--comparable")
            options.tuning.comparable = std::stod(value());
        else if (word == "--about-equal")
            options.tuning.about_equal = std::stod(value());
        else if (word == "--overlap")
            options.tuning.overlap = std::stod(value());
        else if (word == "--confidence")
            options.confidence = std::stod(value());
        else if (word == "--stated")
            options.stated = std::stod(value());
        else if (word == "--no-questions")
            options.questions = false;
        else if (word == "--stories")
            options.stories = std::stoi(value());
        else if (word == "--optimum")
            options.optimum = std::stoi(value());
        else if (word == "--one-step")
            options.look_ahead = 1;
        else {
            fmt::print(stderr, "planner_quality: unknown option {}\n", word);
            std::exit(1);
        }
    }
    return options;
}

/// Mean and standard error of one figure.
class Mean {
public:
    void add(double x) {
        ++n_;
        const double off = x - mean_;
        mean_ += off / n_;
        squares_ += off * (x - mean_);
    }
    [[nodiscard]] double mean() const { return mean_; }
    [[nodiscard]] double error() const { return n_ > 1 ? std::sqrt(squares_ / (n_ - 1) / n_) : 0.0; }

private:
    double n_ = 0.0, mean_ = 0.0, squares_ = 0.0;
};

struct Books {
    Mean minutes, asked, waits, panels, tests, wrong, behind, first, claimed, beyond, test_money, wrong_money;
    void add(const CallResult& call) {
        minutes.add(call.minutes);
        waits.add(call.wait_minutes);
        asked.add(call.asked);
        panels.add(call.panels);
        tests.add(call.tests);
        wrong.add(call.wrong_repairs);
        behind.add(call.left_behind);
        first.add(call.right_first ? 1.0 : 0.0);
        claimed.add(call.claimed);
        beyond.add(call.beyond);
        test_money.add(call.tests_money);
        wrong_money.add(call.wrong_money);
    }
};

/// The order in which a repairer teaches it: outside in, shut before open, dry before electrical, and a
/// temperature logger when nothing else has told.
const std::vector<std::string> kWalkRound = {"complaint",
                                             "onset",
                                             "recovers-after-stop",
                                             "hours-running",
                                             "display-mode",
                                             "supply-voltage",
                                             "freezer-temp",
                                             "fridge-temp",
                                             "fridge-seal",
                                             "freezer-seal",
                                             "fridge-gasket",
                                             "freezer-gasket",
                                             "door-closes",
                                             "door-switch",
                                             "door-light",
                                             "lamp",
                                             "frame-sweat",
                                             "cabinet-wall",
                                             "freezer-fan",
                                             "fridge-fan",
                                             "freezer-vents",
                                             "fridge-airflow",
                                             "air-passage",
                                             "rear-wall",
                                             "crisper-ice",
                                             "freezer-panel-frost",
                                             "freezer-wall-frost",
                                             "plate-frost",
                                             "freezer-floor",
                                             "fridge-set",
                                             "freezer-set",
                                             "setting",
                                             "warm-food-loaded",
                                             "door-use",
                                             "room-temp",
                                             "room-humidity",
                                             "clearance",
                                             "condenser-glance",
                                             "level",
                                             "noise",
                                             "power-draw",
                                             "rear-cover",
                                             "condenser-fan",
                                             "compressor-run",
                                             "condenser-coil",
                                             "compressor-shell",
                                             "compressor-mounts",
                                             "discharge-line-temp",
                                             "condenser-warmth",
                                             "drier-line",
                                             "suction-line",
                                             "drain-pan",
                                             "water-supply",
                                             "evaporator-frost",
                                             "defrost-heater",
                                             "defrost-terminator",
                                             "drain-channel",
                                             "drain-heater",
                                             "fridge-coil",
                                             "fan-spin-by-hand",
                                             "fan-voltage",
                                             "air-duct",
                                             "oil-trace",
                                             "hiss",
                                             "damper",
                                             "evaporator-temp",
                                             "frost-return",
                                             "forced-defrost",
                                             "fridge-sensor",
                                             "freezer-sensor",
                                             "start-device",
                                             "overload",
                                             "test-start",
                                             "winding-resistance",
                                             "winding-to-shell",
                                             "run-capacitor",
                                             "compressor-voltage",
                                             "running-current",
                                             "thermostat-contacts",
                                             "control-output",
                                             "drive-board",
                                             "frame-heater",
                                             "wiring",
                                             "run-time",
                                             "cycles-per-hour",
                                             "fridge-swing",
                                             "freezer-swing",
                                             "defrost-seen",
                                             "defrost-interval",
                                             "pull-down-rate",
                                             "evaporator-frost-coverage"};

struct World {
    std::vector<UnitModel> belief, truth;
    std::vector<UnitModel> hidden;  ///< what the hidden faults are drawn by: the library's own rules, all traits stated
    std::vector<std::vector<std::string>> walk_round;
};

/// The unit as it is described at the start of a call.
UnitTraits partly(UnitTraits unit, double share, SimRandom& random) {
    if (share >= 1.0) return unit;
    std::erase_if(unit.words, [&](const auto&) { return random.uniform() >= share; });
    std::erase_if(unit.numbers, [&](const auto&) { return random.uniform() >= share; });
    return unit;
}

World make_world(const Options& options) {
    World world;
    SimRandom random(mixed_seed(options.seed, 1));
    const auto add = [&](const Library& library, int units, const std::vector<std::string>& order) {
        const auto belief = compile(std::make_shared<const Library>(library));
        const auto truth = options.jitter > 0.0 ? compile(std::make_shared<const Library>(
                                                      jittered(library, mixed_seed(options.seed, 2), options.jitter)))
                                                : belief;
        for (int i = 0; i < units; ++i) {
            const UnitTraits unit = draw_unit(library, random);
            world.belief.push_back(fit_to_unit(belief, partly(unit, options.stated, random)));
            world.truth.push_back(fit_to_unit(truth, unit));
            world.hidden.push_back(fit_to_unit(belief, unit));
            world.walk_round.push_back(order);
        }
    };
    if (options.shipped) {
        const auto loaded = load_library(embedded_library_sources());
        if (!loaded) {
            fmt::print(stderr, "planner_quality: the embedded library does not load\n");
            std::exit(3);
        }
        add(*loaded, 40, kWalkRound);
        return world;
    }
    for (std::uint64_t i = 0; i < 20; ++i) {
        std::mt19937_64 engine(mixed_seed(options.seed, 100 + i));
        test::PlanLibraryShape shape;
        shape.base.faults = 25;
        shape.base.checks = 26;
        shape.base.outcomes = 4;
        shape.base.touch = 0.25;
        shape.base.decides = false;
        shape.areas = 3;
        const Library library = test::plan_library(engine, shape);
        std::vector<std::string> order;
        for (const Check& check : library.checks)
            if (check.areas.empty()) order.push_back(check.id);
        for (const Area& area : library.areas)
            for (const Check& check : library.checks)
                if (!check.areas.empty() && check.areas.front() == area.id) order.push_back(check.id);
        add(library, 1, order);
    }
    return world;
}

void compare_with_optimum(const Options& options) {
    Mean excess;
    double planner = 0.0, optimum = 0.0, worst = 0.0;
    for (int i = 0; i < options.optimum; ++i) {
        const std::uint64_t seed = mixed_seed(options.seed, 500 + static_cast<std::uint64_t>(i));
        const std::size_t faults = 4 + seed % 4, checks = 4 + seed / 4 % 3;
        const UnitModel model =
            fit_to_unit(compile(std::make_shared<const Library>(test::small_library(seed, faults, checks))), {});
        const test::JobCosts costs = test::job_costs(model, plan_options(model.compiled().library()), options.tuning);
        const double over = costs.planner / costs.optimum - 1.0;
        excess.add(100.0 * over);
        worst = std::max(worst, over);
        planner += costs.planner - costs.needed;
        optimum += costs.optimum - costs.needed;
    }
    fmt::print(
        "{} small libraries (4 to 7 faults, 4 to 6 checks): {:.2f} ±{:.2f} % above the optimum, worst {:.1f} %; "
        "beyond the right repair {:.1f} % above\n",
        options.optimum, excess.mean(), excess.error(), 100.0 * worst, 100.0 * (planner / optimum - 1.0));
}

}  // namespace

int main(int argc, char** argv) {
    const Options options = read_options(argc, argv);
    if (options.optimum > 0) {
        compare_with_optimum(options);
        return 0;
    }
    const World world = make_world(options);
    std::vector<std::unique_ptr<Policy>> policies;
    policies.push_back(planner_policy("this planner", options.tuning, options.look_ahead, options.questions));
    policies.push_back(bits_policy());
    policies.push_back(repair_cost_policy());
    policies.push_back(fixed_policy({}));
    policies.push_back(random_policy());
    policies.push_back(repair_at_once_policy());

    fmt::print("{} calls, seed {}, {} library, answers off by up to {} dB\n\n", options.calls, options.seed,
               options.shipped ? "shipped" : "made-up", options.jitter);
    fmt::print("{:<34}{:>13}{:>14}{:>12}{:>12}{:>12}{:>8}{:>13}{:>9}{:>14}{:>9}{:>9}\n", "policy", "minutes", "waiting",
               "panels", "tests", "wrong", "behind", "right first", "claimed", "cost beyond", "tests", "wrong");
    for (std::size_t p = 0; p < policies.size(); ++p) {
        if (!options.only.empty() && policies[p]->name().find(options.only) == std::string::npos) continue;
        const std::string name = policies[p]->name();
        Books books;
        for (int c = 0; c < options.calls; ++c) {
            const std::size_t unit = static_cast<std::size_t>(c) % world.belief.size();
            const UnitModel& belief = world.belief[unit];
            Call call;
            call.seed = mixed_seed(options.seed, 10000 + static_cast<std::uint64_t>(c));
            SimRandom random(call.seed);
            call.hidden = draw_faults(world.hidden[unit], random);
            std::vector<CheckIndex> begin;
            if (const auto complaint = belief.compiled().check_index("complaint")) begin.push_back(*complaint);
            if (name == "fixed walk-round") policies[p] = fixed_policy(world.walk_round[unit]);
            PlanOptions plan = plan_options(belief.compiled().library());
            if (options.confidence > 0.0) plan.economy.confidence = options.confidence;
            const CallResult result = play(belief, world.truth[unit], call, *policies[p], plan, begin);
            books.add(result);
            if (options.stories > (result.right_first ? 1 : 0))
                fmt::print("call {} {} {:.0f} beyond: {}\n", c, result.right_first ? "right" : "WRONG", result.beyond,
                           result.story);
        }
        const auto cell = [](const Mean& mean, int places) {
            return fmt::format("{:.{}f} ±{:.{}f}", mean.mean(), places, mean.error(), places);
        };
        fmt::print("{:<34}{:>13}{:>14}{:>12}{:>12}{:>12}{:>8.3f}{:>13}{:>9.3f}{:>14}{:>9.1f}{:>9.1f}\n", name,
                   cell(books.minutes, 1), cell(books.waits, 0), cell(books.panels, 2), cell(books.tests, 1),
                   cell(books.wrong, 2), books.behind.mean(), cell(books.first, 3), books.claimed.mean(),
                   cell(books.beyond, 1), books.test_money.mean(), books.wrong_money.mean());
        if (options.stated < 1.0) fmt::print("    questions about the unit: {}\n", cell(books.asked, 2));
        std::fflush(stdout);
    }
    return 0;
}
