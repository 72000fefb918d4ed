#include <array>
#include <cmath>
#include <map>
#include <string>
#include <vector>

#include "frostread/bench_calc.hpp"
#include "published/csv.hpp"
#include "support/catch.hpp"

using namespace frostread;

namespace {

/// temperature -> ohm of one set.
std::map<double, double> rows_of(const std::string& set) {
    const auto table = frostread_tests::read_table("thermistor.csv");
    std::map<double, double> found;
    for (std::size_t row = 0; row < table.rows.size(); ++row) {
        if (table.text(row, "set") == set) {
            found[table.number(row, "temperature_C")] = table.number(row, "resistance_ohm");
        }
    }
    REQUIRE(found.size() > 10);
    return found;
}

ThermistorCurve fit(const std::map<double, double>& rows, const std::vector<double>& at) {
    std::vector<ThermistorPoint> points;
    for (const double celsius : at) {
        points.push_back({celsius, rows.at(celsius)});
    }
    const auto curve = thermistor_from_points(points);
    REQUIRE(curve.has_value());
    return *curve;
}

/// Largest difference between the curve's temperature and the table's, from `low` to `high`.
double worst_kelvin(const ThermistorCurve& curve, const std::map<double, double>& rows, double low, double high) {
    double worst = 0.0;
    for (const auto& [celsius, ohm] : rows) {
        if (celsius >= low && celsius <= high) {
            worst = std::max(worst, std::abs(thermistor_celsius(curve, ohm) - celsius));
        }
    }
    return worst;
}

}  // namespace

TEST_CASE("The beta equation gives the computed tables, both ways") {
    struct Set {
        const char* name;
        ThermistorPoint at;
        double beta;
    };
    const Set sets[] = {{"beta_5k25_B3435", {25.0, 5000.0}, 3435.0},
                        {"beta_5k25_B3977", {25.0, 5000.0}, 3977.0},
                        {"beta_10k25_B3435", {25.0, 10000.0}, 3435.0},
                        {"beta_10k25_B3977", {25.0, 10000.0}, 3977.0},
                        {"beta_16325at0_B3855", {0.0, 16325.0}, 3855.0}};
    for (const auto& set : sets) {
        const auto curve = thermistor_from_beta(set.at, set.beta);
        for (const auto& [celsius, ohm] : rows_of(set.name)) {
            INFO(set.name << " at " << celsius);
            CHECK(thermistor_ohm(curve, celsius) == Approx(ohm).margin(0.0051));
            CHECK(thermistor_celsius(curve, ohm) == Approx(celsius).margin(1e-4));
        }
    }
}

TEST_CASE("Three points of a maker's table give the rest of it") {
    const auto ten = rows_of("table_10k25_B3435_family");
    const auto ten_curve = fit(ten, {-30.0, 0.0, 25.0});
    CHECK(ten_curve.a == Approx(8.997145665e-4).epsilon(1e-6));
    CHECK(ten_curve.b == Approx(2.498442879e-4).epsilon(1e-6));
    CHECK(ten_curve.c == Approx(1.960164943e-7).epsilon(1e-5));
    CHECK(worst_kelvin(ten_curve, ten, -40.0, 40.0) < 0.03);

    const auto three = rows_of("table_3k25_B3976_family");
    const auto three_curve = fit(three, {-30.0, -10.0, 8.0});
    CHECK(three_curve.a == Approx(1.403953827e-3).epsilon(1e-6));
    CHECK(three_curve.b == Approx(2.371031679e-4).epsilon(1e-6));
    CHECK(three_curve.c == Approx(1.006875542e-7).epsilon(1e-5));
    CHECK(worst_kelvin(three_curve, three, -40.0, 8.0) < 0.002);

    const auto scaled = rows_of("table_16325at0_5k25_B3976_family");
    CHECK(worst_kelvin(fit(scaled, {-30.0, -10.0, 8.0}), scaled, -40.0, 8.0) < 0.003);

    const auto large = rows_of("table_47k25_B4050_family");
    CHECK(worst_kelvin(fit(large, {-30.0, 0.0, 25.0}), large, -40.0, 40.0) < 0.1);

    const auto extended = rows_of("sh4_10k25_B3977");
    CHECK(worst_kelvin(fit(extended, {-30.0, 0.0, 25.0}), extended, -40.0, 40.0) < 0.05);
}

TEST_CASE("Two points hold between them and drift outside") {
    const auto ten = rows_of("table_10k25_B3435_family");
    const auto curve = fit(ten, {-20.0, 5.0});
    CHECK(worst_kelvin(curve, ten, -20.0, 5.0) < 0.3);
    CHECK(worst_kelvin(curve, ten, -40.0, 40.0) > 1.0);
}

TEST_CASE("A beta value between 25 and 85 degC reads too warm in the cold, by what the note says") {
    const auto ten = rows_of("table_10k25_B3435_family");
    const auto curve = thermistor_from_beta({25.0, 10000.0}, 3435.0);
    CHECK(thermistor_celsius(curve, ten.at(0.0)) - 0.0 == Approx(1.1).margin(0.06));
    CHECK(thermistor_celsius(curve, ten.at(-20.0)) + 20.0 == Approx(2.4).margin(0.06));
    CHECK(thermistor_celsius(curve, ten.at(-30.0)) + 30.0 == Approx(3.3).margin(0.06));
    const auto three = rows_of("table_3k25_B3976_family");
    const auto other = thermistor_from_beta({25.0, 3000.0}, 3976.0);
    CHECK(thermistor_celsius(other, three.at(0.0)) - 0.0 == Approx(0.7).margin(0.06));
    CHECK(thermistor_celsius(other, three.at(-20.0)) + 20.0 == Approx(1.6).margin(0.06));
    CHECK(thermistor_celsius(other, three.at(-30.0)) + 30.0 == Approx(2.2).margin(0.06));
}
