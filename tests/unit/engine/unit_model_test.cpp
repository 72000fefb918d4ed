#include <memory>
#include <random>

#include "frostread/engine.hpp"
#include "frostread/files.hpp"
#include "support/catch.hpp"

using namespace frostread;

namespace {

TraitCondition only(const std::string& trait, const std::string& value) {
    TraitCondition condition;
    condition.all.push_back({trait, {value}, {}, std::nullopt});
    return condition;
}

TraitCondition at_least(const std::string& trait, double minimum) {
    TraitCondition condition;
    condition.all.push_back({trait, {}, {}, NumberRange{minimum, std::nullopt}});
    return condition;
}

Library shop() {
    Library library;
    Trait cooling;
    cooling.id = "cooling";
    cooling.values = {{"one", "", 0.6, {}}, {"plate", "", 0.4, {}}};
    Trait age;
    age.id = "age";
    age.is_number = true;
    age.mix = {{2.0, 0.5}, {10.0, 0.5}};
    Trait charge;
    charge.id = "charge";
    charge.is_number = true;  // no mix
    library.traits = {cooling, age, charge};
    Fault fault;
    fault.id = "f";
    fault.frequency = 100.0;
    fault.where = only("cooling", "one");
    fault.multipliers = {{at_least("age", 8.0), 3.0}, {at_least("charge", 100.0), 5.0}};
    fault.grades = {{"slight", "slight", 0.75}, {"total", "total", 0.25}};
    library.faults.push_back(fault);
    return library;
}

double prior(const UnitTraits& unit) {
    const UnitModel model = fit_to_unit(compile(std::make_shared<const Library>(shop())), unit);
    CHECK(model.prior()[0] == Approx(3.0 * model.prior()[1]));
    return model.prior()[0] + model.prior()[1];
}

/// A library with one check more, and rules on it for plate units and for all.
struct TwoVariants {
    Library library;
    Rule plate, other;
};

TwoVariants two_variants() {
    TwoVariants made{shop(), {}, {}};
    Check check;
    check.id = "c";
    check.outcomes = {{}, {}};
    check.outcomes[0].id = "ok";
    check.outcomes[0].normal = true;
    check.outcomes[1].id = "bad";
    made.library.checks.push_back(check);
    made.plate.check = made.other.check = "c";
    made.plate.where = only("cooling", "plate");
    return made;
}

}  // namespace

TEST_CASE("a stated trait gates and multiplies") {
    UnitTraits unit;
    unit.words["cooling"] = "one";
    unit.numbers["age"] = 10.0;
    CHECK(prior(unit) == Approx(0.3));
    unit.numbers["age"] = 3.0;
    CHECK(prior(unit) == Approx(0.1));
    unit.numbers["charge"] = 150.0;
    CHECK(prior(unit) == Approx(0.5));
    unit.words["cooling"] = "plate";
    CHECK(prior(unit) == Approx(0.0).margin(1e-15));
}

TEST_CASE("an unstated trait is averaged over the library's mix, a number without a mix does nothing") {
    UnitTraits unit;
    unit.words["cooling"] = "one";
    CHECK(prior(unit) == Approx(0.1 * (0.5 * 1.0 + 0.5 * 3.0)));
    CHECK(prior({}) == Approx(0.6 * 0.2));
    unit.words["cooling"] = "unknown";  // stated as not known: the same as not stated
    CHECK(prior(unit) == Approx(0.6 * 0.2));
}

TEST_CASE("a grade that the unit cannot have leaves its share to the others") {
    Library library = shop();
    library.faults[0].where = {};
    library.faults[0].multipliers.clear();
    library.faults[0].grades[1].where = only("cooling", "one");
    const auto compiled = compile(std::make_shared<const Library>(std::move(library)));
    UnitTraits unit;
    unit.words["cooling"] = "plate";
    const UnitModel plate = fit_to_unit(compiled, unit);
    CHECK(plate.prior()[0] == Approx(0.1));
    CHECK(plate.prior()[1] == Approx(0.0).margin(1e-15));
    unit.words["cooling"] = "one";
    CHECK(fit_to_unit(compiled, unit).prior()[1] == Approx(0.025));
    const UnitModel unstated = fit_to_unit(compiled, {});  // takes nothing away
    CHECK(unstated.prior()[0] == Approx(0.075));
    CHECK(unstated.prior()[1] == Approx(0.025));
}

TEST_CASE("of the variants of a rule the likeliest applies, else the one without a condition") {
    auto [library, plate, other] = two_variants();
    plate.all_grades = Effect{{{"bad", 0.9}}, 0.0, 0.0};
    other.all_grades = Effect{{{"bad", 0.2}}, 0.0, 0.0};
    library.faults[0].where = {};
    library.faults[0].rules = {plate, other};
    const auto compiled = compile(std::make_shared<const Library>(library));
    const auto bad = [&](const UnitTraits& unit) {
        Finding finding;
        finding.outcome = 1;
        const FaultSet set{HypothesisKind::faults, 1, {0, 0, 0}};
        return pure_likelihood(fit_to_unit(compiled, unit), finding, set);
    };
    UnitTraits unit;
    CHECK(bad(unit) == Approx(0.2));  // 60 % are not plate units
    unit.words["cooling"] = "plate";
    CHECK(bad(unit) == Approx(0.9));
    unit.words["cooling"] = "one";
    CHECK(bad(unit) == Approx(0.2));
}

TEST_CASE("the reason of a rule is that of the variant that applies to the unit") {
    auto [library, plate, other] = two_variants();
    plate.because = "on plates";
    other.because = "elsewhere";
    library.faults[0].where = {};
    library.faults[0].rules = {plate, other};
    const auto compiled = compile(std::make_shared<const Library>(library));
    const CheckIndex index = compiled->check_index("c").value();
    UnitTraits unit;
    CHECK(reason_of(fit_to_unit(compiled, unit), 0, index) == "elsewhere");
    unit.words["cooling"] = "plate";
    CHECK(reason_of(fit_to_unit(compiled, unit), 0, index) == "on plates");
    library.faults[0].rules = {plate};  // alone, and not for this unit
    const auto alone = compile(std::make_shared<const Library>(library));
    unit.words["cooling"] = "one";
    CHECK(reason_of(fit_to_unit(alone, unit), 0, alone->check_index("c").value()).empty());
    library.faults[0].rules.clear();
    const auto none = compile(std::make_shared<const Library>(library));
    CHECK(reason_of(fit_to_unit(none, unit), 0, none->check_index("c").value()).empty());
}

TEST_CASE("a unit fitted after many others, into a used model, is what a fresh start gives") {
    const Library rules = load_library(embedded_library_sources()).value();
    const auto library = compile(std::make_shared<const Library>(rules));
    std::mt19937_64 random(77);
    std::vector<UnitTraits> units(60);
    for (UnitTraits& unit : units)
        for (const Trait& trait : rules.traits) {
            if (random() % 3 == 0) continue;
            if (trait.is_number)
                unit.numbers[trait.id] = static_cast<double>(random() % 40) * 0.5;
            else if (!trait.values.empty())
                unit.words[trait.id] =
                    random() % 40 == 0 ? "no such word" : trait.values[random() % trait.values.size()].id;
        }
    UnitModel used;
    std::vector<UnitModel> kept;
    for (int round = 0; round < 2; ++round)
        for (const UnitTraits& unit : units) {
            fit_to_unit(library, unit, used);
            if (round == 1) kept.push_back(used);
        }
    for (std::size_t i = 0; i < units.size(); i += 3) {
        const UnitModel fresh = fit_to_unit(compile(std::make_shared<const Library>(rules)), units[i]);
        std::size_t different = 0;
        for (std::size_t a = 0; a < fresh.prior().size(); ++a)
            different += fresh.prior()[a] != kept[i].prior()[a] ? 1U : 0U;
        for (CheckIndex check = 0; check < rules.checks.size(); ++check) {
            different += fresh.exists(check) != kept[i].exists(check) ? 1U : 0U;
            different += fresh.variant_bits(check) != kept[i].variant_bits(check) ? 1U : 0U;
        }
        for (std::size_t v = 0; v < library->variants().size(); ++v)
            different +=
                fresh.applies(static_cast<std::int32_t>(v)) != kept[i].applies(static_cast<std::int32_t>(v)) ? 1U : 0U;
        CHECK(different == 0);
        CHECK(fresh.unit().words == kept[i].unit().words);
    }
}

TEST_CASE("a deciding fault of the highest rank alone sets the outcome") {
    Library library;
    Check check;
    check.id = "c";
    check.outcomes = {{}, {}, {}};
    const char* names[] = {"ok", "warm", "bare"};
    for (std::size_t i = 0; i < 3; ++i) check.outcomes[i].id = names[i];
    check.outcomes[0].normal = true;
    check.outcomes[1].background = check.outcomes[2].background = 0.1;
    library.checks.push_back(check);
    const auto add = [&](const std::string& id, const std::string& says, int rank) {
        Fault fault;
        fault.id = id;
        fault.frequency = 10.0;
        Rule rule;
        rule.check = "c";
        rule.decides = rank;
        rule.all_grades = Effect{{{says, 0.9}}, 0.0, 0.0};
        fault.rules.push_back(rule);
        library.faults.push_back(fault);
    };
    add("plain", "warm", 0);
    add("strong", "bare", 8);
    add("stronger", "warm", 10);
    const UnitModel model = fit_to_unit(compile(std::make_shared<const Library>(library)), {});
    const auto bare = [&](std::vector<std::uint16_t> members) {
        Finding finding;
        finding.outcome = 2;
        FaultSet set;
        set.kind = HypothesisKind::faults;
        for (const auto member : members) set.members[set.size++] = member;
        return pure_likelihood(model, finding, set);
    };
    CHECK(bare({1}) == Approx(0.9));
    CHECK(bare({0, 1}) == Approx(0.9));
    CHECK(bare({1, 2}) == Approx(0.0).margin(1e-12));
}
