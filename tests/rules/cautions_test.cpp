#include <algorithm>

#include "rules/shipped.hpp"
#include "support/catch.hpp"

using namespace frostread;

// Where a burning gas may have leaked, whatever switches or heats must not light it. Common practice, no source.

namespace {

bool speaks_of_the_gas(const Remedy& remedy) {
    return std::any_of(remedy.steps.begin(), remedy.steps.end(),
                       [](const std::string& step) { return step.find("R-600a") != std::string::npos; });
}

}  // namespace

TEST_CASE("a part that sparks or heats is renewed with the burning gas in mind", "[rules]") {
    for (const char* id : {"start-device-failed", "run-capacitor-failed", "drive-board-failed", "thermostat-stuck-open",
                           "thermostat-drifted", "control-board-failed", "evaporator-fan-stopped", "damper-stuck-shut",
                           "condenser-fan-stopped", "door-switch-stuck", "lamp-failed", "drain-heater-open",
                           "defrost-heater-open", "defrost-terminator-open", "defrost-control-stuck",
                           "stuck-in-defrost", "fridge-fan-stopped", "fridge-coil-iced"}) {
        INFO(id);
        const Remedy& remedy = find_fault(test::shipped()->library(), id)->remedy;
        CHECK(std::count(remedy.cautions.begin(), remedy.cautions.end(), "flammable-refrigerant") == 1);
        CHECK(speaks_of_the_gas(remedy));
    }
}
