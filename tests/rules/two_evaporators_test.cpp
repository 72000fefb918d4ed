#include <algorithm>

#include "rules/shipped.hpp"
#include "support/catch.hpp"

using namespace frostread;
using test::diagnose;
using test::Ranking;

// A unit with two evaporators has a fan, a coil and a way of the refrigerant of its own for the fresh food.
// Common practice, no source.

namespace {

const std::vector<std::string> kTwoCoils = {"layout=freezer-bottom", "cooling=two-evaporators", "defrost=automatic",
                                            "control=electronic"};

std::vector<std::string> warm_fridge(const std::vector<std::string>& more) {
    std::vector<std::string> readings = {"complaint=fridge-warm", "freezer-temp=-19 C", "fridge-temp=12 C",
                                         "onset=sudden", "fridge-airflow=none"};
    readings.insert(readings.end(), more.begin(), more.end());
    return readings;
}

}  // namespace

TEST_CASE("a warm fresh-food side with a good freezer is not a sensor before anybody has looked", "[rules][facts]") {
    const Ranking ranking = diagnose(kTwoCoils, warm_fridge({}));
    INFO(ranking.first(5));
    CHECK(ranking.of("sensor-reads-cold") < 0.6);
    CHECK(ranking.place("fridge-fan-stopped") <= 4);
    CHECK(ranking.place("changeover-valve-stuck") <= 6);
}

TEST_CASE("the fan, the coil and the sensor tell the fresh-food faults apart", "[rules][facts]") {
    CHECK(diagnose(kTwoCoils, warm_fridge({"fridge-fan=stopped", "fridge-sensor=agrees", "door-switch=follows"}))
              .leader() == "fridge-fan-stopped");
    CHECK(diagnose(kTwoCoils, warm_fridge({"fridge-fan=blows", "fridge-coil=iced"})).leader() == "fridge-coil-iced");
    CHECK(diagnose(kTwoCoils, warm_fridge({"fridge-fan=blows", "fridge-coil=bare", "fridge-sensor=agrees"})).leader() ==
          "changeover-valve-stuck");
    CHECK(diagnose(kTwoCoils, warm_fridge({"fridge-sensor=reads-cold"})).leader() == "sensor-reads-cold");
}

TEST_CASE("a unit with one coil has none of the fresh-food faults of two", "[rules][facts]") {
    for (const char* cooling : {"cooling=one-evaporator", "cooling=plate"}) {
        const Ranking ranking =
            diagnose({"layout=freezer-bottom", cooling, "control=mechanical"}, {"complaint=fridge-warm"});
        for (const char* fault : {"fridge-fan-stopped", "fridge-coil-iced", "changeover-valve-stuck"}) {
            INFO(cooling << ' ' << fault);
            CHECK(ranking.place(fault) == 0);
        }
    }
}

TEST_CASE("a board may feed a cold wall by way of a valve, and the wall tells", "[rules][facts]") {
    const std::vector<std::string> plates = {"layout=freezer-bottom", "cooling=plate", "defrost=cycling",
                                             "control=electronic"};
    const std::vector<std::string> warm = {"complaint=fridge-warm", "freezer-temp=-20 C", "fridge-temp=12 C",
                                           "onset=sudden", "fridge-sensor=agrees"};
    std::vector<std::string> dry = warm, white = warm;
    dry.push_back("cold-wall=dry");
    white.push_back("cold-wall=all-over");
    INFO(diagnose(plates, dry).first(4) << "\n" << diagnose(plates, white).first(4));
    CHECK(diagnose(plates, dry).leader() == "changeover-valve-stuck");
    CHECK(diagnose(plates, white).of("changeover-valve-stuck") < 0.1);
    CHECK(diagnose(plates, {}).of("fridge-fan-stopped") == 0.0);
}

TEST_CASE("the changeover valve is for licensed hands, and its coil is measured before the circuit is opened",
          "[rules][facts]") {
    const Remedy& remedy = find_fault(test::shipped()->library(), "changeover-valve-stuck")->remedy;
    CHECK(remedy.who == Who::licensed);
    CHECK(std::count(remedy.cautions.begin(), remedy.cautions.end(), "never-vent") == 1);
    const auto step = [&](const char* word) {
        return std::find_if(remedy.steps.begin(), remedy.steps.end(),
                            [&](const std::string& text) { return text.find(word) != std::string::npos; });
    };
    CHECK(step("measure") < step("recovers"));
    CHECK(step("recovers") != remedy.steps.end());
}
