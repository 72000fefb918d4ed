#include "support/random_library.hpp"

#include <string>

namespace frostread::test {

double uniform(std::mt19937_64& random) {
    return static_cast<double>(random() >> 11) * 0x1.0p-53;
}

namespace {

double between(std::mt19937_64& random, double low, double high) {
    return low + (high - low) * uniform(random);
}

std::size_t below(std::mt19937_64& random, std::size_t limit) {
    return static_cast<std::size_t>(uniform(random) * static_cast<double>(limit));
}

Check random_check(std::mt19937_64& random, std::size_t number, const RandomLibraryShape& shape) {
    Check check;
    check.id = "check-" + std::to_string(number);
    check.name = check.id;
    const double kind = uniform(random);
    if (shape.gauges && kind < 0.3) {
        check.kind = CheckKind::gauge;
        check.unit = "degC";
        check.range = {-50.0, 50.0};
        check.normal.spread = between(random, 0.5, 3.0);
        check.low_limit.number = -30.0;
        check.high_limit.number = 20.0;
        return check;
    }
    check.kind = shape.several && kind < 0.4 ? CheckKind::several : CheckKind::look;
    const std::size_t count = shape.outcomes == 2 ? 2 : 2 + below(random, shape.outcomes - 1);
    for (std::size_t i = 0; i < count; ++i) {
        Outcome outcome;
        outcome.id = "o" + std::to_string(i);
        outcome.name = outcome.id;
        outcome.normal = i == 0;
        if (i > 0) outcome.background = between(random, 0.01, 0.3 / static_cast<double>(count));
        check.outcomes.push_back(outcome);
    }
    return check;
}

Effect random_effect(std::mt19937_64& random, const Check& check) {
    Effect effect;
    if (check.kind == CheckKind::gauge) {
        effect.shift = between(random, -25.0, 25.0);
        effect.spread = between(random, 0.0, 4.0);
        return effect;
    }
    double left = 1.0;
    for (std::size_t i = 1; i < check.outcomes.size(); ++i) {
        const double probability = check.kind == CheckKind::several
                                       ? uniform(random)
                                       : between(random, 0.0, left) * (uniform(random) < 0.8 ? 1.0 : 0.0);
        effect.outcomes.emplace_back(check.outcomes[i].id, probability);
        left -= check.kind == CheckKind::several ? 0.0 : probability;
    }
    return effect;
}

}  // namespace

Library random_library(std::mt19937_64& random, const RandomLibraryShape& shape) {
    Library library;
    library.format = 1;
    library.name = "random";
    library.nothing_wrong = between(random, 20.0, 200.0);
    library.something_else = between(random, 1.0, 30.0);
    library.second_fault = between(random, 0.1, 1.0);
    for (std::size_t i = 0; i < shape.checks; ++i) library.checks.push_back(random_check(random, i, shape));
    for (std::size_t f = 0; f < shape.faults; ++f) {
        Fault fault;
        fault.id = "fault-" + std::to_string(f);
        fault.name = fault.id;
        fault.frequency = between(random, 5.0, 120.0);
        if (shape.grades && uniform(random) < 0.4) fault.grades = {{"slight", "slight", 0.6}, {"total", "total", 0.4}};
        for (const Check& check : library.checks) {
            if (uniform(random) >= shape.touch) continue;
            Rule rule;
            rule.check = check.id;
            if (shape.decides && uniform(random) < 0.15) rule.decides = 1 + static_cast<int>(below(random, 2));
            if (fault.grades.empty() || uniform(random) < 0.3) rule.all_grades = random_effect(random, check);
            for (const Grade& grade : fault.grades)
                if (uniform(random) < 0.7) rule.by_grade[grade.id] = random_effect(random, check);
            fault.rules.push_back(rule);
        }
        library.faults.push_back(fault);
    }
    return library;
}

Findings random_findings(std::mt19937_64& random, const Library& library, std::size_t count) {
    Findings findings;
    for (std::size_t i = 0; i < count; ++i) {
        Finding finding;
        finding.check =
            static_cast<CheckIndex>(count <= library.checks.size() ? i : below(random, library.checks.size()));
        const Check& check = library.checks[finding.check];
        finding.reading = i;
        finding.trust = uniform(random) < 0.1 ? between(random, 0.0, 0.9) : 0.98;
        if (check.kind == CheckKind::gauge) {
            finding.deviation = between(random, -40.0, 40.0);
            finding.low = -30.0;
            finding.high = 20.0;
        } else {
            finding.outcome = static_cast<OutcomeIndex>(below(random, check.outcomes.size()));
            if (check.kind == CheckKind::several) {
                finding.outcome = 1 + static_cast<OutcomeIndex>(below(random, check.outcomes.size() - 1));
                finding.absent = uniform(random) < 0.2;
            }
        }
        findings.items.push_back(finding);
    }
    return findings;
}

}  // namespace frostread::test
