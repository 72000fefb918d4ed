#include <algorithm>
#include <atomic>
#include <cmath>
#include <functional>
#include <memory>
#include <set>
#include <string>
#include <vector>

#include "compile/unit_memo.hpp"
#include "frostread/compiled_library.hpp"

namespace frostread {

namespace {

/// A stated "unknown" is the same as nothing stated.
const std::string* stated_word(const UnitTraits& unit, const std::string& trait) {
    const auto found = unit.words.find(trait);
    return found == unit.words.end() || found->second == "unknown" ? nullptr : &found->second;
}

bool contains(const std::vector<std::string>& list, const std::string& word) {
    return std::find(list.begin(), list.end(), word) != list.end();
}

Truth holds(const TraitTest& test, const UnitTraits& unit) {
    if (test.range) {
        const auto found = unit.numbers.find(test.trait);
        if (found == unit.numbers.end()) return Truth::unknown;
        const bool inside = (!test.range->min || found->second >= *test.range->min) &&
                            (!test.range->max || found->second <= *test.range->max);
        return inside ? Truth::yes : Truth::no;
    }
    const std::string* word = stated_word(unit, test.trait);
    if (word == nullptr) return Truth::unknown;
    const bool wanted = test.any_of.empty() || contains(test.any_of, *word);
    return wanted && !contains(test.none_of, *word) ? Truth::yes : Truth::no;
}

/// Calls `visit(unit, share)` for every way of stating `traits`, by the library's mix of units.
void for_each_completion(const Library& library, const std::set<std::string>& traits, const UnitTraits& unit,
                         const std::function<void(const UnitTraits&, double)>& visit) {
    std::vector<const Trait*> open;
    for (const std::string& id : traits) {
        const Trait* trait = find_trait(library, id);
        if (trait == nullptr) continue;
        const bool stated = trait->is_number ? unit.numbers.count(id) != 0 : stated_word(unit, id) != nullptr;
        if (!stated) open.push_back(trait);
    }
    UnitTraits filled = unit;
    const std::function<void(std::size_t, double)> descend = [&](std::size_t depth, double share) {
        if (depth == open.size()) return visit(filled, share);
        const Trait& trait = *open[depth];
        double total = 0.0;
        if (trait.is_number) {
            for (const auto& [value, part] : trait.mix) total += part;
            if (total <= 0.0) return descend(depth + 1, share);  // no mix: stays unstated
            for (const auto& [value, part] : trait.mix) {
                filled.numbers[trait.id] = value;
                descend(depth + 1, share * part / total);
            }
            filled.numbers.erase(trait.id);
        } else {
            for (const TraitValue& value : trait.values) total += value.id == "unknown" ? 0.0 : value.share;
            if (total <= 0.0) return descend(depth + 1, share);
            const auto before = unit.words.find(trait.id);
            for (const TraitValue& value : trait.values) {
                if (value.id == "unknown" || value.share <= 0.0) continue;
                filled.words[trait.id] = value.id;
                descend(depth + 1, share * value.share / total);
            }
            if (before == unit.words.end())
                filled.words.erase(trait.id);
            else
                filled.words[trait.id] = before->second;
        }
    };
    descend(0, 1.0);
}

void collect_traits(const TraitCondition& condition, std::set<std::string>& traits) {
    for (const TraitTest& test : condition.all) traits.insert(test.trait);
}

/// Frequency of a fault on this unit, as a share of calls: base * gate * multipliers, averaged over
/// what is not stated. A number without a mix gates and multiplies nothing while it is not stated.
double prior_of(const Library& library, const Fault& fault, const UnitTraits& unit) {
    std::set<std::string> traits;
    collect_traits(fault.where, traits);
    for (const Multiplier& multiplier : fault.multipliers) collect_traits(multiplier.where, traits);
    double mean = 0.0;
    for_each_completion(library, traits, unit, [&](const UnitTraits& filled, double share) {
        if (holds(fault.where, filled) == Truth::no) return;
        double factor = 1.0;
        for (const Multiplier& multiplier : fault.multipliers)
            if (holds(multiplier.where, filled) == Truth::yes) factor *= multiplier.factor;
        mean += share * factor;
    });
    return mean * fault.frequency / 1000.0;
}

/// Share of one grade on this unit: those that it cannot have leave theirs to the others. A trait that
/// nobody stated takes no grade away.
double share_of_grade(const Fault& fault, const Alternative& alternative, const UnitTraits& unit) {
    const auto possible = [&](const Grade& grade) { return holds(grade.where, unit) != Truth::no; };
    double left = 0.0;
    for (const Grade& grade : fault.grades) left += possible(grade) ? grade.share : 0.0;
    return possible(fault.grades[alternative.grade]) ? alternative.share / left : 0.0;
}

/// Which variant of a group applies: the likeliest; the empty condition (or no rule at all) has the
/// share on which none of the others hold. Ties go to the earlier one.
std::int32_t chosen_variant(const CompiledLibrary& compiled, const std::vector<std::int32_t>& group,
                            const UnitTraits& unit) {
    double claimed = 0.0, best_share = -1.0;
    std::int32_t best = -1, fallback = -1;
    for (const std::int32_t variant : group) {
        const TraitCondition& condition = compiled.variants()[static_cast<std::size_t>(variant)];
        if (condition.empty()) {
            fallback = variant;
            continue;
        }
        const double share = share_holding(compiled.library(), condition, unit);
        claimed += share;
        if (share > best_share && share > 0.0) {
            best_share = share;
            best = variant;
        }
    }
    return best_share >= 1.0 - std::min(1.0, claimed) ? best : fallback;
}

}  // namespace

Truth holds(const TraitCondition& condition, const UnitTraits& unit) {
    Truth all = Truth::yes;
    for (const TraitTest& test : condition.all) {
        const Truth one = holds(test, unit);
        if (one == Truth::no) return Truth::no;
        if (one == Truth::unknown) all = Truth::unknown;
    }
    return all;
}

double share_holding(const Library& library, const TraitCondition& condition, const UnitTraits& unit) {
    const Truth plain = holds(condition, unit);
    if (plain != Truth::unknown) return plain == Truth::yes ? 1.0 : 0.0;
    std::set<std::string> traits;
    collect_traits(condition, traits);
    double share_yes = 0.0;
    for_each_completion(library, traits, unit, [&](const UnitTraits& filled, double share) {
        if (holds(condition, filled) != Truth::no) share_yes += share;
    });
    return share_yes;
}

namespace {

/// What one thread remembers of the library it worked with last.
struct FitMemo {
    std::weak_ptr<const CompiledLibrary> library;
    UnitCodes codes;
    std::vector<MemoTable> faults, checks, groups;

    void prepare(const std::shared_ptr<const CompiledLibrary>& compiled) {
        // Same owner, same library: a weak pointer keeps the owner's address from being used again.
        if (!library.owner_before(compiled) && !compiled.owner_before(library)) return;
        library = compiled;
        const Library& rules = compiled->library();
        codes.prepare(rules);
        faults.clear();
        checks.clear();
        groups.clear();
        for (const Fault& fault : rules.faults) {
            std::set<std::string> traits;
            collect_traits(fault.where, traits);
            for (const Multiplier& multiplier : fault.multipliers) collect_traits(multiplier.where, traits);
            faults.emplace_back(codes, traits);
        }
        for (const Check& check : rules.checks) {
            std::set<std::string> traits;
            collect_traits(check.where, traits);
            checks.emplace_back(codes, traits);
        }
        for (const auto& group : compiled->variant_groups()) {
            std::set<std::string> traits;
            for (const std::int32_t variant : group)
                collect_traits(compiled->variants()[static_cast<std::size_t>(variant)], traits);
            groups.emplace_back(codes, traits);
        }
    }
};

}  // namespace

UnitModel fit_to_unit(std::shared_ptr<const CompiledLibrary> compiled, const UnitTraits& unit) {
    thread_local FitMemo memo;
    thread_local std::vector<std::uint32_t> codes;
    memo.prepare(compiled);
    const bool known = memo.codes.encode(unit, codes);
    UnitModel model;
    const Library& library = compiled->library();
    model.unit_ = unit;
    model.prior_.reserve(compiled->alternative_count());
    double prior = 0.0;
    for (AlternativeIndex i = 0; i < compiled->alternative_count(); ++i) {
        const Alternative& alternative = compiled->alternative(i);
        if (alternative.grade == 0)
            prior = memo.faults[alternative.fault].get(
                codes, known, [&] { return prior_of(library, library.faults[alternative.fault], unit); });
        const Fault& fault = library.faults[alternative.fault];
        const bool gated = std::any_of(fault.grades.begin(), fault.grades.end(),
                                       [](const Grade& grade) { return !grade.where.empty(); });
        model.prior_.push_back(prior * (gated ? share_of_grade(fault, alternative, unit) : alternative.share));
    }
    model.exists_.reserve(library.checks.size());
    for (CheckIndex i = 0; i < library.checks.size(); ++i) {
        const double exists = memo.checks[i].get(
            codes, known, [&] { return holds(library.checks[i].where, unit) == Truth::no ? 0.0 : 1.0; });
        model.exists_.push_back(exists > 0.0 ? 1 : 0);
    }
    model.variant_on_.assign(compiled->variants().size(), 0);
    for (std::size_t i = 0; i < compiled->variant_groups().size(); ++i) {
        const auto chosen = static_cast<std::int32_t>(memo.groups[i].get(codes, known, [&] {
            return static_cast<double>(chosen_variant(*compiled, compiled->variant_groups()[i], unit));
        }));
        if (chosen >= 0) model.variant_on_[static_cast<std::size_t>(chosen)] = 1;
    }
    model.nothing_wrong_ = library.nothing_wrong / 1000.0;
    model.something_else_ = library.something_else / 1000.0;
    model.second_fault_ = library.second_fault;
    model.compiled_ = std::move(compiled);
    static std::atomic<std::uint64_t> fits{0};
    model.serial_ = ++fits;
    return model;
}

}  // namespace frostread
