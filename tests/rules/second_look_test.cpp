#include <algorithm>

#include "rules/shipped.hpp"
#include "support/catch.hpp"

using namespace frostread;
using test::diagnose;
using test::Ranking;

// A better look silences the poorer one of the same thing. Where both point the same way, the better one must
// not leave the fault weaker than the poorer one did alone.

namespace {

const std::vector<std::vector<std::string>> kUnits = {
    {"layout=freezer-top", "cooling=one-evaporator", "defrost=automatic", "condenser=forced-air",
     "compressor=fixed-speed", "control=mechanical"},
    {"layout=freezer-bottom", "cooling=two-evaporators", "defrost=automatic", "condenser=static",
     "compressor=variable-speed", "control=electronic"},
    {"layout=chest-freezer", "cooling=plate", "defrost=manual", "condenser=static", "compressor=fixed-speed",
     "control=mechanical"},
};

struct Pair {
    const Check* first = nullptr;
    const Outcome* poorer = nullptr;  ///< abnormal
    const Check* second = nullptr;
};

/// Every abnormal outcome of a look that another look silences.
std::vector<Pair> pairs() {
    std::vector<Pair> found;
    const Library& library = test::shipped()->library();
    for (const Check& check : library.checks) {
        if (check.kind != CheckKind::look && check.kind != CheckKind::banded) {
            continue;
        }
        for (const Outcome& outcome : check.outcomes) {
            std::vector<std::string> better = check.superseded_by;
            better.insert(better.end(), outcome.superseded_by.begin(), outcome.superseded_by.end());
            for (const std::string& id : better) {
                const Check* second = find_check(library, id);
                if (!outcome.normal && second->kind != CheckKind::gauge && second->kind != CheckKind::several) {
                    found.push_back({&check, &outcome, second});
                }
            }
        }
    }
    return found;
}

bool on_unit(const Check& check, const std::vector<std::string>& unit) {
    return holds(check.where, test::typed_case(unit, {}).unit) != Truth::no;
}

bool says_little(const Outcome& outcome, const std::vector<std::string>& unit) {
    return !outcome.tells_little_on.empty() &&
           holds(outcome.tells_little_on, test::typed_case(unit, {}).unit) == Truth::yes;
}

/// With what each reading hangs on known to hold, so that the two are believed alike.
Ranking ranking(const std::vector<std::string>& unit, const std::vector<std::string>& readings) {
    Case the_case = test::typed_case(unit, readings);
    for (Reading& reading : the_case.readings)
        for (const std::string& condition : find_check(test::shipped()->library(), reading.check)->after)
            reading.after[condition] = true;
    return diagnose(the_case);
}

}  // namespace

TEST_CASE("a better look that agrees does not weaken the fault that the poorer one pointed at", "[rules]") {
    std::size_t compared = 0;
    for (const std::vector<std::string>& unit : kUnits) {
        const Ranking before = ranking(unit, {});
        for (const Pair& pair : pairs()) {
            if (!on_unit(*pair.first, unit) || !on_unit(*pair.second, unit)) {
                continue;
            }
            if (says_little(*pair.poorer, unit)) {
                continue;  // neither look points anywhere on this unit
            }
            const std::string first = pair.first->id + "=" + pair.poorer->id;
            const Ranking poorer = ranking(unit, {first});
            const std::string fault = poorer.leader();
            if (poorer.of(fault) <= before.of(fault)) {
                continue;  // "nothing wrong" leads, or the look points at nothing
            }
            // Of the better look, what points at that fault most.
            std::string agrees;
            double most = before.of(fault);
            for (const Outcome& outcome : pair.second->outcomes) {
                const std::string second = pair.second->id + "=" + outcome.id;
                const double alone = ranking(unit, {second}).of(fault);
                if (!outcome.normal && alone > most) {
                    most = alone;
                    agrees = second;
                }
            }
            if (agrees.empty()) {
                continue;
            }
            ++compared;
            INFO(unit.front() << ": " << fault << ", " << first << ", then " << agrees);
            CHECK(ranking(unit, {first, agrees}).of(fault) >= poorer.of(fault));
        }
    }
    CHECK(compared >= 15);
}

TEST_CASE("frost that stops short again proves the short charge that short frost spoke for", "[rules]") {
    std::vector<std::string> readings = {"complaint=freezer-warm,runs-always",
                                         "freezer-temp=-10 C",
                                         "fridge-temp=8 C",
                                         "onset=over-weeks",
                                         "freezer-panel-frost=none",
                                         "power-draw=low",
                                         "evaporator-frost=inlet-only"};
    const double once = diagnose(kUnits.front(), readings).of("refrigerant-low");
    readings.emplace_back("frost-return=short");
    CHECK(diagnose(kUnits.front(), readings).of("refrigerant-low") > once);
}

TEST_CASE("ice in the drain behind the panel agrees with the sheet of ice on the floor", "[rules]") {
    std::vector<std::string> readings = {"complaint=water", "freezer-floor=ice-sheet"};
    const double once = diagnose(kUnits.front(), readings).of("drain-blocked");
    readings.emplace_back("drain-channel=iced");
    CHECK(diagnose(kUnits.front(), readings).of("drain-blocked") > once);
}
