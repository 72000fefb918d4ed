#include "base/numeric.hpp"

#include <cmath>
#include <limits>
#include <vector>

#include "support/catch.hpp"

using namespace frostread::numeric;

TEST_CASE("log-sum-exp neither overflows nor loses small terms") {
    CHECK(log_sum_exp(std::vector<double>{1000.0, 1000.0}) == Approx(1000.0 + std::log(2.0)));
    CHECK(log_sum_exp(std::vector<double>{-1000.0, -1001.0}) == Approx(-1000.0 + std::log1p(std::exp(-1.0))));
    const double minus_infinity = -std::numeric_limits<double>::infinity();
    CHECK(log_sum_exp(std::vector<double>{}) == minus_infinity);
    CHECK(log_sum_exp(std::vector<double>{minus_infinity, minus_infinity}) == minus_infinity);
    CHECK(log_sum_exp(minus_infinity, 2.0) == Approx(2.0));
}

TEST_CASE("the compensated sum keeps what a plain sum loses") {
    CompensatedSum sum;
    for (const double x : {1.0, 1e100, 1.0, -1e100}) sum.add(x);
    CHECK(sum.value() == Approx(2.0).epsilon(1e-15));
}

TEST_CASE("entropy in bits") {
    CHECK(entropy_bits(std::vector<double>{1.0, 1.0, 1.0, 1.0}) == Approx(2.0));
    CHECK(entropy_bits(std::vector<double>{1.0, 0.0}) == Approx(0.0).margin(1e-15));
    CHECK(entropy_bits(std::vector<double>{}) == Approx(0.0).margin(1e-15));
}

TEST_CASE("decibans are ten times the common logarithm") {
    CHECK(decibans(std::log(10.0)) == Approx(10.0));
    CHECK(decibans(std::log(2.0)) == Approx(3.0102999566));
    CHECK(from_decibans(decibans(1.7)) == Approx(1.7));
}

TEST_CASE("Student t with four degrees of freedom agrees with printed tables") {
    // Two-sided 5 % and 1 % points for 4 degrees of freedom: 2.776, 4.604 (any t table).
    CHECK(student4_two_sided_tail(2.776445, 0.0, 1.0) == Approx(0.05).epsilon(1e-5));
    CHECK(student4_two_sided_tail(10.0 + 2.0 * 4.604095, 10.0, 2.0) == Approx(0.01).epsilon(1e-5));
    CHECK(student4_cdf(0.0) == Approx(0.5));
    CHECK(student4_cdf(2.131847) == Approx(0.95).epsilon(1e-6));
    CHECK(student4_two_sided_tail(1e6, 0.0, 1.0) > 0.0);
    double area = 0.0;
    for (double x = -200.0; x < 200.0; x += 0.01) area += 0.01 * std::exp(log_student4(x + 0.005, 1.0, 2.0));
    CHECK(area == Approx(1.0).epsilon(1e-5));
}

TEST_CASE("the normal tail agrees with printed tables") {
    CHECK(normal_upper_tail(1.959964) == Approx(0.025).epsilon(1e-5));
    CHECK(std::exp(log_normal(3.0, 3.0, 2.0)) == Approx(0.1994711402));
}

TEST_CASE("rounding") {
    CHECK(round_to_digits(12345.0, 3) == Approx(12300.0));
    CHECK(round_to_digits(-0.0012345, 2) == Approx(-0.0012));
    CHECK(round_to_places(2.675, 1) == Approx(2.7));
    CHECK_FALSE(std::signbit(round_to_places(-0.001, 2)));
}
