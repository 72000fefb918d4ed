#include "frostread/bench_calc.hpp"
#include "published/csv.hpp"
#include "support/catch.hpp"

using namespace frostread;

TEST_CASE("Dew point and vapour pressure agree with the psychrometric table") {
    const auto table = frostread_tests::read_table("dewpoint.csv");
    int frost_points = 0;
    for (std::size_t row = 0; row < table.rows.size(); ++row) {
        const double room = table.number(row, "dry_bulb_C");
        const double humidity = table.number(row, "relative_humidity_pct");
        const double expected = table.number(row, "dew_point_C");
        INFO(room << " degC, " << humidity << " %");
        CHECK(dew_point_celsius(room, humidity) == Approx(expected).margin(0.002));
        const double pascal = 1000.0 * water_vapour_kpa(room) * humidity / 100.0;
        CHECK(pascal == Approx(table.number(row, "water_vapour_pressure_Pa")).margin(0.006));
        frost_points += expected < 0.0 ? 1 : 0;
    }
    CHECK(frost_points >= 5);  // the convention below freezing is tested too
}

TEST_CASE("Dew point agrees with a printed table") {
    const auto table = frostread_tests::read_table("dewpoint_printed.csv");
    for (std::size_t row = 0; row < table.rows.size(); ++row) {
        const double room = table.number(row, "dry_bulb_C");
        const double humidity = table.number(row, "relative_humidity_pct");
        INFO(room << " degC, " << humidity << " %");
        CHECK(dew_point_celsius(room, humidity) == Approx(table.number(row, "dew_point_C")).margin(0.08));
    }
}
