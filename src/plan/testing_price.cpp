#include "plan/testing_price.hpp"

#include <algorithm>

namespace frostread::plan {

namespace {

constexpr double kLeastBits = 1e-4;
constexpr double kSerious = 0.5;   ///< share of the bits of the test that tells most
constexpr double kNoOffer = 1e12;  ///< money per bit

}  // namespace

TestingPrice::TestingPrice(std::vector<Offer> offers, double overlap) {
    offers.erase(std::remove_if(offers.begin(), offers.end(), [](const Offer& o) { return o.bits <= kLeastBits; }),
                 offers.end());
    std::stable_sort(offers.begin(), offers.end(),
                     [](const Offer& a, const Offer& b) { return a.cost * b.bits < b.cost * a.bits; });
    double most = 0.0, dearest = 0.0;  // price of the dearest test that tells about as much as any
    for (const Offer& offer : offers) most = std::max(most, offer.bits);
    for (const Offer& offer : offers)
        if (offer.bits >= kSerious * most) dearest = std::max(dearest, offer.cost / offer.bits);
    double learnt = 0.0, spent = 0.0;
    for (const Offer& offer : offers) {
        steps_.push_back({learnt, spent, overlap * offer.cost / offer.bits});
        if (offer.cost >= dearest * offer.bits) break;  // at its price as many as are wanted
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
