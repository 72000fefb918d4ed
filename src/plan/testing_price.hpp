#pragma once

#include <vector>

/// What it costs to go on testing until nothing is left to ask, as an estimate: the tests on offer, cheapest bit
/// first, each giving the bits that it would give now. Cheap questions soon run dry, and what is left then has the
/// price of the next dearer test; one price for every bit would have cheap questions asked for ever, and the dear
/// test that settles the matter put off as long.
namespace frostread::plan {

class TestingPrice {
public:
    struct Offer {
        double bits = 0.0;
        double cost = 0.0;  ///< money
    };
    TestingPrice() = default;
    /// `overlap`: tests tell partly the same, so only 1 / overlap of the bits of each counts. Offers without bits are
    /// left out, and no bit costs more than with the dearest of those that tell at least half as much as the best: what
    /// trifles cost now says nothing of what settles the rest. Without any offer no bit can be had, at a price beyond
    /// every other sum.
    TestingPrice(std::vector<Offer> offers, double overlap);

    /// Money to learn so many bits; convex, 0 at 0. The dearest price goes on.
    [[nodiscard]] double operator()(double bits) const;

private:
    struct Step {
        double from = 0.0;   ///< bits learnt before it
        double spent = 0.0;  ///< money up to there
        double price = 0.0;  ///< per bit from there on
    };
    std::vector<Step> steps_;
};

}  // namespace frostread::plan
