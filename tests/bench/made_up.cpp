#include "bench/made_up.hpp"

#include <algorithm>
#include <cmath>

#include "session/simulate.hpp"

namespace frostread::bench {

namespace {

class Jitter {
public:
    Jitter(std::uint64_t seed, double decibels) : random_(seed), decibels_(decibels) {}

    double probability(double p) {
        if (p <= 0.0 || p >= 1.0) return p;
        const double odds = p / (1.0 - p) * std::pow(10.0, draw() / 10.0);
        return odds / (1.0 + odds);
    }
    double amplitude(double x) { return x * std::pow(10.0, draw() / 20.0); }

private:
    double draw() { return decibels_ * (2.0 * random_.uniform() - 1.0); }
    SimRandom random_;
    double decibels_;
};

void jitter(Effect& effect, const Check& check, Jitter& by) {
    effect.shift = by.amplitude(effect.shift);
    double sum = 0.0;
    bool whole = false;
    for (auto& [outcome, probability] : effect.outcomes) {
        const auto* named = find_outcome(check, outcome);
        whole = whole || (named != nullptr && named->normal);
        probability = by.probability(probability);
        sum += probability;
    }
    if (check.kind == CheckKind::several) return;
    const double most = whole ? 1.0 : 0.99;  // with a normal outcome given, they sum to one
    if (sum > most || (whole && sum > 0.0))
        for (auto& [outcome, probability] : effect.outcomes) probability *= most / sum;
}

}  // namespace

Library jittered(const Library& library, std::uint64_t seed, double decibels) {
    Library other = library;
    Jitter by(seed, decibels);
    for (Check& check : other.checks) {
        double sum = 0.0;
        for (Outcome& outcome : check.outcomes)
            if (!outcome.normal) sum += outcome.background = by.probability(outcome.background);
        if (check.kind != CheckKind::several && sum > 0.9)
            for (Outcome& outcome : check.outcomes) outcome.background *= 0.9 / sum;
    }
    for (Fault& fault : other.faults)
        for (Rule& rule : fault.rules) {
            const Check* check = find_check(other, rule.check);
            if (check == nullptr) continue;
            if (rule.all_grades) jitter(*rule.all_grades, *check, by);
            for (auto& [grade, effect] : rule.by_grade) jitter(effect, *check, by);
        }
    return other;
}

}  // namespace frostread::bench
