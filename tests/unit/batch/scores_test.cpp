// Scores against worked examples; the source stands beside each.
#include "batch/scores.hpp"

#include <array>

#include "support/catch.hpp"

using namespace frostread::score;

TEST_CASE("scores: Brier and log loss of four yes/no forecasts") {
    // The example of scikit-learn's documentation of brier_score_loss (recalled); log loss worked out by hand.
    const std::array<double, 4> forecasts{0.1, 0.9, 0.8, 0.3};
    const std::array<int, 4> outcomes{0, 1, 1, 0};
    CHECK(brier_binary(forecasts, outcomes) == Approx(0.0375).margin(1e-15));
    const std::array<double, 4> of_what_came_true{0.9, 0.9, 0.8, 0.7};
    CHECK(mean_log_loss(of_what_came_true) == Approx(0.197635).margin(5e-7));
}

TEST_CASE("scores: log loss of four classes") {
    // The example of scikit-learn's documentation of log_loss (recalled): 0.21616.
    const std::array<double, 4> of_what_came_true{0.9, 0.9, 0.8, 0.65};
    CHECK(mean_log_loss(of_what_came_true) == Approx(0.21616).margin(5e-6));
}

TEST_CASE("scores: Brier of single forecasts of rain, when it rained") {
    const auto [forecast, expected] =
        GENERATE(table<double, double>({{1.0, 0.0}, {0.7, 0.09}, {0.3, 0.49}, {0.5, 0.25}}));
    const std::array<double, 1> forecasts{forecast};
    const std::array<int, 1> outcomes{1};
    CHECK(brier_binary(forecasts, outcomes) == Approx(expected).margin(1e-15));
}

TEST_CASE("scores: Brier's own form sums over the classes") {
    // Brier 1950: forecasts 0.7, 0.2, 0.1 and the first came true: 0.09 + 0.04 + 0.01.
    const std::array<double, 3> forecasts{0.7, 0.2, 0.1};
    const std::array<std::size_t, 1> first{0};
    CHECK(brier_classes(forecasts, first) == Approx(0.14).margin(1e-15));
    // Two classes: twice the binary form.
    const std::array<double, 2> pair{0.7, 0.3};
    CHECK(brier_classes(pair, first) == Approx(2 * 0.09).margin(1e-15));
}

TEST_CASE("scores: calibration error of ten forecasts") {
    // Constructed by the definition of Naeini and others 2015; bins closed on the right.
    constexpr std::array<double, 10> kForecasts{.05, .15, .15, .35, .35, .45, .65, .75, .85, .95};
    constexpr std::array<int, 10> kOutcomes{0, 0, 1, 0, 1, 0, 1, 1, 1, 1};
    Calibration five(5), ten(10);
    std::array<double, 10> of_what_came_true{};
    for (std::size_t i = 0; i < kForecasts.size(); ++i) {
        five.add(kForecasts.at(i), kOutcomes.at(i) == 1);
        ten.add(kForecasts.at(i), kOutcomes.at(i) == 1);
        of_what_came_true.at(i) = kOutcomes.at(i) == 1 ? kForecasts.at(i) : 1.0 - kForecasts.at(i);
    }
    CHECK(five.expected_error() == Approx(0.22).margin(1e-12));
    CHECK(ten.expected_error() == Approx(0.23).margin(1e-12));
    CHECK(brier_binary(kForecasts, kOutcomes) == Approx(0.1705).margin(1e-12));
    CHECK(mean_log_loss(of_what_came_true) == Approx(0.512165146).margin(1e-9));
}

TEST_CASE("scores: bins are closed on the right, zero falls into the first") {
    Calibration table(10);
    for (const double forecast : {0.0, 0.1, 0.1000001, 0.3, 0.7, 1.0}) table.add(forecast, true);
    CHECK(table.bins()[0].count == 2);
    CHECK(table.bins()[1].count == 1);
    CHECK(table.bins()[2].count == 1);
    CHECK(table.bins()[6].count == 1);
    CHECK(table.bins()[9].count == 1);
    CHECK(Calibration(10).expected_error() == 0.0);
}

TEST_CASE("scores: of two faults that were found neither stands against the other") {
    const std::array<std::size_t, 5> order{4, 2, 0, 3, 1};
    const std::array<std::size_t, 2> found{2, 0};
    CHECK(filtered_ranks(order, found) == std::vector<std::size_t>{2, 2});
    const std::array<std::size_t, 1> absent{9};
    CHECK(filtered_ranks(order, absent) == std::vector<std::size_t>{6});
}

TEST_CASE("scores: a forecast of zero costs much but not everything") {
    CHECK(log_loss(0.0) == Approx(34.538776).margin(1e-6));
    CHECK(log_loss(1.0) == 0.0);
}
