#include <algorithm>
#include <cmath>
#include <map>
#include <string>

#include "frostread/bench_calc.hpp"
#include "published/csv.hpp"
#include "support/catch.hpp"

using namespace frostread;

TEST_CASE("Saturation pressure agrees with the equations of state within the stated error") {
    const auto table = frostread_tests::read_table("saturation.csv");
    std::map<std::string, double> worst_percent;
    std::map<std::string, double> worst_kelvin;
    std::map<std::string, int> points;
    for (std::size_t row = 0; row < table.rows.size(); ++row) {
        const std::string fluid = table.text(row, "refrigerant");
        const double celsius = table.number(row, "temperature_C");
        const double expected = table.number(row, "pressure_kPa");
        const auto pressure = saturation_kpa(fluid, celsius);
        const auto back = saturation_celsius(fluid, expected);
        REQUIRE(pressure.has_value());
        REQUIRE(back.has_value());
        INFO(fluid << " at " << celsius << " degC: " << *pressure << " kPa, table " << expected);
        CHECK(std::abs(*pressure / expected - 1.0) < 0.0005);
        CHECK(std::abs(*back - celsius) < 0.02);
        if (celsius >= -40.0 && celsius <= 60.0) {
            worst_percent[fluid] = std::max(worst_percent[fluid], 100.0 * std::abs(*pressure / expected - 1.0));
            worst_kelvin[fluid] = std::max(worst_kelvin[fluid], std::abs(*back - celsius));
            ++points[fluid];
        }
    }
    REQUIRE(points.size() == refrigerants().size());
    for (const auto& fluid : refrigerants()) {
        const std::string id(fluid.id);
        INFO(id << ": " << worst_percent[id] << " %, " << worst_kelvin[id] << " K");
        CHECK(points[id] == 21);
        CHECK(worst_percent[id] <= fluid.error_percent);
        CHECK(worst_kelvin[id] <= fluid.error_k);
        CHECK(fluid.error_percent <= 0.2);
        // A stated error far above the true one would be no statement.
        CHECK(worst_percent[id] >= fluid.error_percent - 0.002);
    }
}

TEST_CASE("Saturation agrees with second sources within what they are good for") {
    const auto table = frostread_tests::read_table("saturation_second_sources.csv");
    for (std::size_t row = 0; row < table.rows.size(); ++row) {
        const std::string fluid = table.text(row, "refrigerant");
        const std::string& kind = table.text(row, "kind");
        const double at = table.number(row, "at");
        const double value = table.number(row, "value");
        INFO(fluid << " " << table.text(row, "quantity") << " at " << at << " by " << table.text(row, "source"));
        double percent = 0.3;
        double kelvin = 0.06;
        if (kind == "other EOS" || kind == "table of the same EOS") {
            percent = 0.15;
            kelvin = 0.05;
        } else if (kind == "published equation") {
            percent = 0.55;
            kelvin = 0.18;
        }
        if (table.text(row, "unit") == "degC") {
            CHECK(saturation_celsius(fluid, at).value() == Approx(value).margin(kelvin));
        } else {
            CHECK(saturation_kpa(fluid, at).value() == Approx(value).epsilon(percent / 100.0));
        }
    }
}

TEST_CASE("The saturation equations give their published check values") {
    struct Row {
        const char* fluid;
        double at_0, at_25, boiling;
    };
    // Values of the equations themselves, to the digits given with the coefficients.
    const Row rows[] = {{"R-134a", 292.8051, 665.3537, -26.0739}, {"R-600a", 156.9574, 350.6808, -11.7483},
                        {"R-290", 474.4596, 952.0589, -42.1138},  {"R-12", 308.1917, 650.5727, -29.7539},
                        {"R-22", 497.9552, 1043.8061, -40.8145},  {"R-1234yf", 315.8989, 682.6119, -29.4600}};
    for (const auto& row : rows) {
        INFO(row.fluid);
        CHECK(saturation_kpa(row.fluid, 0.0).value() == Approx(row.at_0).epsilon(2e-7));
        CHECK(saturation_kpa(row.fluid, 25.0).value() == Approx(row.at_25).epsilon(2e-7));
        CHECK(saturation_celsius(row.fluid, kStandardAtmosphere).value() == Approx(row.boiling).margin(1e-4));
    }
}
