#include "frostread/bench_calc.hpp"
#include "support/catch.hpp"

using namespace frostread;

TEST_CASE("A refrigerant is found however it is spelt") {
    for (const char* typed : {"R-134a", "r134a", "R134A", "134a", "R 134a"}) {
        INFO(typed);
        REQUIRE(find_refrigerant(typed) != nullptr);
        CHECK(find_refrigerant(typed)->id == "R-134a");
    }
    CHECK(find_refrigerant("R-1234") == nullptr);
    CHECK(find_refrigerant("") == nullptr);
    CHECK(find_refrigerant("unknown") == nullptr);
}

TEST_CASE("Saturation gives nothing outside its range or for an unknown refrigerant") {
    CHECK_FALSE(saturation_kpa("R-134a", -60.5).has_value());
    CHECK_FALSE(saturation_kpa("R-134a", 80.5).has_value());
    CHECK_FALSE(saturation_kpa("water", 20.0).has_value());
    CHECK_FALSE(saturation_celsius("R-134a", 1.0).has_value());
    CHECK_FALSE(saturation_celsius("R-134a", 4000.0).has_value());
    CHECK_FALSE(saturation_celsius("R-134a", -5.0).has_value());
    CHECK(saturation_kpa("R-134a", kSaturationLow).has_value());
    CHECK(saturation_kpa("R-134a", kSaturationHigh).has_value());
}

TEST_CASE("Pressure to temperature and back returns to the start for every refrigerant") {
    for (const auto& fluid : refrigerants()) {
        for (double celsius = -59.0; celsius < 80.0; celsius += 3.7) {
            INFO(fluid.id << " " << celsius);
            const auto pressure = saturation_kpa(fluid, celsius);
            REQUIRE(pressure.has_value());
            CHECK(saturation_celsius(fluid, *pressure).value() == Approx(celsius).margin(1e-9));
        }
    }
}

TEST_CASE("Air pressure follows the standard atmosphere") {
    // U.S. Standard Atmosphere 1976, tabulated values in kPa.
    CHECK(standard_air_pressure(0.0) == Approx(101.325).margin(0.001));
    CHECK(standard_air_pressure(1000.0) == Approx(89.876).margin(0.01));
    CHECK(standard_air_pressure(2000.0) == Approx(79.501).margin(0.01));
    CHECK(standard_air_pressure(4000.0) == Approx(61.660).margin(0.02));
}
