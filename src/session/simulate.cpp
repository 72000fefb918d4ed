#include "session/simulate.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>

#include "engine/stages.hpp"

namespace frostread {

double SimRandom::normal() {
    while (true) {
        const double u = 2.0 * uniform() - 1.0, v = 2.0 * uniform() - 1.0;
        const double s = u * u + v * v;
        if (s > 0.0 && s < 1.0) return u * std::sqrt(-2.0 * std::log(s) / s);
    }
}

double SimRandom::student_t4() {
    while (true) {
        const double u = 2.0 * uniform() - 1.0, v = 2.0 * uniform() - 1.0;
        const double s = u * u + v * v;
        if (s > 0.0 && s < 1.0) return u * std::sqrt(4.0 * (std::pow(s, -0.5) - 1.0) / s);
    }
}

std::size_t SimRandom::pick(std::span<const double> weights) {
    double total = 0.0;
    for (const double w : weights) total += w;
    double left = uniform() * total;
    std::size_t last = 0;
    for (std::size_t i = 0; i < weights.size(); ++i) {
        if (weights[i] <= 0.0) continue;
        last = i;
        left -= weights[i];
        if (left < 0.0) break;
    }
    return last;
}

std::uint64_t mixed_seed(std::uint64_t seed, std::uint64_t salt) {
    std::uint64_t z = seed + 0x9e3779b97f4a7c15ULL * (salt + 1);
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ULL;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebULL;
    return z ^ (z >> 31);
}

UnitTraits draw_unit(const Library& library, SimRandom& random, double stated) {
    UnitTraits unit;
    for (const Trait& trait : library.traits) {
        const bool said = random.uniform() < stated;
        std::vector<double> shares;
        if (trait.is_number) {
            for (const auto& [value, share] : trait.mix) shares.push_back(share);
            if (std::accumulate(shares.begin(), shares.end(), 0.0) <= 0.0) continue;
            const double value = trait.mix[random.pick(shares)].first;
            if (said) unit.numbers[trait.id] = value;
        } else {
            for (const TraitValue& value : trait.values) shares.push_back(value.id == "unknown" ? 0.0 : value.share);
            const std::string& word = trait.values[random.pick(shares)].id;
            if (said) unit.words[trait.id] = word;
        }
    }
    return unit;
}

FaultSet draw_faults(const UnitModel& model, SimRandom& random, const DrawOptions& options) {
    const CompiledLibrary& compiled = model.compiled();
    std::vector<FaultSet> sets;
    std::vector<double> weights;
    const auto add = [&](const FaultSet& set) {
        if (options.wanted && !options.wanted(set)) return;
        const double weight = prior_weight(model, set);
        if (weight <= 0.0) return;
        sets.push_back(set);
        weights.push_back(weight);
    };
    FaultSet set;
    if (options.nothing_wrong) add(set);
    set.kind = HypothesisKind::something_else;
    if (options.something_else) add(set);
    for (AlternativeIndex a = 0; a < compiled.alternative_count(); ++a) {
        if (model.prior()[a] <= 0.0) continue;
        set = {HypothesisKind::faults, 1, {static_cast<std::uint16_t>(a)}};
        add(set);
        for (AlternativeIndex b = a + 1; b < compiled.alternative_count(); ++b) {
            if (model.prior()[b] <= 0.0 || compiled.alternative(a).fault == compiled.alternative(b).fault) continue;
            set = {HypothesisKind::faults, 2, {static_cast<std::uint16_t>(a), static_cast<std::uint16_t>(b)}};
            add(set);
        }
    }
    if (sets.empty()) return {};
    return sets[random.pick(weights)];
}

namespace {

/// What the faults do to a finding's check, added up.
Influence influence_on(const UnitModel& model, const Finding& finding, const FaultSet& hidden) {
    const CompiledCheck& check = model.compiled().check(finding.check);
    Influence sum, one;
    for (const GaugeEffect& effect : check.gauges)
        if (hidden.contains(effect.alternative) && influence_of(model, finding, effect, one)) add(sum, one);
    return sum;
}

class Reader {
public:
    Reader(const UnitModel& model, const Case& so_far, CheckIndex check, const FaultSet& hidden, SimRandom& random,
           const std::map<std::string, bool>& after, Slip slip)
        : model_(model),
          check_(model.compiled().library().checks[check]),
          index_(check),
          hidden_(hidden),
          random_(random),
          slip_(slip),
          case_(so_far) {
        drawn_.reading.check = check_.id;
        drawn_.reading.after = after;
    }

    DrawnReading run() {
        switch (check_.kind) {
            case CheckKind::look:
            case CheckKind::banded:
                look();
                break;
            case CheckKind::several:
                several();
                break;
            case CheckKind::gauge:
                gauge();
                break;
        }
        return drawn_;
    }

private:
    /// The finding that this reading would be in the case so far; none when it would be no evidence.
    [[nodiscard]] std::optional<Finding> as_finding() {
        case_.readings.push_back(drawn_.reading);
        const Findings findings = gather(model_, case_);
        case_.readings.pop_back();
        for (const Finding& finding : findings.items)
            if (finding.check == index_) return finding;
        return std::nullopt;
    }

    [[nodiscard]] bool slips(double trust) {
        const bool by_trust = random_.uniform() >= trust;
        return slip_ == Slip::by_trust ? by_trust : slip_ == Slip::wrong;
    }

    void look() {
        const auto normal =
            std::find_if(check_.outcomes.begin(), check_.outcomes.end(), [](const Outcome& o) { return o.normal; });
        drawn_.reading.outcomes = {normal == check_.outcomes.end() ? check_.outcomes.front().id : normal->id};
        std::optional<Finding> finding = as_finding();
        if (!finding) return;
        drawn_.wrong = slips(finding->trust);
        std::vector<double> weights;
        for (OutcomeIndex o = 0; o < check_.outcomes.size(); ++o) {
            finding->outcome = o;
            weights.push_back(drawn_.wrong ? 1.0 : pure_likelihood(model_, *finding, hidden_));
        }
        drawn_.reading.outcomes = {check_.outcomes[random_.pick(weights)].id};
    }

    void several() {
        std::string normal;
        for (const Outcome& outcome : check_.outcomes)
            if (outcome.normal) normal = outcome.id;
        std::vector<std::string> said;
        for (OutcomeIndex o = 0; o < check_.outcomes.size(); ++o) {
            const Outcome& outcome = check_.outcomes[o];
            if (outcome.normal || !outcome.means.empty()) continue;
            Finding finding;
            finding.check = index_;
            finding.outcome = o;
            finding.trust = trust_in(model_.compiled().library().reliability, check_);
            if (random_.uniform() < likelihood(model_, finding, hidden_)) said.push_back(outcome.id);
        }
        if (said.empty() && !normal.empty()) said.push_back(normal);
        drawn_.reading.outcomes = said;
    }

    void gauge() {
        const double low = check_.range.min.value_or(check_.normal.mean - 50.0 * check_.normal.spread);
        const double high = check_.range.max.value_or(check_.normal.mean + 50.0 * check_.normal.spread);
        const double reference = check_.normal.relative_to.empty()
                                     ? 0.0
                                     : reference_value(model_.compiled().library(), check_.normal.relative_to, case_)
                                           .value_or(check_.normal.assumed.value_or(0.0));
        double normal = check_.normal.mean + reference;
        double unit = 1.0;  ///< of the reading per unit of deviation
        if (check_.normal.percent) {
            unit = reference != 0.0 ? std::abs(reference) / 100.0 : 1.0;
            normal = check_.normal.mean * unit;
        }
        drawn_.reading.value = std::clamp(normal, low, high);
        const std::optional<Finding> finding = as_finding();
        if (!finding) return;
        drawn_.wrong = hidden_.kind == HypothesisKind::something_else || slips(finding->trust);
        if (drawn_.wrong) {
            drawn_.reading.value = low + random_.uniform() * (high - low);
            return;
        }
        const Influence influence = influence_on(model_, *finding, hidden_);
        const double scale = std::sqrt(model_.compiled().check(index_).spread_squared + influence.spread_squared);
        const double deviation =
            std::clamp(influence.shift, finding->low, finding->high) + scale * random_.student_t4();
        drawn_.reading.value = std::clamp(normal + deviation * unit, low, high);
    }

    const UnitModel& model_;
    const Check& check_;
    CheckIndex index_;
    const FaultSet& hidden_;
    SimRandom& random_;
    Slip slip_;
    Case case_;
    DrawnReading drawn_;
};

}  // namespace

DrawnReading draw_reading(const UnitModel& model, const Case& so_far, CheckIndex check, const FaultSet& hidden,
                          SimRandom& random, const std::map<std::string, bool>& after, Slip slip) {
    return Reader(model, so_far, check, hidden, random, after, slip).run();
}

void write_like_a_person(Reading& reading, const Check& check, UnitPreference units) {
    if (!reading.value) return;
    const Measure* own = find_measure(check.unit);
    if (own == nullptr) return;
    const Measure& shown = preferred_measure(own->dimension, units);
    const double step = check.normal.spread >= 5.0 || std::abs(*reading.value) >= 100.0 ? 1.0 : 0.1;
    const auto rounded = [&](double canonical) { return std::round(from_canonical(canonical, shown) / step) * step; };
    double value = rounded(*reading.value);
    // Rounding must not leave the range; its limits are round in the check's own measure.
    if (check.range.min) value = std::max(value, from_canonical(*check.range.min, shown));
    if (check.range.max) value = std::min(value, from_canonical(*check.range.max, shown));
    reading.typed = to_text(Quantity{value, &shown});
    if (const auto again = parse_quantity(reading.typed, own->dimension)) reading.value = to_canonical(*again);
}

DrawnCase draw_case(const UnitModel& model, std::uint64_t seed, std::span<const CheckIndex> checks,
                    const DrawOptions& options) {
    SimRandom random(mixed_seed(seed, 0));
    DrawnCase drawn;
    drawn.hidden = draw_faults(model, random, options);
    drawn.the_case.unit = model.unit();
    for (const CheckIndex check : checks) {
        SimRandom own(mixed_seed(seed, std::uint64_t{1000} + check));
        DrawnReading one = draw_reading(model, drawn.the_case, check, drawn.hidden, own);
        if (one.wrong) drawn.wrong.push_back(one.reading.check);
        drawn.the_case.readings.push_back(std::move(one.reading));
    }
    return drawn;
}

}  // namespace frostread
