#include <algorithm>
#include <atomic>
#include <cmath>
#include <functional>
#include <map>
#include <memory>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "compile/unit_memo.hpp"
#include "compile/variant_choice.hpp"
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

std::int32_t chosen_variant(const CompiledLibrary& compiled, const std::vector<std::int32_t>& group,
                            const UnitTraits& unit) {
    VariantChoice choice;
    for (const std::int32_t variant : group)
        choice.offer(variant, compiled.library(), compiled.variants()[static_cast<std::size_t>(variant)], unit);
    return choice.chosen();
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

/// Everything about a unit that depends on the same traits, which is a matter of one look-up.
struct FitPart {
    MemoTable memo;
    std::vector<FaultIndex> faults;           ///< whose frequency is asked for
    std::vector<AlternativeIndex> shares;     ///< of grades that not every unit can have
    std::vector<CheckIndex> checks;           ///< whose existence is asked for
    std::vector<std::size_t> variant_groups;  ///< of which one variant is to be chosen
    [[nodiscard]] std::size_t count() const {
        return faults.size() + shares.size() + checks.size() + variant_groups.size();
    }
};

/// What one thread remembers of the library it worked with last.
struct FitMemo {
    std::weak_ptr<const CompiledLibrary> library;
    UnitCodes codes;
    std::vector<FitPart> parts;
    std::vector<double> fault_prior, share;                    ///< of the latest unit; shares that never change stay
    std::vector<std::pair<CheckIndex, unsigned>> variant_bit;  ///< by variant: its check, and its place there

    void prepare(const std::shared_ptr<const CompiledLibrary>& compiled) {
        // Same owner, same library: a weak pointer keeps the owner's address from being used again.
        if (!library.owner_before(compiled) && !compiled.owner_before(library)) return;
        library = compiled;
        codes.prepare(compiled->library());
        collect_parts(*compiled);
        number_variants(*compiled);
    }

private:
    void collect_parts(const CompiledLibrary& compiled) {
        const Library& rules = compiled.library();
        parts.clear();
        std::map<std::set<std::string>, std::size_t> part_of;
        const auto part = [&](const std::set<std::string>& traits) -> FitPart& {
            const auto [place, is_new] = part_of.try_emplace(traits, parts.size());
            if (is_new) parts.push_back({MemoTable(codes, traits), {}, {}, {}, {}});
            return parts[place->second];
        };
        fault_prior.assign(rules.faults.size(), 0.0);
        for (FaultIndex i = 0; i < rules.faults.size(); ++i) {
            const Fault& fault = rules.faults[i];
            std::set<std::string> traits, of_grades;
            collect_traits(fault.where, traits);
            for (const Multiplier& multiplier : fault.multipliers) collect_traits(multiplier.where, traits);
            part(traits).faults.push_back(i);
            for (const Grade& grade : fault.grades) collect_traits(grade.where, of_grades);
            for (std::size_t grade = 0; !of_grades.empty() && grade < fault.grades.size(); ++grade)
                part(of_grades).shares.push_back(compiled.first_alternative(i) + static_cast<AlternativeIndex>(grade));
        }
        share.clear();
        for (const Alternative& alternative : compiled.alternatives()) share.push_back(alternative.share);
        for (CheckIndex i = 0; i < rules.checks.size(); ++i) {
            std::set<std::string> traits;
            collect_traits(rules.checks[i].where, traits);
            part(traits).checks.push_back(i);
        }
        for (std::size_t i = 0; i < compiled.variant_groups().size(); ++i) {
            std::set<std::string> traits;
            for (const std::int32_t variant : compiled.variant_groups()[i])
                collect_traits(compiled.variants()[static_cast<std::size_t>(variant)], traits);
            part(traits).variant_groups.push_back(i);
        }
    }

    void number_variants(const CompiledLibrary& compiled) {
        variant_bit.assign(compiled.variants().size(), {0, 0});
        for (CheckIndex i = 0; i < compiled.check_count(); ++i) {
            std::set<std::int32_t> variants;
            for (const LookEffect& effect : compiled.check(i).looks) variants.insert(effect.variant);
            for (const GaugeEffect& effect : compiled.check(i).gauges) variants.insert(effect.variant);
            variants.erase(-1);
            unsigned bit = 0;
            for (const std::int32_t variant : variants) variant_bit[static_cast<std::size_t>(variant)] = {i, bit++};
        }
    }
};

/// The answers to everything that the part asks, in its order.
void answer(const CompiledLibrary& compiled, const FitPart& part, const UnitTraits& unit, double* to) {
    const Library& library = compiled.library();
    for (const FaultIndex fault : part.faults) *to++ = prior_of(library, library.faults[fault], unit);
    for (const AlternativeIndex i : part.shares) {
        const Alternative& alternative = compiled.alternative(i);
        *to++ = share_of_grade(library.faults[alternative.fault], alternative, unit);
    }
    for (const CheckIndex check : part.checks)
        *to++ = holds(library.checks[check].where, unit) == Truth::no ? 0.0 : 1.0;
    for (const std::size_t group : part.variant_groups)
        *to++ = static_cast<double>(chosen_variant(compiled, compiled.variant_groups()[group], unit));
}

}  // namespace

UnitModel fit_to_unit(const std::shared_ptr<const CompiledLibrary>& compiled, const UnitTraits& unit) {
    UnitModel model;
    fit_to_unit(compiled, unit, model);
    return model;
}

void fit_to_unit(const std::shared_ptr<const CompiledLibrary>& compiled, const UnitTraits& unit, UnitModel& model) {
    thread_local FitMemo memo_of_thread;
    thread_local std::vector<std::uint32_t> codes_of_thread;
    FitMemo& memo = memo_of_thread;
    std::vector<std::uint32_t>& codes = codes_of_thread;
    memo.prepare(compiled);
    const bool known = memo.codes.encode(unit, codes);
    const Library& library = compiled->library();
    if (model.compiled_ != compiled) model.compiled_ = compiled;
    model.unit_ = unit;
    model.exists_.resize(library.checks.size());
    model.variant_on_.assign(compiled->variants().size(), 0);
    model.variant_bits_.assign(library.checks.size(), 0);
    for (FitPart& part : memo.parts) {
        const double* next =
            part.memo.get(codes, known, part.count(), [&](double* answers) { answer(*compiled, part, unit, answers); });
        for (const FaultIndex fault : part.faults) memo.fault_prior[fault] = *next++;
        for (const AlternativeIndex alternative : part.shares) memo.share[alternative] = *next++;
        for (const CheckIndex check : part.checks) model.exists_[check] = *next++ > 0.0 ? 1 : 0;
        for (std::size_t i = 0; i < part.variant_groups.size(); ++i) {
            const double chosen = *next++;
            if (chosen < 0.0) continue;
            const auto variant = static_cast<std::size_t>(chosen);
            model.variant_on_[variant] = 1;
            const auto [check, bit] = memo.variant_bit[variant];
            model.variant_bits_[check] |= std::uint64_t{1} << bit % 64U;
        }
    }
    model.prior_.resize(compiled->alternative_count());
    for (AlternativeIndex i = 0; i < model.prior_.size(); ++i)
        model.prior_[i] = memo.fault_prior[compiled->alternative(i).fault] * memo.share[i];
    model.nothing_wrong_ = library.nothing_wrong / 1000.0;
    model.something_else_ = library.something_else / 1000.0;
    model.second_fault_ = library.second_fault;
    static std::atomic<std::uint64_t> fits{0};
    model.serial_ = ++fits;
}

}  // namespace frostread
