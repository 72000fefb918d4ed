#include "plan/answer_rows.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <string_view>

#include "engine/stages.hpp"

namespace frostread::plan {

namespace {

constexpr std::size_t kFineBins = 15;
constexpr std::size_t kBinsPerCoarse = 3;
constexpr std::size_t kGridPoints = 96;
constexpr double kPlacing = 1e-4;  ///< sets below this weight do not help to place the bins
constexpr double kReach = 6.0;     ///< scales about a mean that the grid covers

/// numeric::student4_cdf in the form 1/2 + 3/4 x - 1/4 x^3 with x = t / sqrt(4 + t^2), open to the compiler.
inline double quick_cdf(double t) {
    const double x = t / std::sqrt(4.0 + t * t);
    return 0.5 + x * (0.75 - 0.25 * x * x);
}

bool same_reading(const Finding& a, const Finding& b) {
    return a.outcome == b.outcome && a.absent == b.absent && a.deviation == b.deviation && a.low == b.low &&
           a.high == b.high && a.reference_known == b.reference_known && a.trust == b.trust;
}

bool same_place(const Finding& a, const Finding& b) {
    return a.check == b.check && a.outcome == b.outcome;
}

}  // namespace

RowMaker::RowMaker(const UnitModel& model, const Case& the_case, const Findings& findings, const Belief& belief)
    : model_(model),
      library_(model.compiled().library()),
      case_(the_case),
      findings_(findings),
      belief_(belief),
      likelihoods_(model),
      referred_(library_.checks.size(), false),
      touches_(model.compiled().alternative_count(), 0) {
    const auto refer = [&](std::string_view id) {
        if (const auto index = model.compiled().check_index(id)) referred_[*index] = true;
    };
    for (const Check& check : library_.checks) {
        refer(check.normal.relative_to);
        refer(check.low_limit.relative_to);
        refer(check.high_limit.relative_to);
        refer(check.reference);
    }
    for (const Condition& condition : library_.conditions) refer(condition.known_by);
    refer("room-temp");  // the derived references are taken at the room's temperature
}

RowMaker::Imagined RowMaker::imagine(const Reading& reading) {
    Imagined result;
    case_.readings.push_back(reading);
    const Findings now = gather(model_, case_);
    case_.readings.pop_back();
    const auto index = model_.compiled().check_index(reading.check);
    for (const Finding& finding : now.items)
        if (index && finding.check == *index) result.own.push_back(finding);
    if (result.own.empty()) return result;
    for (std::size_t i = 0; i < findings_.items.size(); ++i) {
        const Finding& before = findings_.items[i];
        const bool replaced = before.check == *index;
        const auto after =
            std::find_if(now.items.begin(), now.items.end(), [&](const Finding& f) { return same_place(f, before); });
        const bool is_banded = library_.checks[before.check].kind == CheckKind::banded;
        if (replaced) {
            result.gone.push_back(i);
        } else if (after == now.items.end()) {
            // A band may move when its reference becomes known: then it is the same check with another outcome.
            const auto moved = std::find_if(now.items.begin(), now.items.end(),
                                            [&](const Finding& f) { return f.check == before.check; });
            if (is_banded && moved != now.items.end())
                result.changed.emplace_back(i, *moved);
            else
                result.gone.push_back(i);
        } else if (!same_reading(*after, before)) {
            result.changed.emplace_back(i, *after);
        }
    }
    return result;
}

bool RowMaker::fill(Candidate& candidate, Reading reading) {
    const Check& check = library_.checks[candidate.check];
    if (check.kind == CheckKind::gauge) {
        const double low = check.range.min.value_or(check.normal.mean - 1.0);
        const double high = check.range.max.value_or(check.normal.mean + 1.0);
        reading.value = std::clamp(check.normal.assumed.value_or(0.0) + check.normal.mean, low, high);
    } else {
        // An outcome that a better check silences says nothing, the others of its check may.
        const auto abnormal = std::find_if(check.outcomes.begin(), check.outcomes.end(), [&](const Outcome& o) {
            return !o.normal && o.means.empty() && !silenced(check, o);
        });
        if (abnormal == check.outcomes.end()) return false;
        reading.outcomes = {abnormal->id};
    }
    const Imagined first = imagine(reading);
    if (first.own.empty()) return false;
    candidate.drops = first.gone;
    find_patterns(candidate.check);
    switch (check.kind) {
        case CheckKind::look:
        case CheckKind::banded:
            fill_look(candidate, reading);
            break;
        case CheckKind::several:
            fill_several(candidate, first.own.front());
            break;
        case CheckKind::gauge:
            fill_gauge(candidate, reading, first.own.front());
            break;
    }
    return candidate.rows.answers > 1;
}

bool RowMaker::silenced(const Check& check, const Outcome& outcome) const {
    return check.kind != CheckKind::several &&
           std::any_of(outcome.superseded_by.begin(), outcome.superseded_by.end(), [&](const std::string& id) {
               const auto better = model_.compiled().check_index(id);
               return better && std::any_of(findings_.items.begin(), findings_.items.end(),
                                            [&](const Finding& f) { return f.check == *better; });
           });
}

void RowMaker::find_patterns(CheckIndex check) {
    const CompiledCheck& compiled = model_.compiled().check(check);
    std::fill(touches_.begin(), touches_.end(), char{0});
    for (const LookEffect& effect : compiled.looks) touches_[effect.alternative] = 1;
    for (const GaugeEffect& effect : compiled.gauges) touches_[effect.alternative] = 1;
    patterns_.clear();
    pattern_.resize(belief_.sets.size());
    // Open addressing; the table is at least twice as long as the sets are many.
    const std::size_t slots = std::bit_ceil(2 * belief_.sets.size() + 2);
    slot_key_.assign(slots, 0);
    slot_pattern_.resize(slots);
    for (std::size_t i = 0; i < belief_.sets.size(); ++i) {
        FaultSet cut;
        cut.kind = belief_.sets[i].kind;
        std::uint64_t key = 1 + (static_cast<std::uint64_t>(cut.kind == HypothesisKind::something_else) << 1U);
        for (std::size_t m = 0; m < belief_.sets[i].size; ++m) {
            const std::uint16_t member = belief_.sets[i].members[m];
            if (!touches_[member]) continue;
            key |= (static_cast<std::uint64_t>(member) + 1) << (2U + 20U * cut.size);
            cut.members[cut.size++] = member;
        }
        if (cut.size == 0 && cut.kind == HypothesisKind::faults) cut.kind = HypothesisKind::nothing_wrong;
        std::size_t slot = (key * 0x9E3779B97F4A7C15ULL >> 32U) & (slots - 1);
        while (slot_key_[slot] != 0 && slot_key_[slot] != key) slot = (slot + 1) & (slots - 1);
        if (slot_key_[slot] == 0) {
            slot_key_[slot] = key;
            slot_pattern_[slot] = static_cast<std::uint32_t>(patterns_.size());
            patterns_.push_back(cut);
        }
        pattern_[i] = slot_pattern_[slot];
    }
}

void RowMaker::apply_changes(const std::vector<std::pair<std::size_t, Finding>>& changed, std::span<double> row) {
    std::vector<double> before(row.size()), after(row.size());
    for (const auto& [index, now] : changed) {
        likelihoods_(findings_.items[index], belief_.sets, before);
        likelihoods_(now, belief_.sets, after);
        for (std::size_t i = 0; i < row.size(); ++i)
            if (before[i] > 0.0) row[i] *= after[i] / before[i];
    }
}

void RowMaker::fill_look(Candidate& candidate, Reading& reading) {
    const Check& check = library_.checks[candidate.check];
    const std::size_t sets = belief_.sets.size();
    std::vector<double> per_pattern(patterns_.size());
    Imagined seen = imagine(reading);
    Finding finding = seen.own.front();
    candidate.rows.sets = sets;
    candidate.rows.values.reserve(check.outcomes.size() * sets);
    std::vector<OutcomeIndex> last;  // silenced outcomes leave together, as one answer that says next to nothing
    std::vector<double> silent;
    for (OutcomeIndex outcome = 0; outcome < check.outcomes.size(); ++outcome) {
        if (silenced(check, check.outcomes[outcome])) {
            finding.outcome = outcome;
            likelihoods_(finding, patterns_, per_pattern);
            silent.resize(sets, 0.0);
            for (std::size_t i = 0; i < sets; ++i) silent[i] += per_pattern[pattern_[i]];
            last.push_back(outcome);
            continue;
        }
        if (referred_[candidate.check]) {
            reading.outcomes = {check.outcomes[outcome].id};
            seen = imagine(reading);
            if (seen.own.empty()) continue;
            finding = seen.own.front();
        }
        finding.outcome = outcome;
        finding.trust = check.outcomes[outcome].no_evidence ? 0.0 : seen.own.front().trust;
        likelihoods_(finding, patterns_, per_pattern);
        candidate.rows.values.resize((candidate.rows.answers + 1) * sets);
        const std::span<double> row = candidate.rows.row(candidate.rows.answers);
        for (std::size_t i = 0; i < sets; ++i) row[i] = per_pattern[pattern_[i]];
        candidate.answers.push_back({outcome, std::nullopt});
        apply_changes(seen.changed, candidate.rows.row(candidate.rows.answers++));
    }
    if (last.empty()) return;
    candidate.rows.values.insert(candidate.rows.values.end(), silent.begin(), silent.end());
    candidate.answers.push_back({last.front(), std::nullopt});
    ++candidate.rows.answers;
}

/// Things said together are judged as if one of them were named: the first one, in proportion to how
/// likely each is to be named. It is a lower bound of what a talk with the customer is worth.
void RowMaker::fill_several(Candidate& candidate, const Finding& like) {
    const Check& check = library_.checks[candidate.check];
    const std::size_t sets = belief_.sets.size();
    candidate.rows.sets = sets;
    std::vector<double> total(sets, 0.0), nothing_said(sets, 1.0), said(sets);
    Finding finding = like;
    for (OutcomeIndex item = 0; item < check.outcomes.size(); ++item) {
        if (check.outcomes[item].normal || !check.outcomes[item].means.empty()) continue;
        finding.outcome = item;
        finding.absent = false;
        likelihoods_(finding, belief_.sets, said);
        candidate.rows.values.insert(candidate.rows.values.end(), said.begin(), said.end());
        for (std::size_t i = 0; i < sets; ++i) {
            total[i] += said[i];
            nothing_said[i] *= std::max(0.0, 1.0 - said[i]);
        }
        candidate.answers.push_back({item, std::nullopt});
        ++candidate.rows.answers;
    }
    for (std::size_t a = 0; a < candidate.rows.answers; ++a)
        for (std::size_t i = 0; i < sets; ++i)
            candidate.rows.row(a)[i] *= total[i] > 0.0 ? (1.0 - nothing_said[i]) / total[i] : 0.0;
    for (OutcomeIndex item = 0; item < check.outcomes.size(); ++item)
        if (check.outcomes[item].normal) candidate.answers.push_back({item, std::nullopt});
    candidate.answers.resize(candidate.rows.answers + 1);
    candidate.rows.values.insert(candidate.rows.values.end(), nothing_said.begin(), nothing_said.end());
    ++candidate.rows.answers;
}

void RowMaker::fill_gauge(Candidate& candidate, Reading& reading, const Finding& like) {
    const Check& check = library_.checks[candidate.check];
    const CompiledCheck& compiled = model_.compiled().check(candidate.check);
    const std::size_t sets = belief_.sets.size();
    struct Shape {
        double mean = 0.0, inverse_scale = 1.0, weight = 0.0;
        bool flat = false;
    };
    std::vector<Influence> influence(touches_.size());
    Influence one;
    for (const GaugeEffect& effect : compiled.gauges)
        if (influence_of(model_, like, effect, one)) add(influence[effect.alternative], one);
    std::vector<Shape> shapes(patterns_.size());
    for (std::size_t p = 0; p < patterns_.size(); ++p) {
        Influence sum;
        for (std::size_t m = 0; m < patterns_[p].size; ++m) add(sum, influence[patterns_[p].members[m]]);
        shapes[p] = {std::clamp(sum.shift, like.low, like.high),
                     1.0 / std::sqrt(compiled.spread_squared + sum.spread_squared), 0.0,
                     patterns_[p].kind == HypothesisKind::something_else};
    }
    for (std::size_t i = 0; i < sets; ++i) shapes[pattern_[i]].weight += belief_.weight[i];

    // The possible range in deviations, by the reading that was imagined.
    const double width = 1.0 / flat_likelihood(model_, like);
    const double raw_low = check.range.min.value_or(*reading.value - 0.5 * width);
    const double raw_high = check.normal.settles_at.value_or(check.range.max.value_or(*reading.value + 0.5 * width));
    const double per_unit = raw_high > raw_low ? width / (raw_high - raw_low) : 1.0;
    const double low = like.deviation + (raw_low - *reading.value) * per_unit;
    const double high = like.deviation + (raw_high - *reading.value) * per_unit;

    const auto flat_cdf = [&](double x) { return std::clamp((x - low) / (high - low), 0.0, 1.0); };
    // The predictive distribution on a grid, only to place the bins: what stands in them is exact.
    double from = 0.0, upto_grid = 0.0, flat_weight = 0.0;
    for (const Shape& shape : shapes) {
        flat_weight += shape.weight * (shape.flat ? 1.0 : 1.0 - like.trust);
        if (shape.flat || shape.weight < kPlacing) continue;
        from = std::min(from, shape.mean - kReach / shape.inverse_scale);
        upto_grid = std::max(upto_grid, shape.mean + kReach / shape.inverse_scale);
    }
    from = std::max(from, low);
    upto_grid = std::min(upto_grid, high);
    std::array<double, kGridPoints + 1> grid{};
    const double step = (upto_grid - from) / static_cast<double>(kGridPoints);
    for (std::size_t k = 0; k <= kGridPoints; ++k)
        grid[k] = flat_weight * flat_cdf(from + step * static_cast<double>(k));
    for (const Shape& shape : shapes) {
        if (shape.flat || shape.weight < kPlacing) continue;
        const double weight = shape.weight * like.trust;
        const double start = (from - shape.mean) * shape.inverse_scale, stride = step * shape.inverse_scale;
        for (std::size_t k = 0; k <= kGridPoints; ++k)
            grid[k] += weight * quick_cdf(start + stride * static_cast<double>(k));
    }
    const double least = grid.front(), most = grid.back();
    const auto quantile = [&](double q) {
        const double wanted = least + q * (most - least);
        const auto above = std::upper_bound(grid.begin() + 1, grid.end() - 1, wanted);
        const double rise = *above - *(above - 1);
        const double part = rise > 0.0 ? std::clamp((wanted - *(above - 1)) / rise, 0.0, 1.0) : 0.5;
        return from + step * (static_cast<double>(above - 1 - grid.begin()) + part);
    };

    std::array<double, kFineBins + 1> edges{}, flat_below{};
    for (std::size_t k = 1; k < kFineBins; ++k) {
        edges[k] = quantile(static_cast<double>(k) / static_cast<double>(kFineBins));
        flat_below[k] = flat_cdf(edges[k]);
    }
    flat_below[kFineBins] = 1.0;
    std::vector<double> per_pattern(patterns_.size() * kFineBins);  // bin-major
    for (std::size_t p = 0; p < patterns_.size(); ++p) {
        const double trust = shapes[p].flat ? 0.0 : like.trust;
        double below = 0.0;
        for (std::size_t k = 0; k < kFineBins; ++k) {
            const double upto = k + 1 == kFineBins
                                    ? 1.0
                                    : trust * quick_cdf((edges[k + 1] - shapes[p].mean) * shapes[p].inverse_scale) +
                                          (1.0 - trust) * flat_below[k + 1];
            per_pattern[k * patterns_.size() + p] = std::max(0.0, upto - below);
            below = upto;
        }
    }
    candidate.rows.sets = sets;
    candidate.rows.answers = kFineBins;
    candidate.rows.values.resize(kFineBins * sets);
    for (std::size_t k = 0; k < kFineBins; ++k) {
        const std::span<double> row = candidate.rows.row(k);
        const double* pattern = per_pattern.data() + k * patterns_.size();
        for (std::size_t i = 0; i < sets; ++i) row[i] = pattern[pattern_[i]];
        const double middle = quantile((static_cast<double>(k) + 0.5) / static_cast<double>(kFineBins));
        const double value = *reading.value + (middle - like.deviation) / per_unit;
        candidate.answers.push_back({0, value});
        if (referred_[candidate.check]) {
            Reading other = reading;
            other.value = std::clamp(value, raw_low, raw_high);
            apply_changes(imagine(other).changed, row);
        }
    }
    candidate.coarse.sets = sets;
    for (std::size_t k = 0; k < kFineBins; k += kBinsPerCoarse) {
        candidate.coarse.values.resize(candidate.coarse.values.size() + sets, 0.0);
        std::span<double> sum = candidate.coarse.row(candidate.coarse.answers++);
        for (std::size_t j = k; j < std::min(k + kBinsPerCoarse, kFineBins); ++j)
            for (std::size_t i = 0; i < sets; ++i) sum[i] += candidate.rows.row(j)[i];
    }
}

}  // namespace frostread::plan
