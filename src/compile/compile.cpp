#include <algorithm>
#include <cmath>
#include <utility>

#include "frostread/compiled_library.hpp"

namespace frostread {

namespace {

/// No fault is ever taken to be sure to show: a probability of 1 would make the rate infinite.
constexpr double kLeastNormal = 1e-3;

const Effect* effect_at(const Rule& rule, const Fault& fault, std::size_t grade) {
    if (!fault.grades.empty()) {
        if (const auto found = rule.by_grade.find(fault.grades[grade].id); found != rule.by_grade.end())
            return &found->second;
    }
    return rule.all_grades ? &*rule.all_grades : nullptr;
}

}  // namespace

/// Fills a CompiledLibrary; a class only because it is the friend that may.
class LibraryCompiler {
public:
    explicit LibraryCompiler(std::shared_ptr<const Library> library) : out_(std::make_shared<CompiledLibrary>()) {
        out_->library_ = std::move(library);
    }

    std::shared_ptr<const CompiledLibrary> run() {
        number_everything();
        for (const Check& check : library().checks) compile_check(check);
        for (FaultIndex fault = 0; fault < library().faults.size(); ++fault) compile_rules(fault);
        for (std::size_t index = 0; index < library().checks.size(); ++index) close_items(index);
        return out_;
    }

private:
    [[nodiscard]] const Library& library() const { return *out_->library_; }

    void number_everything() {
        for (std::uint32_t i = 0; i < library().checks.size(); ++i) out_->check_ids_.emplace(library().checks[i].id, i);
        for (FaultIndex fault = 0; fault < library().faults.size(); ++fault) {
            const Fault& entry = library().faults[fault];
            out_->fault_ids_.emplace(entry.id, fault);
            out_->first_alternative_.push_back(static_cast<AlternativeIndex>(out_->alternatives_.size()));
            if (entry.grades.empty()) out_->alternatives_.push_back({fault, 0, 1.0});
            for (std::uint32_t grade = 0; grade < entry.grades.size(); ++grade)
                out_->alternatives_.push_back({fault, grade, entry.grades[grade].share});
        }
    }

    void compile_check(const Check& check) {
        CompiledCheck dense;
        dense.kind = check.kind;
        dense.outcome_count = static_cast<std::uint32_t>(check.outcomes.size());
        double abnormal = 0.0;
        for (std::uint32_t i = 0; i < check.outcomes.size(); ++i) {
            if (check.outcomes[i].normal)
                dense.normal = i;
            else
                abnormal += check.outcomes[i].background;
        }
        if (check.kind == CheckKind::several) {
            for (const Outcome& outcome : check.outcomes)
                dense.item_background.push_back(
                    -std::log(std::max(kLeastNormal, 1.0 - (outcome.normal ? 0.0 : outcome.background))));
            item_rows_.emplace(out_->checks_.size(), std::vector<std::vector<LookEffect>>(check.outcomes.size()));
        } else if (check.kind != CheckKind::gauge) {
            dense.background_normal = std::max(kLeastNormal, 1.0 - abnormal);
            dense.background_rate = -std::log(dense.background_normal);
            for (const Outcome& outcome : check.outcomes)
                dense.background.push_back(
                    outcome.normal || abnormal <= 0.0 ? 0.0 : dense.background_rate * outcome.background / abnormal);
        } else {
            dense.spread_squared = check.normal.spread * check.normal.spread;
            dense.width = check.range.max.value_or(1.0) - check.range.min.value_or(0.0);
            if (check.normal.settles_at) dense.width = *check.normal.settles_at - check.range.min.value_or(0.0);
        }
        out_->checks_.push_back(std::move(dense));
    }

    void compile_rules(FaultIndex fault_index) {
        const Fault& fault = library().faults[fault_index];
        for (std::size_t first = 0; first < fault.rules.size(); ++first) {
            const std::string& check_id = fault.rules[first].check;
            const auto same = [&](const Rule& rule) { return rule.check == check_id; };
            if (std::any_of(fault.rules.begin(), fault.rules.begin() + static_cast<std::ptrdiff_t>(first), same))
                continue;  // done with its group
            const auto check = out_->check_index(check_id);
            if (!check) continue;
            std::vector<const Rule*> group;
            for (const Rule& rule : fault.rules)
                if (same(rule)) group.push_back(&rule);
            const bool plain = group.size() == 1 && group.front()->where.empty();
            std::vector<std::int32_t> variants;
            for (const Rule* rule : group) {
                std::int32_t variant = -1;
                if (!plain) {
                    variant = static_cast<std::int32_t>(out_->variants_.size());
                    out_->variants_.push_back(rule->where);
                    variants.push_back(variant);
                }
                compile_rule(fault_index, *rule, *check, variant);
            }
            if (!plain) out_->variant_groups_.push_back(std::move(variants));
        }
    }

    void compile_rule(FaultIndex fault_index, const Rule& rule, CheckIndex check_index, std::int32_t variant) {
        const Fault& fault = library().faults[fault_index];
        const Check& check = library().checks[check_index];
        CompiledCheck& dense = out_->checks_[check_index];
        const std::size_t grades = std::max<std::size_t>(1, fault.grades.size());
        for (std::size_t grade = 0; grade < grades; ++grade) {
            const Effect* effect = effect_at(rule, fault, grade);
            if (effect == nullptr) continue;
            const auto alternative = static_cast<AlternativeIndex>(out_->first_alternative_[fault_index] + grade);
            if (check.kind == CheckKind::gauge) {
                dense.gauges.push_back({alternative, variant, rule.decides, rule.unless_reference, effect->shift,
                                        effect->spread * effect->spread});
            } else if (check.kind == CheckKind::several) {
                for (const auto& [outcome, probability] : effect->outcomes) {
                    const auto item = out_->outcome_index(check_index, outcome);
                    if (!item) continue;
                    LookEffect look{alternative, variant, rule.decides, 0, std::max(kLeastNormal, 1.0 - probability),
                                    0.0};
                    look.rate = -std::log(look.normal);
                    item_rows_[check_index][*item].push_back(look);
                }
            } else {
                dense.looks.push_back(look_effect(*effect, check, dense, alternative, variant, rule.decides));
            }
        }
    }

    static LookEffect look_effect(const Effect& effect, const Check& check, CompiledCheck& dense,
                                  AlternativeIndex alternative, std::int32_t variant, int decides) {
        LookEffect look{alternative, variant, decides, static_cast<std::uint32_t>(dense.shapes.size()), 1.0, 0.0};
        dense.shapes.resize(dense.shapes.size() + check.outcomes.size(), 0.0);
        double abnormal = 0.0;
        for (const auto& [outcome, probability] : effect.outcomes) {
            for (std::size_t i = 0; i < check.outcomes.size(); ++i) {
                if (check.outcomes[i].id != outcome || check.outcomes[i].normal) continue;
                dense.shapes[look.first + i] = probability;
                abnormal += probability;
            }
        }
        look.normal = std::clamp(1.0 - abnormal, kLeastNormal, 1.0);
        look.rate = -std::log(look.normal);
        for (std::size_t i = 0; i < check.outcomes.size(); ++i)
            if (abnormal > 0.0) dense.shapes[look.first + i] *= look.rate / abnormal;
        return look;
    }

    /// The items of a `several` check stand one after the other in `looks`.
    void close_items(std::size_t check_index) {
        const auto found = item_rows_.find(check_index);
        if (found == item_rows_.end()) return;
        CompiledCheck& dense = out_->checks_[check_index];
        for (const auto& rows : found->second) {
            dense.item_first.push_back(static_cast<std::uint32_t>(dense.looks.size()));
            dense.looks.insert(dense.looks.end(), rows.begin(), rows.end());
        }
        dense.item_first.push_back(static_cast<std::uint32_t>(dense.looks.size()));
    }

    std::shared_ptr<CompiledLibrary> out_;
    std::unordered_map<std::size_t, std::vector<std::vector<LookEffect>>> item_rows_;
};

std::shared_ptr<const CompiledLibrary> compile(std::shared_ptr<const Library> library) {
    return LibraryCompiler(std::move(library)).run();
}

std::optional<CheckIndex> CompiledLibrary::check_index(std::string_view id) const {
    const auto found = check_ids_.find(id);
    if (found == check_ids_.end()) return std::nullopt;
    return found->second;
}

std::optional<FaultIndex> CompiledLibrary::fault_index(std::string_view id) const {
    const auto found = fault_ids_.find(id);
    if (found == fault_ids_.end()) return std::nullopt;
    return found->second;
}

std::optional<OutcomeIndex> CompiledLibrary::outcome_index(CheckIndex check, std::string_view id) const {
    const auto& outcomes = library_->checks[check].outcomes;
    for (std::size_t i = 0; i < outcomes.size(); ++i)
        if (outcomes[i].id == id) return static_cast<OutcomeIndex>(i);
    return std::nullopt;
}

std::size_t CompiledLibrary::memory_bytes() const {
    const auto bytes = [](const auto& vector) {
        return vector.capacity() * sizeof(typename std::decay_t<decltype(vector)>::value_type);
    };
    std::size_t total = bytes(alternatives_) + bytes(first_alternative_) + bytes(checks_) + bytes(variants_);
    for (const CompiledCheck& check : checks_)
        total += bytes(check.background) + bytes(check.looks) + bytes(check.shapes) + bytes(check.item_first) +
                 bytes(check.item_background) + bytes(check.gauges);
    return total;
}

}  // namespace frostread
