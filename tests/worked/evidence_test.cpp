// Published worked examples that the model class covers, solved by the engine itself. The source stands
// beside each; inputs that a source gives in words are marked.
#include <cmath>
#include <memory>
#include <string>
#include <vector>

#include "frostread/why.hpp"
#include "support/catch.hpp"

using namespace frostread;

namespace {

/// A library of yes/no checks, built up in words.
class TwoOutcome {
public:
    TwoOutcome(double nothing_wrong, double second_fault) {
        library_.nothing_wrong = nothing_wrong * 1000.0;
        library_.second_fault = second_fault;
    }
    TwoOutcome& check(const std::string& id, double background) {
        Check check;
        check.id = id;
        check.outcomes = {{}, {}};
        check.outcomes[0].id = "no";
        check.outcomes[0].normal = true;
        check.outcomes[1].id = "yes";
        check.outcomes[1].background = background;
        library_.checks.push_back(check);
        return *this;
    }
    TwoOutcome& fault(const std::string& id, double prior) {
        Fault fault;
        fault.id = id;
        fault.frequency = prior * 1000.0;
        library_.faults.push_back(fault);
        return *this;
    }
    /// The last fault makes `check` say yes with this probability, whatever the background says.
    TwoOutcome& says(const std::string& check, double probability, int decides = 0) {
        Rule rule;
        rule.check = check;
        rule.decides = decides;
        rule.all_grades = Effect{{{"yes", probability}}, 0.0, 0.0};
        library_.faults.back().rules.push_back(rule);
        return *this;
    }
    [[nodiscard]] UnitModel model() const {
        return fit_to_unit(compile(std::make_shared<const Library>(library_)), {});
    }

private:
    Library library_;
};

Finding seen(CheckIndex check, bool yes) {
    Finding finding;
    finding.check = check;
    finding.outcome = yes ? 1 : 0;
    finding.trust = 1.0;
    return finding;
}

FaultSet only(AlternativeIndex alternative) {
    return {HypothesisKind::faults, 1, {static_cast<std::uint16_t>(alternative), 0, 0}};
}

double weight_db(const UnitModel& model, const Finding& finding, const FaultSet& a, const FaultSet& b) {
    Findings findings;
    findings.items.push_back(finding);
    return explain_between(model, findings, a, b).weights.front().decibans;
}

}  // namespace

TEST_CASE("E. T. Jaynes, Probability Theory: The Logic of Science, 4.2: repeated tests in decibans") {
    // 11 machines, one bad: a widget is bad with 1/3 from the bad machine, 1/6 from a good one. The bad
    // machine is the fault (its rule decides, so that 1/3 is the whole probability), a good one is "nothing wrong".
    const UnitModel model = TwoOutcome(10.0 / 11.0, 0.0)
                                .check("widget", 1.0 / 6.0)
                                .fault("bad-machine", 1.0 / 11.0)
                                .says("widget", 1.0 / 3.0, 1)
                                .model();
    const auto evidence = [&](int bad, int good) {
        Findings findings;
        for (int i = 0; i < bad; ++i) findings.items.push_back(seen(0, true));
        for (int i = 0; i < good; ++i) findings.items.push_back(seen(0, false));
        return explain_between(model, findings, only(0), FaultSet{}).margin_db;
    };
    CHECK(evidence(0, 0) == Approx(-10.0).margin(1e-9));
    CHECK(weight_db(model, seen(0, true), only(0), FaultSet{}) == Approx(3.0103).margin(5e-5));
    CHECK(weight_db(model, seen(0, false), only(0), FaultSet{}) == Approx(-0.9691).margin(5e-5));
    CHECK(evidence(5, 0) == Approx(5.0515).margin(5e-5));
    CHECK(evidence(50, 0) == Approx(140.5150).margin(5e-5));
    Findings five;
    for (int i = 0; i < 5; ++i) five.items.push_back(seen(0, true));
    CHECK(infer(model, five).fault[0] == Approx(0.761905).margin(5e-7));
    CHECK(evidence(7, 4) == Approx(-10.0 + 7 * 3.0103 - 4 * 0.9691).margin(1e-3));
}

TEST_CASE("E. T. Jaynes, 4.4: a third hypothesis wakes up when readings surprise") {
    const double third = 1e-6;
    const UnitModel model = TwoOutcome(10.0 * (1.0 - third) / 11.0, 0.0)
                                .check("widget", 1.0 / 6.0)
                                .fault("bad-machine", (1.0 - third) / 11.0)
                                .says("widget", 1.0 / 3.0, 1)
                                .fault("broken-machine", third)
                                .says("widget", 0.99, 1)
                                .model();
    struct Row {
        int bad;
        double a, b, c;
    };
    for (const Row& row :
         {Row{0, -10.0, 10.0, -60.0}, Row{5, 5.0163, -5.0625, -27.1292}, Row{7, 9.9763, -11.1684, -16.8198},
          Row{11, -2.4293, -27.4982, 2.3960}, Row{20, -44.9652, -95.1714, 44.9652}}) {
        Findings findings;
        for (int i = 0; i < row.bad; ++i) findings.items.push_back(seen(0, true));
        InferOptions options;
        options.keep_above = 0.0;
        options.max_sets = 100000;
        const Posterior posterior = infer(model, findings, options);
        const auto odds_db = [](double p, double rest) { return 10.0 * std::log10(p / rest); };
        const double a = posterior.fault[0], c = posterior.fault[1], b = posterior.nothing_wrong;
        CHECK(odds_db(a, b + c) == Approx(row.a).margin(2e-4));
        CHECK(odds_db(b, a + c) == Approx(row.b).margin(2e-4));
        CHECK(odds_db(c, a + b) == Approx(row.c).margin(2e-4));
    }
}

TEST_CASE("Russell & Norvig, Artificial Intelligence: the noisy-OR table of fever") {
    // Inhibitions: cold 0.6, flu 0.2, malaria 0.1; no leak.
    const UnitModel model = TwoOutcome(1.0, 1.0)
                                .check("fever", 0.0)
                                .fault("cold", 0.1)
                                .says("fever", 0.4)
                                .fault("flu", 0.1)
                                .says("fever", 0.8)
                                .fault("malaria", 0.1)
                                .says("fever", 0.9)
                                .model();
    const auto fever = [&](std::vector<std::uint16_t> members) {
        FaultSet set;
        set.kind = members.empty() ? HypothesisKind::nothing_wrong : HypothesisKind::faults;
        for (const auto member : members) set.members[set.size++] = member;
        return pure_likelihood(model, seen(0, true), set);
    };
    CHECK(fever({}) == Approx(0.0).margin(1e-12));
    CHECK(fever({2}) == Approx(0.9));
    CHECK(fever({1}) == Approx(0.8));
    CHECK(fever({1, 2}) == Approx(0.98));
    CHECK(fever({0}) == Approx(0.4));
    CHECK(fever({0, 2}) == Approx(0.94));
    CHECK(fever({0, 1}) == Approx(0.88));
    CHECK(fever({0, 1, 2}) == Approx(0.988));
}

TEST_CASE("PLOS ONE 13(11) e0207686 (2018), table 5: prior odds times likelihood ratio") {
    struct Row {
        double prior, ratio, posterior, decibans;
    };
    for (const Row& row : {Row{0.0186, 3.45, 0.061373, 5.3782}, Row{0.00124, 27.98, 0.033572, 14.4685},
                           Row{0.002697, 449.74, 0.548783, 26.5296}}) {
        const double background = 0.9 / row.ratio;  // so that the ratio comes out as published
        const UnitModel model = TwoOutcome(1.0 - row.prior, 0.0)
                                    .check("case", background)
                                    .fault("it", row.prior)
                                    .says("case", 0.9, 1)
                                    .model();
        Findings findings;
        findings.items.push_back(seen(0, true));
        CHECK(infer(model, findings).fault[0] == Approx(row.posterior).margin(5e-7));
        CHECK(weight_db(model, seen(0, true), only(0), FaultSet{}) == Approx(row.decibans).margin(5e-5));
    }
}

TEST_CASE("base rates: screening, the cab problem, and a second independent test") {
    struct Row {
        const char* source;
        double prior, hit, false_alarm, posterior, tolerance;
    };
    for (const Row& row : {Row{"OpenMarkov tutorial (inputs)", 0.08, 0.75, 0.04, 0.619834710744, 1e-9},
                           Row{"Eddy 1982, mammography (from memory)", 0.01, 0.8, 0.096, 0.077640, 5e-7},
                           Row{"Tversky & Kahneman, cabs (from memory)", 0.15, 0.8, 0.2, 0.413793, 5e-7},
                           Row{"Kruschke (from memory)", 0.001, 0.99, 0.05, 0.01943463, 5e-9}}) {
        INFO(row.source);
        const UnitModel model = TwoOutcome(1.0 - row.prior, 0.0)
                                    .check("test", row.false_alarm)
                                    .fault("it", row.prior)
                                    .says("test", row.hit, 1)
                                    .model();
        Findings findings;
        findings.items.push_back(seen(0, true));
        CHECK(infer(model, findings).fault[0] == Approx(row.posterior).margin(row.tolerance));
    }
    // Kruschke (from memory): then an independent negative re-test.
    const UnitModel model = TwoOutcome(0.999, 0.0).check("test", 0.05).fault("it", 0.001).says("test", 0.99, 1).model();
    Findings findings;
    findings.items = {seen(0, true), seen(0, false)};
    CHECK(infer(model, findings).fault[0] == Approx(0.000208586).margin(5e-10));
}

TEST_CASE("Russell & Norvig, square probabilities (from memory): three faults, two findings, links of 1, no leak") {
    // Independent priors of 0.2: odds 1/4 against "nothing wrong". The engine keeps links off 1 (0.999),
    // which is what the tolerance allows for.
    const UnitModel model = TwoOutcome(1.0, 1.0)
                                .check("first", 0.0)
                                .check("second", 0.0)
                                .fault("a", 0.25)
                                .says("first", 1.0)
                                .fault("b", 0.25)
                                .says("first", 1.0)
                                .says("second", 1.0)
                                .fault("c", 0.25)
                                .says("second", 1.0)
                                .model();
    Findings findings;
    findings.items = {seen(0, true), seen(1, true)};
    InferOptions options;
    options.max_faults = 3;
    const Posterior posterior = infer(model, findings, options);
    CHECK(posterior.fault[0] == Approx(9.0 / 29.0).margin(2e-3));
    CHECK(posterior.fault[1] == Approx(25.0 / 29.0).margin(2e-3));
    CHECK(posterior.fault[2] == Approx(9.0 / 29.0).margin(2e-3));
}

TEST_CASE("quickscore's setting (Heckerman 1989) with constructed inputs: enumeration gives the exact posteriors") {
    // Inputs made up; exact values by enumeration of all eight sets, recomputed independently.
    const auto odds = [](double p) { return p / (1.0 - p); };
    const UnitModel model = TwoOutcome(1.0, 1.0)
                                .check("one", 0.01)
                                .check("two", 0.02)
                                .check("three", 0.03)
                                .fault("f1", odds(0.02))
                                .says("one", 0.9)
                                .says("three", 0.5)
                                .fault("f2", odds(0.05))
                                .says("one", 0.3)
                                .says("two", 0.8)
                                .fault("f3", odds(0.01))
                                .says("two", 0.6)
                                .says("three", 0.7)
                                .model();
    Findings findings;
    findings.items = {seen(0, true), seen(1, true), seen(2, false)};
    InferOptions options;
    options.max_faults = 3;
    const Posterior posterior = infer(model, findings, options);
    CHECK(posterior.fault[0] == Approx(0.0435890968877).margin(1e-12));
    CHECK(posterior.fault[1] == Approx(0.969748643661).margin(1e-11));
    CHECK(posterior.fault[2] == Approx(0.00590852578611).margin(1e-12));
    CHECK(std::exp(posterior.log_evidence) == Approx(0.0123901144055).margin(1e-12));
}

TEST_CASE("I. J. Good's account of repeats (from memory), in decibans") {
    // Repeat rate 1/17 if the texts are in depth, 1/26 if not.
    const UnitModel model =
        TwoOutcome(0.5, 0.0).check("repeat", 1.0 / 26.0).fault("in-depth", 0.5).says("repeat", 1.0 / 17.0, 1).model();
    CHECK(weight_db(model, seen(0, true), only(0), FaultSet{}) == Approx(1.845244).margin(5e-7));
    CHECK(weight_db(model, seen(0, false), only(0), FaultSet{}) == Approx(-0.092956).margin(5e-7));
}

TEST_CASE("one impossible reading is worth 8 dB under the Student t, not 140 (constructed inputs)") {
    // Fault: mean -25; none: mean -18; scale 2 for both; Student t with 4 degrees of freedom.
    Library library;
    library.nothing_wrong = 500.0;
    Check check;
    check.id = "freezer";
    check.kind = CheckKind::gauge;
    check.range = {-70.0, 30.0};
    check.normal = {-18.0, 2.0, "", std::nullopt, false, std::nullopt};
    library.checks.push_back(check);
    Fault fault;
    fault.id = "colder";
    fault.frequency = 500.0;
    Rule rule;
    rule.check = "freezer";
    rule.all_grades = Effect{{}, -7.0, 0.0};
    fault.rules.push_back(rule);
    library.faults.push_back(fault);
    const UnitModel model = fit_to_unit(compile(std::make_shared<const Library>(library)), {});
    const auto weight = [&](double reading) {
        Finding finding;
        finding.deviation = reading + 18.0;
        finding.low = -60.0;
        finding.high = 60.0;
        return weight_db(model, finding, only(0), FaultSet{});
    };
    CHECK(weight(-19.0) == Approx(-12.139).margin(5e-4));
    CHECK(weight(-24.0) == Approx(12.139).margin(5e-4));
    CHECK(weight(-40.0) == Approx(7.924).margin(5e-4));
}
