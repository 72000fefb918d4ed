#include "plan/testing_price.hpp"

#include "support/catch.hpp"

using namespace frostread::plan;

TEST_CASE("testing price: cheap bits are bought first, and only as many as there are") {
    const TestingPrice price({{1.0, 30.0}, {0.5, 1.0}, {0.25, 2.0}}, 1.0);
    CHECK(price(0.0) == Approx(0.0));
    CHECK(price(0.25) == Approx(0.5));                // half of the cheapest
    CHECK(price(0.5) == Approx(1.0));                 // all of it
    CHECK(price(0.75) == Approx(3.0));                // and the next
    CHECK(price(1.25) == Approx(3.0 + 15.0));         // then the dear one
    CHECK(price(2.75) == Approx(3.0 + 30.0 + 30.0));  // beyond all offers its price goes on
}

TEST_CASE("testing price: dear trifles do not make the rest dearer than the tests that tell something") {
    const TestingPrice price({{1.0, 30.0}, {0.01, 20.0}, {0.001, 1.0}}, 1.0);
    CHECK(price(1.0) == Approx(30.0));
    CHECK(price(3.0) == Approx(90.0));
}

TEST_CASE("testing price: the order of the offers does not matter, and each further bit costs no less") {
    const std::vector<TestingPrice::Offer> offers{{0.3, 2.0}, {0.02, 0.5}, {1.1, 28.0}, {0.2, 0.5}, {0.0, 3.0}};
    const TestingPrice forward(offers, 1.6), backward({offers.rbegin(), offers.rend()}, 1.6);
    double last = 0.0, slope = 0.0;
    for (double bits = 0.05; bits < 3.0; bits += 0.05) {
        const double now = forward(bits);
        CHECK(now == Approx(backward(bits)));
        CHECK(now - last >= slope - 1e-9);
        slope = now - last;
        last = now;
    }
}

TEST_CASE("testing price: of tests that overlap, more are needed for the same bits") {
    const std::vector<TestingPrice::Offer> offers{{0.5, 1.0}, {0.5, 4.0}};
    CHECK(TestingPrice(offers, 1.0)(0.5) == Approx(1.0));
    CHECK(TestingPrice(offers, 2.0)(0.5) == Approx(5.0));
}

TEST_CASE("testing price: without an offer no repair is dearer than a bit") {
    CHECK(TestingPrice({}, 1.6)(0.1) > 1e9);
    CHECK(TestingPrice({{0.0, 1.0}}, 1.6)(0.1) > 1e9);
    CHECK(TestingPrice({}, 1.6)(0.0) == Approx(0.0));
}
