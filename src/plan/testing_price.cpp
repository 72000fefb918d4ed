#include "plan/testing_price.hpp"

#include <algorithm>

namespace frostread::plan {

namespace {

constexpr double kLeastBits = 1e-4;
constexpr double kNoOffer = 1e12;  ///< money per bit

}  // namespace

TestingPrice::TestingPrice(std::vector<Offer> offers, double overlap) {
    offers.erase(std::remove_if(offers.begin(), offers.end(), [](const Offer& o) { return o.bits <= kLeastBits; }),
                 offers.end());
    std::stable_sort(offers.begin(), offers.end(),
                     [](const Offer& a, const Offer& b) { return a.cost * b.bits < b.cost * a.bits; });
    const auto most =
        std::max_element(offers.begin(), offers.end(), [](const Offer& a, const Offer& b) { return a.bits < b.bits; });
    double learnt = 0.0, spent = 0.0;
    for (const Offer& offer : offers) {
        steps_.push_back({learnt, spent, overlap * offer.cost / offer.bits});
        if (offer.cost * most->bits >= most->cost * offer.bits) break;  // at its price as many as are wanted
        learnt += offer.bits / overlap;
        spent += offer.cost;
    }
}

double TestingPrice::operator()(double bits) const {
    if (steps_.empty()) return kNoOffer * bits;
    auto step = std::upper_bound(steps_.begin(), steps_.end(), bits,
                                 [](double value, const Step& one) { return value < one.from; });
    if (step != steps_.begin()) --step;
    return step->spent + (bits - step->from) * step->price;
}

}  // namespace frostread::plan
