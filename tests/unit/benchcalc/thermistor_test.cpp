#include <vector>

#include "frostread/bench_calc.hpp"
#include "support/catch.hpp"

using namespace frostread;

TEST_CASE("A curve goes through its own points") {
    const std::vector<ThermistorPoint> points = {{-20.0, 29087.0}, {0.0, 9795.0}, {25.0, 3000.0}};
    const auto three = thermistor_from_points(points);
    REQUIRE(three.has_value());
    const auto two = thermistor_from_points(std::span(points).first(2));
    REQUIRE(two.has_value());
    CHECK(two->c == 0.0);
    for (const auto& point : points) {
        CHECK(thermistor_celsius(*three, point.ohm) == Approx(point.celsius).margin(1e-9));
        CHECK(thermistor_ohm(*three, point.celsius) == Approx(point.ohm).epsilon(1e-9));
    }
    CHECK(thermistor_celsius(*two, 9795.0) == Approx(0.0).margin(1e-9));
}

TEST_CASE("The order of the points does not matter") {
    const auto a =
        thermistor_from_points(std::vector<ThermistorPoint>{{-20.0, 29087.0}, {0.0, 9795.0}, {25.0, 3000.0}});
    const auto b =
        thermistor_from_points(std::vector<ThermistorPoint>{{25.0, 3000.0}, {-20.0, 29087.0}, {0.0, 9795.0}});
    REQUIRE(a.has_value());
    REQUIRE(b.has_value());
    CHECK(a->a == Approx(b->a).epsilon(1e-9));
    CHECK(a->c == Approx(b->c).epsilon(1e-6));
}

TEST_CASE("Points that no sensor has are refused") {
    CHECK_FALSE(thermistor_from_points(std::vector<ThermistorPoint>{{0.0, 9795.0}}).has_value());
    CHECK_FALSE(thermistor_from_points(std::vector<ThermistorPoint>{{0.0, 9795.0}, {0.0, 9000.0}}).has_value());
    CHECK_FALSE(thermistor_from_points(std::vector<ThermistorPoint>{{0.0, 9795.0}, {10.0, 9795.0}}).has_value());
    // resistance that rises with temperature
    CHECK_FALSE(thermistor_from_points(std::vector<ThermistorPoint>{{0.0, 100.0}, {25.0, 110.0}}).has_value());
    // one point mistyped by a factor of ten
    CHECK_FALSE(thermistor_from_points(std::vector<ThermistorPoint>{{-20.0, 29087.0}, {0.0, 979.5}, {25.0, 3000.0}})
                    .has_value());
    CHECK_FALSE(thermistor_from_points(std::vector<ThermistorPoint>{{-20.0, -5.0}, {0.0, 979.5}}).has_value());
}
