#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "base/text.hpp"
#include "files/library_draft.hpp"

namespace frostread {

namespace {

using json::Fields;
using json::Problems;
using json::Value;

constexpr json::NumberDemand kAtLeastZero{0.0, std::nullopt, false};
constexpr json::NumberDemand kPerThousand{0.0, 1000.0, true};  ///< the cause of every single call at the most
constexpr double kShareSlack = 0.005;
constexpr double kSumSlack = 1e-9;

/// The probabilities of a look or banded rule: each in range, together at most 1, and 1 when the
/// normal outcome is among them.
void demand_sound_sum(const Check& check, const Effect& effect, const Value& outcomes, Problems& problems) {
    double sum = 0.0;
    bool has_normal = false;
    for (const auto& [id, p] : effect.outcomes) {
        sum += p;
        const Outcome* outcome = find_outcome(check, id);
        has_normal = has_normal || (outcome != nullptr && outcome->normal);
    }
    if (sum > 1.0 + kSumSlack) {
        problems.error(outcomes, "wrong-sum", fmt::format("the probabilities of {} sum to {:.6g}", check.id, sum),
                       "at most 1");
    } else if (has_normal && std::abs(sum - 1.0) > kShareSlack) {
        problems.error(outcomes, "wrong-sum",
                       fmt::format("with the normal outcome the probabilities of {} sum to {:.6g}", check.id, sum),
                       "1, or leave the normal outcome out");
    }
}

void read_outcomes(LibraryDraft& draft, const Check* check, const Value& outcomes, Effect& effect, Problems& problems) {
    for (const Value member : outcomes) {
        const auto p = draft.probability(member, problems);
        const std::string id(member.key());
        if (check != nullptr) {
            const Outcome* outcome = find_outcome(*check, id);
            if (outcome == nullptr) {
                std::vector<std::string> known;
                for (const Outcome& o : check->outcomes) known.push_back(o.id);
                problems.error_at_key(
                    member, "unknown-outcome", fmt::format("{} has no outcome {}", check->id, text::quoted(id)),
                    text::join_or(known), std::string(text::nearest(id, std::span<const std::string>(known))));
                continue;
            }
            if (outcome->normal && check->kind == CheckKind::several) {
                problems.error_at_key(member, "wrong-rule",
                                      fmt::format("a rule says how often {} is {}", check->id, id),
                                      "outcomes that say something; what is not said is normal");
                continue;
            }
        }
        if (p) effect.outcomes.emplace_back(id, *p);
    }
    if (outcomes.size() == 0) {
        problems.error(outcomes, "empty-list", "a rule without any outcome", "at least one outcome");
    }
    if (check != nullptr && check->kind != CheckKind::several) demand_sound_sum(*check, effect, outcomes, problems);
}

/// Reads the members of an effect out of a rule or of one of its grades. `needed`: something must
/// be there.
std::optional<Effect> read_effect(LibraryDraft& draft, const Check* check, Fields& fields, bool needed) {
    const auto outcomes = fields.object("outcomes");
    const auto shift = fields.maybe_number("shift");
    const auto spread = fields.maybe_number("spread", kAtLeastZero);
    const Value& here = fields.value();
    const bool has_outcomes = here.find("outcomes").has_value();
    const bool has_shift = here.find("shift") || here.find("spread");
    Problems& problems = fields.problems();
    if (!has_outcomes && !has_shift) {
        if (needed && fields.valid()) {
            const bool gauge = check != nullptr && check->kind == CheckKind::gauge;
            problems.error(here, "missing-key", "this rule says nothing",
                           gauge ? "\"shift\" and \"spread\"" : "\"outcomes\": { … }");
        }
        return std::nullopt;
    }
    Effect effect;
    if (check != nullptr && check->kind == CheckKind::gauge && has_outcomes) {
        problems.error(*here.find("outcomes"), "wrong-rule",
                       fmt::format("{} is a gauge and has no outcomes", check->id), "\"shift\" and \"spread\"");
        return effect;
    }
    if (check != nullptr && check->kind != CheckKind::gauge && has_shift) {
        problems.error(here.find("shift") ? *here.find("shift") : *here.find("spread"), "wrong-rule",
                       fmt::format("{} is a {} check and cannot shift", check->id, to_word(check->kind)),
                       "\"outcomes\": { … }");
        return effect;
    }
    if (has_outcomes && outcomes) read_outcomes(draft, check, *outcomes, effect, problems);
    effect.shift = shift.value_or(0.0);
    effect.spread = spread.value_or(0.0);
    if (has_shift && !here.find("shift")) {
        problems.error(here, "missing-key", "a rule with a spread has no \"shift\"", "\"shift\": a number");
    }
    return effect;
}

/// A condition as one text, to tell whether two rules hold on the same units.
std::string key_of(const TraitCondition& condition) {
    if (condition.all.empty()) return "";
    std::set<std::string> tests;
    for (const TraitTest& test : condition.all) {
        std::string key = test.trait;
        for (const std::string& word : std::set<std::string>(test.any_of.begin(), test.any_of.end())) key += "|" + word;
        for (const std::string& word : std::set<std::string>(test.none_of.begin(), test.none_of.end())) {
            key += "|!" + word;
        }
        if (test.range) {
            key += fmt::format("|{}..{}", test.range->min.value_or(-1e300), test.range->max.value_or(1e300));
        }
        tests.insert(std::move(key));
    }
    std::string all;
    for (const std::string& test : tests) all += test + ";";
    return all;
}

void read_rule(LibraryDraft& draft, Fault& fault, const Value& value, std::set<std::string>& seen, Problems& problems) {
    Fields fields(value, problems, "rule");
    Rule rule;
    rule.check = draft.reference(fields, "check", Thing::check);
    const Check* check = draft.check(rule.check);
    rule.where = draft.trait_condition(fields, "where");
    if (const auto decides = fields.maybe_number("decides", {1.0, 1000.0, false})) {
        rule.decides = static_cast<int>(*decides);
        if (std::floor(*decides) != *decides) {
            problems.error(*value.find("decides"), "out-of-range", "\"decides\" is no whole number",
                           "a rank such as 10");
        }
    }
    rule.unless_reference = fields.flag("unless_reference");
    if (rule.unless_reference && check != nullptr && check->normal.relative_to.empty()) {
        problems.error(*value.find("unless_reference"), "wrong-rule",
                       fmt::format("{} is not relative to anything", check->id),
                       "\"unless_reference\" on a gauge with \"relative_to\"");
    }
    rule.because = fields.optional_text("because");
    const auto by_grade = fields.object("by_grade");
    rule.all_grades = read_effect(draft, check, fields, !value.find("by_grade"));
    if (by_grade) {
        for (const Value member : *by_grade) {
            const std::string grade(member.key());
            const auto is_it = [&](const Grade& g) { return g.id == grade; };
            if (std::none_of(fault.grades.begin(), fault.grades.end(), is_it)) {
                std::vector<std::string> known;
                for (const Grade& g : fault.grades) known.push_back(g.id);
                problems.error_at_key(
                    member, "unknown-grade", fmt::format("{} has no grade {}", fault.id, text::quoted(grade)),
                    known.empty() ? "no grades: put the effect into the rule itself" : text::join_or(known),
                    std::string(text::nearest(grade, std::span<const std::string>(known))));
                continue;
            }
            Fields effect_fields(member, problems, "effect");
            if (auto effect = read_effect(draft, check, effect_fields, true))
                rule.by_grade.emplace(grade, std::move(*effect));
            effect_fields.finish();
        }
    }
    fields.finish();
    if (!rule.check.empty() && !seen.insert(rule.check + " " + key_of(rule.where)).second) {
        problems.error(value, "duplicate-rule",
                       fmt::format("{} has a rule on {} for the same units already", fault.id, rule.check),
                       "one rule, or a different \"where\"");
    }
    fault.rules.push_back(std::move(rule));
}

void read_grades(LibraryDraft& draft, Fault& fault, const Value& list, Problems& problems) {
    double sum = 0.0;
    for (const Value element : list) {
        Fields fields(element, problems, "grade");
        Grade grade{fields.id(), fields.text("name"), fields.number("share", {0.0, 1.0, true}),
                    draft.trait_condition(fields, "where")};
        fields.finish();
        sum += grade.share;
        for (const Grade& before : fault.grades) {
            if (before.id != grade.id) continue;
            problems.error(element, "duplicate-id",
                           fmt::format("{} has the grade {} already", fault.id, text::quoted(grade.id)),
                           "a name of its own");
        }
        fault.grades.push_back(std::move(grade));
    }
    if (list.size() > 0 && std::abs(sum - 1.0) > kShareSlack) {
        problems.error(list, "wrong-sum", fmt::format("the shares of the grades of {} sum to {:.4g}", fault.id, sum),
                       "a sum of 1");
    }
}

void read_proof(LibraryDraft& draft, Remedy& remedy, const Value& value, Problems& problems) {
    Fields fields(value, problems, "proof");
    Proof proof;
    proof.check = draft.reference(fields, "check", Thing::check);
    proof.expect = fields.text("expect");
    proof.when = fields.optional_text("when");
    fields.finish();
    const Check* check = draft.check(proof.check);
    if (check != nullptr && check->kind != CheckKind::gauge && !proof.expect.empty() &&
        find_outcome(*check, proof.expect) == nullptr) {
        std::vector<std::string> known;
        for (const Outcome& o : check->outcomes) known.push_back(o.id);
        problems.error(*value.find("expect"), "unknown-outcome",
                       fmt::format("{} has no outcome {}", check->id, text::quoted(proof.expect)), text::join_or(known),
                       std::string(text::nearest(proof.expect, std::span<const std::string>(known))));
    }
    remedy.proof.push_back(std::move(proof));
}

void read_parts(Remedy& remedy, const Value& parts, Problems& problems) {
    std::vector<double> ends;
    for (const Value element : parts) {
        if (element.is(json::Kind::number)) ends.push_back(element.number());
    }
    const bool sound = parts.is(json::Kind::array) && parts.size() == 2 && ends.size() == 2 && ends[0] >= 0.0 &&
                       ends[0] <= ends[1] && std::isfinite(ends[1]);
    if (!sound) {
        problems.error(parts, "bad-range", fmt::format("\"parts\" is {}", parts.raw().substr(0, 40)),
                       "the least and the most that the parts cost, such as [60, 160]");
        return;
    }
    remedy.parts_low = ends[0];
    remedy.parts_high = ends[1];
}

void read_remedy(LibraryDraft& draft, std::size_t fault_position, Fault& fault, const Value& value,
                 Problems& problems) {
    Fields fields(value, problems, "remedy");
    if (value.find("same_as")) {
        const std::string other = draft.reference(fields, "same_as", Thing::fault);
        fields.finish();
        draft.share_remedy(fault_position, other, {value, &problems});
        return;
    }
    Remedy& remedy = fault.remedy;
    remedy.id = fields.id();
    remedy.name = fields.text("name");
    remedy.steps = fields.texts("steps");
    if (remedy.steps.empty() && fields.valid()) {
        problems.error(value, "missing-key", fmt::format("the remedy of {} has no steps", fault.id),
                       "\"steps\": [ … ]");
    }
    remedy.minutes = fields.number("minutes", kAtLeastZero);
    if (const auto parts = fields.take("parts")) read_parts(remedy, *parts, problems);
    remedy.who = fields.word<Who>("who", kWhoWords, Who::anyone);
    remedy.areas = draft.references(fields, "areas", Thing::area);
    remedy.cautions = draft.references(fields, "cautions", Thing::caution);
    if (const auto proofs = fields.array("proof")) {
        for (const Value proof : *proofs) read_proof(draft, remedy, proof, problems);
    }
    fields.finish();
    draft.define(Thing::remedy, remedy.id, {value, &problems});
}

void read_multipliers(LibraryDraft& draft, Fault& fault, const Value& list, Problems& problems) {
    for (const Value element : list) {
        Fields fields(element, problems, "multiplier");
        Multiplier multiplier;
        fields.need("where", "{ … }");
        multiplier.where = draft.trait_condition(fields, "where");
        multiplier.factor = fields.number("factor", kAtLeastZero);
        fields.finish();
        fault.multipliers.push_back(std::move(multiplier));
    }
}

void read_look_alikes(LibraryDraft& draft, Fault& fault, const Value& list, Problems& problems) {
    for (const Value element : list) {
        Fields fields(element, problems, "look-alike");
        LookAlike look_alike{draft.reference(fields, "fault", Thing::fault), fields.text("tell")};
        fields.finish();
        if (look_alike.fault == fault.id && !fault.id.empty()) {
            problems.error(element, "names-itself", fmt::format("{} is its own look-alike", fault.id), "another fault");
        }
        fault.look_alikes.push_back(std::move(look_alike));
    }
}

void read_fault(LibraryDraft& draft, const Site& site, const std::string& file_system) {
    Problems& problems = *site.problems;
    Fields fields(site.value, problems, "fault");
    Fault fault;
    fault.id = fields.id();
    fault.name = fields.text("name");
    fault.system = draft.optional_reference(fields, "system", Thing::system);
    if (fault.system.empty()) fault.system = file_system;
    if (fault.system.empty()) fields.need("system", "the id of a system");
    fault.what = fields.text("what");
    fault.recognise = fields.optional_text("recognise");
    fault.frequency = fields.number("frequency", kPerThousand);
    if (const auto list = fields.array("multipliers")) read_multipliers(draft, fault, *list, problems);
    fault.where = draft.trait_condition(fields, "where");
    if (const auto list = fields.array("grades")) read_grades(draft, fault, *list, problems);
    if (const auto list = fields.need_array("rules")) {
        std::set<std::string> seen;
        fault.rules.reserve(list->size());
        for (const Value rule : *list) read_rule(draft, fault, rule, seen, problems);
        if (list->size() == 0) {
            problems.error(*list, "empty-list", fmt::format("{} has no rules: no check can see it", fault.id),
                           "at least one rule");
        }
    }
    if (const auto list = fields.array("look_alikes")) read_look_alikes(draft, fault, *list, problems);
    fault.confirm = draft.references(fields, "confirm", Thing::check);
    if (const auto remedy = fields.need("remedy", "{ … }")) {
        read_remedy(draft, draft.library.faults.size(), fault, *remedy, problems);
    }
    fault.cautions = draft.references(fields, "cautions", Thing::caution);
    fault.aliases = fields.texts("aliases");
    for (std::string& former : fields.texts("was")) fault.aliases.push_back(std::move(former));
    fault.source = fields.text("source");
    fields.finish();
    draft.define(Thing::fault, fault.id, site);
    draft.library.faults.push_back(std::move(fault));
}

}  // namespace

void read_faults_file(LibraryDraft& draft, const Value& root, Problems& problems) {
    Fields fields(root, problems, "file of faults");
    fields.take("$schema");
    const std::string system = draft.reference(fields, "system", Thing::system);
    if (const auto list = fields.need_array("faults")) {
        draft.each_entry(Thing::fault, *list, problems, [&](const Site& site) { read_fault(draft, site, system); });
    }
    fields.finish();
}

void read_new_faults(LibraryDraft& draft) {
    draft.each_new_entry(Thing::fault, [&](const Site& site) { read_fault(draft, site, ""); });
}

}  // namespace frostread
