#include "support/brute_force.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <vector>

namespace frostread::test {

namespace {

struct Member {
    const Fault* fault;
    const Grade* grade;  // null without grades
};

const Effect* effect_of(const Member& member, const Check& check, int* decides) {
    for (const Rule& rule : member.fault->rules) {
        if (rule.check != check.id) continue;
        *decides = rule.decides;
        if (member.grade != nullptr)
            if (const auto found = rule.by_grade.find(member.grade->id); found != rule.by_grade.end())
                return &found->second;
        return rule.all_grades ? &*rule.all_grades : nullptr;
    }
    return nullptr;
}

double probability_in(const Effect& effect, const std::string& outcome) {
    for (const auto& [id, probability] : effect.outcomes)
        if (id == outcome) return probability;
    return 0.0;
}

/// The effects that have a say: those of the highest rank.
std::vector<const Effect*> speaking(const std::vector<Member>& set, const Check& check, int* rank) {
    std::vector<std::pair<int, const Effect*>> all;
    *rank = 0;
    for (const Member& member : set) {
        int decides = 0;
        if (const Effect* effect = effect_of(member, check, &decides)) {
            all.emplace_back(decides, effect);
            *rank = std::max(*rank, decides);
        }
    }
    std::vector<const Effect*> out;
    for (const auto& [decides, effect] : all)
        if (decides == *rank) out.push_back(effect);
    return out;
}

double look(const std::vector<Member>& set, const Check& check, const Outcome& seen) {
    int rank = 0;
    const auto effects = speaking(set, check, &rank);
    double background = 0.0;
    for (const Outcome& outcome : check.outcomes)
        if (!outcome.normal) background += outcome.background;
    double rate = rank == 0 ? -std::log(1.0 - background) : 0.0;
    double towards = rank == 0 && background > 0.0 && !seen.normal ? rate * seen.background / background : 0.0;
    for (const Effect* effect : effects) {
        double abnormal = 0.0;
        for (const Outcome& outcome : check.outcomes)
            if (!outcome.normal) abnormal += probability_in(*effect, outcome.id);
        const double lambda = -std::log(std::max(1e-3, 1.0 - abnormal));
        rate += lambda;
        if (!seen.normal && abnormal > 0.0) towards += lambda * probability_in(*effect, seen.id) / abnormal;
    }
    if (seen.normal) return std::exp(-rate);
    return rate > 0.0 ? (1.0 - std::exp(-rate)) * towards / rate : 0.0;
}

double item(const std::vector<Member>& set, const Check& check, const Outcome& said, bool absent) {
    // Only faults that touch this very item have a say about it.
    double stays_away = 1.0;
    int rank = 0;
    std::vector<std::pair<int, double>> all;
    for (const Member& member : set) {
        int decides = 0;
        const Effect* effect = effect_of(member, check, &decides);
        if (effect == nullptr) continue;
        for (const auto& [id, probability] : effect->outcomes)
            if (id == said.id) {
                all.emplace_back(decides, probability);
                rank = std::max(rank, decides);
            }
    }
    if (rank == 0) stays_away *= 1.0 - (said.normal ? 0.0 : said.background);
    for (const auto& [decides, probability] : all)
        if (decides == rank) stays_away *= std::max(1e-3, 1.0 - probability);
    return absent ? stays_away : 1.0 - stays_away;
}

double gauge(const std::vector<Member>& set, const Check& check, const Finding& finding) {
    int rank = 0;
    double shift = 0.0, variance = check.normal.spread * check.normal.spread;
    for (const Effect* effect : speaking(set, check, &rank)) {
        shift += effect->shift;
        variance += effect->spread * effect->spread;
    }
    const double mean = std::clamp(shift, finding.low, finding.high);
    const double z = (finding.deviation - mean) / std::sqrt(variance);
    const double pi = std::acos(-1.0);
    const double constant = std::tgamma(2.5) / (std::sqrt(4.0 * pi) * std::tgamma(2.0));  // Student t, 4 degrees
    return constant * std::pow(1.0 + z * z / 4.0, -2.5) / std::sqrt(variance);
}

double flat(const Check& check, const Finding& finding) {
    if (check.kind == CheckKind::several) return 0.5;
    if (check.kind != CheckKind::gauge) return 1.0 / static_cast<double>(check.outcomes.size());
    return 1.0 / (finding.width > 0.0 ? finding.width : *check.range.max - *check.range.min);
}

double mixed(const Library& library, const std::vector<Member>& set, const Finding& finding) {
    const Check& check = library.checks[finding.check];
    double pure = 0.0;
    if (check.kind == CheckKind::gauge)
        pure = gauge(set, check, finding);
    else if (check.kind == CheckKind::several)
        pure = item(set, check, check.outcomes[finding.outcome], finding.absent);
    else
        pure = look(set, check, check.outcomes[finding.outcome]);
    return finding.trust * pure + (1.0 - finding.trust) * flat(check, finding);
}

}  // namespace

BruteForce brute_force(const Library& library, const Findings& findings, int max_faults) {
    BruteForce out;
    std::map<std::string, double> weights;
    std::map<std::string, std::vector<std::string>> members;
    double prior_sum = 0.0, sum = 0.0;
    const auto record = [&](const std::string& name, double prior, const std::vector<Member>* set) {
        double weight = prior;
        for (const Finding& finding : findings.items)
            weight *= set != nullptr ? mixed(library, *set, finding) : flat(library.checks[finding.check], finding);
        weights[name] = weight;
        prior_sum += prior;
        sum += weight;
        if (set != nullptr)
            for (const Member& member : *set) members[name].push_back(member.fault->id);
    };
    std::vector<Member> set;
    record("", library.nothing_wrong / 1000.0, &set);
    record("?", library.something_else / 1000.0, nullptr);
    const std::function<void(std::size_t, std::string, double)> extend = [&](std::size_t first, const std::string& name,
                                                                             double prior) {
        if (static_cast<int>(set.size()) == max_faults) return;
        for (std::size_t f = first; f < library.faults.size(); ++f) {
            const Fault& fault = library.faults[f];
            for (std::size_t g = 0; g < std::max<std::size_t>(1, fault.grades.size()); ++g) {
                const Grade* grade = fault.grades.empty() ? nullptr : &fault.grades[g];
                const double one = fault.frequency / 1000.0 * (grade != nullptr ? grade->share : 1.0);
                const double extended = prior * one * (set.empty() ? 1.0 : library.second_fault);
                std::string full = name + (name.empty() ? "" : "+") + fault.id;
                if (grade != nullptr) full += ":" + grade->id;
                set.push_back({&fault, grade});
                record(full, extended, &set);
                extend(f + 1, full, extended);
                set.pop_back();
            }
        }
    };
    extend(0, "", 1.0);
    for (const auto& [name, weight] : weights) {
        out.sets[name] = weight / sum;
        for (const std::string& fault : members[name]) out.faults[fault] += weight / sum;
    }
    out.log_evidence = std::log(sum / prior_sum);
    return out;
}

std::string name_of(const CompiledLibrary& compiled, const FaultSet& set) {
    if (set.kind == HypothesisKind::something_else) return "?";
    std::string name;
    for (std::size_t i = 0; i < set.size; ++i) {
        const Alternative& alternative = compiled.alternative(set.members[i]);
        const Fault& fault = compiled.library().faults[alternative.fault];
        name += (name.empty() ? "" : "+") + fault.id;
        if (!fault.grades.empty()) name += ":" + fault.grades[alternative.grade].id;
    }
    return name;
}

}  // namespace frostread::test
