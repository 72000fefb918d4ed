#include "compile/unit_memo.hpp"

#include <algorithm>

namespace frostread {

namespace {

constexpr std::size_t kMostAnswers = std::size_t{1} << 14U;  ///< per group of traits; beyond, nothing is remembered

void collect_limits(const TraitCondition& condition, const std::string& trait, std::vector<double>& limits) {
    for (const TraitTest& test : condition.all) {
        if (test.trait != trait || !test.range) continue;
        if (test.range->min) limits.push_back(*test.range->min);
        if (test.range->max) limits.push_back(*test.range->max);
    }
}

}  // namespace

void UnitCodes::prepare(const Library& library) {
    traits_.clear();
    for (const Trait& trait : library.traits) {
        OneTrait one;
        one.id = trait.id;
        one.is_number = trait.is_number;
        for (const TraitValue& value : trait.values) one.words.push_back(value.id);
        for (const Check& check : library.checks) collect_limits(check.where, trait.id, one.limits);
        for (const Fault& fault : library.faults) {
            collect_limits(fault.where, trait.id, one.limits);
            for (const Multiplier& multiplier : fault.multipliers)
                collect_limits(multiplier.where, trait.id, one.limits);
            for (const Rule& rule : fault.rules) collect_limits(rule.where, trait.id, one.limits);
        }
        std::sort(one.limits.begin(), one.limits.end());
        one.limits.erase(std::unique(one.limits.begin(), one.limits.end()), one.limits.end());
        // Between the limits, on one of them, and not stated at all.
        one.radix = static_cast<std::uint32_t>(one.is_number ? 2 * one.limits.size() + 2 : one.words.size() + 1);
        traits_.push_back(std::move(one));
    }
}

bool UnitCodes::encode(const UnitTraits& unit, std::vector<std::uint32_t>& codes) const {
    codes.assign(traits_.size(), 0);
    for (std::size_t i = 0; i < traits_.size(); ++i) {
        const OneTrait& trait = traits_[i];
        if (trait.is_number) {
            const auto found = unit.numbers.find(trait.id);
            if (found == unit.numbers.end()) continue;
            const auto above = std::lower_bound(trait.limits.begin(), trait.limits.end(), found->second);
            const auto below = static_cast<std::uint32_t>(above - trait.limits.begin());
            const bool on_limit = above != trait.limits.end() && *above == found->second;
            codes[i] = 2 * below + (on_limit ? 1U : 0U) + 1U;
        } else {
            const auto found = unit.words.find(trait.id);
            if (found == unit.words.end()) continue;
            const auto word = std::find(trait.words.begin(), trait.words.end(), found->second);
            if (word == trait.words.end()) return false;
            codes[i] = static_cast<std::uint32_t>(word - trait.words.begin()) + 1;
        }
    }
    return true;
}

std::size_t UnitCodes::index_of(const std::string& trait) const {
    for (std::size_t i = 0; i < traits_.size(); ++i)
        if (traits_[i].id == trait) return i;
    return traits_.size();
}

MemoTable::MemoTable(const UnitCodes& codes, const std::set<std::string>& traits) {
    std::size_t size = 1;
    for (const std::string& id : traits) {
        const std::size_t trait = codes.index_of(id);
        if (trait == codes.size()) size = kMostAnswers + 1;  // a trait that nobody declared: never remembered
        if (size > kMostAnswers) break;
        digits_.push_back({trait, size});
        size *= codes.radix(trait);
    }
    if (size <= kMostAnswers)
        answers_.resize(size);
    else
        digits_.clear();
}

}  // namespace frostread
