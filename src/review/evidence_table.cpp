#include <algorithm>
#include <cmath>
#include <map>

#include "frostread/engine.hpp"
#include "frostread/review.hpp"

namespace frostread {

namespace {

constexpr std::size_t kGaugeCells = 80;

double decibans(double for_it, double against_it) {
    constexpr double kTiny = 1e-12;  // keeps a flat zero from becoming infinite
    return 10.0 * std::log10(std::max(for_it, kTiny) / std::max(against_it, kTiny));
}

FaultSet single(AlternativeIndex alternative) {
    FaultSet set;
    set.kind = HypothesisKind::faults;
    set.size = 1;
    set.members[0] = static_cast<std::uint16_t>(alternative);
    return set;
}

/// A finding as one usual reading of the check would give it; none when it cannot be evidence.
std::optional<Finding> sample_finding(const UnitModel& model, CheckIndex index) {
    const Library& library = model.compiled().library();
    const Check& check = library.checks[index];
    Case sample;
    sample.unit = model.unit();
    Reading reading;
    reading.check = check.id;
    if (check.kind == CheckKind::gauge) {
        reading.value = check.normal.mean + check.normal.assumed.value_or(0.0);
    } else {
        for (const Outcome& outcome : check.outcomes) {
            if (reading.outcomes.empty() && !outcome.no_evidence &&
                (check.kind != CheckKind::several || (!outcome.normal && outcome.means.empty()))) {
                reading.outcomes.push_back(outcome.id);
            }
        }
    }
    sample.readings.push_back(std::move(reading));
    Findings findings = gather(model, sample);
    if (findings.items.empty()) {
        return std::nullopt;
    }
    findings.items.front().trust = trust_in(library.reliability, check);
    return findings.items.front();
}

/// Probabilities of one answer under nothing wrong and under every alternative alone.
std::vector<double> row(const UnitModel& model, const Finding& finding, double factor) {
    const std::size_t alternatives = model.compiled().alternative_count();
    std::vector<double> out(alternatives + 1);
    out[0] = likelihood(model, finding, FaultSet{}) * factor;
    for (std::size_t a = 0; a < alternatives; ++a) {
        out[a + 1] = likelihood(model, finding, single(static_cast<AlternativeIndex>(a))) * factor;
    }
    return out;
}

/// Cuts a gauge into equal cells that hold what any fault does to it.
void add_gauge_answers(const UnitModel& model, const Finding& sample, Question& question) {
    const CompiledCheck& check = model.compiled().check(question.check);
    double low = 0.0;
    double high = 0.0;
    double spread = std::sqrt(check.spread_squared);
    for (const GaugeEffect& effect : check.gauges) {
        low = std::min(low, effect.shift);
        high = std::max(high, effect.shift);
        spread = std::max(spread, std::sqrt(check.spread_squared + effect.spread_squared));
    }
    low = std::max(low, sample.low) - 4.0 * spread;
    high = std::min(high, sample.high) + 4.0 * spread;
    const Check& written = model.compiled().library().checks[question.check];
    if (!written.normal.percent) {  // no answer that nobody can read
        const double normal = written.normal.mean + written.normal.assumed.value_or(0.0);
        if (written.range.min) low = std::max(low, *written.range.min - normal);
        if (written.range.max) high = std::min(high, *written.range.max - normal);
        if (written.normal.settles_at) high = std::min(high, *written.normal.settles_at - normal);
    }
    const double width = (high - low) / static_cast<double>(kGaugeCells);
    for (std::size_t cell = 0; cell < kGaugeCells; ++cell) {
        Finding finding = sample;
        finding.deviation = low + (static_cast<double>(cell) + 0.5) * width;
        question.answers.push_back({0, false, finding.deviation});
        question.probability.push_back(row(model, finding, width));
    }
}

void add_look_answers(const UnitModel& model, const Finding& sample, Question& question) {
    const Check& check = model.compiled().library().checks[question.check];
    for (OutcomeIndex outcome = 0; outcome < check.outcomes.size(); ++outcome) {
        Finding finding = sample;
        finding.outcome = outcome;
        if (check.outcomes[outcome].no_evidence) finding.trust = 0.0;
        question.answers.push_back({outcome, false, std::nullopt});
        question.probability.push_back(row(model, finding, 1.0));
    }
}

void add_item_answers(const UnitModel& model, const Finding& sample, OutcomeIndex item, Question& question) {
    for (const bool absent : {false, true}) {
        Finding finding = sample;
        finding.outcome = item;
        finding.absent = absent;
        question.answers.push_back({item, absent, std::nullopt});
        question.probability.push_back(row(model, finding, 1.0));
    }
}

/// Tails cut off a gauge and flat parts of a look leave a little over; shares are what is compared.
void normalise(Question& question) {
    if (question.probability.empty()) {
        return;
    }
    for (std::size_t column = 0; column < question.probability.front().size(); ++column) {
        double sum = 0.0;
        for (const std::vector<double>& answer : question.probability) {
            sum += answer[column];
        }
        for (std::vector<double>& answer : question.probability) {
            answer[column] = sum > 0.0 ? answer[column] / sum : 0.0;
        }
    }
}

/// P(answer | fault), its grades by their share.
double of_fault(const CompiledLibrary& library, const std::vector<double>& answer, FaultIndex fault) {
    double sum = 0.0;
    double shares = 0.0;
    for (AlternativeIndex a = library.first_alternative(fault);
         a < library.alternative_count() && library.alternative(a).fault == fault; ++a) {
        sum += library.alternative(a).share * answer[a + 1];
        shares += library.alternative(a).share;
    }
    return shares > 0.0 ? sum / shares : 0.0;
}

/// Whether a better check that this unit has makes the check count no more.
bool superseded(const UnitModel& model, const Check& check) {
    for (const std::string& id : check.superseded_by) {
        const auto other = model.compiled().check_index(id);
        if (other && model.exists(*other)) {
            return true;
        }
    }
    return false;
}

/// Expected weight for `a` over `b` and for `b` over `a`; the smaller one counts.
double expected_weight(const CompiledLibrary& library, const Question& question, FaultIndex a, FaultIndex b) {
    double for_a = 0.0;
    double for_b = 0.0;
    for (const std::vector<double>& answer : question.probability) {
        const double p = of_fault(library, answer, a);
        const double q = of_fault(library, answer, b);
        for_a += p * decibans(p, q);
        for_b += q * decibans(q, p);
    }
    return std::min(for_a, for_b);
}

/// The answer that speaks most for an alternative against everything else that may be wrong.
std::size_t most_telling(const UnitModel& model, const Question& question, AlternativeIndex alternative) {
    std::size_t best = 0;
    double most = 0.0;
    for (std::size_t a = 0; a < question.answers.size(); ++a) {
        const std::vector<double>& probability = question.probability[a];
        double others = model.nothing_wrong() * probability[0];
        for (std::size_t other = 0; other < model.prior().size(); ++other) {
            others += model.prior()[other] * probability[other + 1];
        }
        const double telling = probability[alternative + 1] / std::max(others, 1e-12);
        if (telling > most) {
            most = telling;
            best = a;
        }
    }
    return best;
}

/// A unit that the condition holds on: the first word or the nearest number it allows.
UnitTraits unit_where(const TraitCondition& condition, const Library& library) {
    UnitTraits unit;
    for (const TraitTest& test : condition.all) {
        if (!test.any_of.empty()) {
            unit.words[test.trait] = test.any_of.front();
        } else if (!test.none_of.empty()) {
            if (const Trait* trait = find_trait(library, test.trait)) {
                for (const TraitValue& value : trait->values) {
                    if (std::find(test.none_of.begin(), test.none_of.end(), value.id) == test.none_of.end()) {
                        unit.words[test.trait] = value.id;
                        break;
                    }
                }
            }
        } else if (test.range) {
            unit.numbers[test.trait] = test.range->min.value_or(test.range->max.value_or(0.0));
        }
    }
    return unit;
}

}  // namespace

std::vector<Question> evidence_table(const UnitModel& model) {
    const Library& library = model.compiled().library();
    std::vector<Question> table;
    for (CheckIndex index = 0; index < library.checks.size(); ++index) {
        const Check& check = library.checks[index];
        const std::optional<Finding> sample = model.exists(index) ? sample_finding(model, index) : std::nullopt;
        if (!sample) {
            continue;
        }
        const OutcomeIndex items =
            check.kind == CheckKind::several ? static_cast<OutcomeIndex>(check.outcomes.size()) : 1;
        for (OutcomeIndex item = 0; item < items; ++item) {
            Question question;
            question.check = index;
            if (check.kind == CheckKind::gauge) {
                add_gauge_answers(model, *sample, question);
            } else if (check.kind != CheckKind::several) {
                add_look_answers(model, *sample, question);
            } else if (!check.outcomes[item].normal && check.outcomes[item].means.empty()) {
                add_item_answers(model, *sample, item, question);
            } else {
                continue;
            }
            normalise(question);
            table.push_back(std::move(question));
        }
    }
    return table;
}

std::vector<Sign> signs_of_fault(const UnitModel& model, const std::vector<Question>& table, FaultIndex fault,
                                 double least) {
    const CompiledLibrary& library = model.compiled();
    std::vector<Sign> signs;
    for (std::size_t q = 0; q < table.size(); ++q) {
        const Question& question = table[q];
        const bool gauge = library.library().checks[question.check].kind == CheckKind::gauge;
        std::optional<Sign> likeliest;
        for (std::size_t a = 0; a < question.answers.size(); ++a) {
            const double probability = of_fault(library, question.probability[a], fault);
            const Sign sign{q, a, probability, decibans(probability, question.probability[a][0])};
            if (!gauge && std::abs(sign.decibans) >= least) {
                signs.push_back(sign);
            }
            if (gauge && (!likeliest || probability > likeliest->probability)) {
                likeliest = sign;
            }
        }
        if (likeliest && std::abs(likeliest->decibans) >= least) {
            signs.push_back(*likeliest);
        }
    }
    std::stable_sort(signs.begin(), signs.end(),
                     [](const Sign& a, const Sign& b) { return std::abs(a.decibans) > std::abs(b.decibans); });
    return signs;
}

std::vector<PairSeparation> separations(const UnitModel& model, const std::vector<Question>& table) {
    const CompiledLibrary& library = model.compiled();
    const Library& words = library.library();
    std::vector<PairSeparation> pairs;
    for (FaultIndex a = 0; a < library.fault_count(); ++a) {
        for (FaultIndex b = a + 1; b < library.fault_count(); ++b) {
            PairSeparation pair;
            pair.first = a;
            pair.second = b;
            pair.same_remedy = words.faults[a].remedy.id == words.faults[b].remedy.id;
            std::map<CheckIndex, double> by_check;
            for (const Question& question : table) {
                const Check& check = words.checks[question.check];
                if (superseded(model, check)) {
                    continue;
                }
                const double weight = expected_weight(library, question, a, b);
                by_check[question.check] += weight;
                pair.all_db += weight;
                pair.anyone_db += check.who == Who::anyone ? weight : 0.0;
            }
            for (const auto& [check, weight] : by_check) {
                if (weight > pair.best_db) {
                    pair.best_db = weight;
                    pair.best_check = check;
                }
            }
            pairs.push_back(pair);
        }
    }
    std::stable_sort(pairs.begin(), pairs.end(),
                     [](const PairSeparation& a, const PairSeparation& b) { return a.all_db < b.all_db; });
    return pairs;
}

double confirmed_probability(const std::shared_ptr<const CompiledLibrary>& library, FaultIndex fault) {
    const Library& words = library->library();
    const Fault& entry = words.faults[fault];
    const UnitModel model = fit_to_unit(library, unit_where(entry.where, words));
    const std::vector<Question> table = evidence_table(model);
    double reached = 0.0;
    for (AlternativeIndex a = library->first_alternative(fault);
         a < library->alternative_count() && library->alternative(a).fault == fault; ++a) {
        Findings findings;
        for (const Question& question : table) {
            const Check& check = words.checks[question.check];
            if (std::find(entry.confirm.begin(), entry.confirm.end(), check.id) == entry.confirm.end()) {
                continue;
            }
            std::optional<Finding> finding = sample_finding(model, question.check);
            if (!finding) {
                continue;
            }
            const Answer& best = question.answers[most_telling(model, question, a)];
            finding->outcome = best.outcome;
            finding->absent = best.absent;
            finding->deviation = best.deviation.value_or(0.0);
            finding->reading = findings.items.size();
            findings.items.push_back(*finding);
        }
        reached = std::max(reached, infer(model, findings).fault[fault]);
    }
    return reached;
}

}  // namespace frostread
