#include <string>
#include <vector>

#include "rules/shipped.hpp"
#include "support/catch.hpp"

using namespace frostread;
using test::diagnose;
using test::Ranking;

// Published texts often say which cause to think of first. Each is put to the engine here with the shipped
// rules; its source stands in the name or beside it. A chart's plain lists are scored in tests/rules.

namespace {

const std::vector<std::string> kOneCoil = {"layout=freezer-top",   "cooling=one-evaporator", "defrost=automatic",
                                           "condenser=forced-air", "compressor=fixed-speed", "control=mechanical",
                                           "refrigerant=R-134a"};
const std::vector<std::string> kElectronic = {"layout=freezer-top", "cooling=one-evaporator", "defrost=automatic",
                                              "control=electronic"};
const std::vector<std::string> kPlate = {"layout=chest-freezer", "cooling=plate", "defrost=manual"};

double defrost_of(const Ranking& ranking) {
    return ranking.of("defrost-heater-open") + ranking.of("defrost-terminator-open") +
           ranking.of("defrost-control-stuck");
}

double motor_of(const Ranking& ranking) {
    return ranking.of("compressor-seized") + ranking.of("winding-open") + ranking.of("winding-shorted") +
           ranking.of("winding-earthed");
}

}  // namespace

TEST_CASE("parts outside the shell fail before the compressor (Goodheart-Willcox 2014, p. 462)", "[published][order]") {
    for (const char* run : {"compressor-run=silent", "compressor-run=hums-and-trips"}) {
        const Ranking ranking = diagnose(kOneCoil, {run, "compressor-voltage=present"});
        INFO(run << ": " << ranking.first(6));
        CHECK(ranking.leader() == "start-device-failed");
        CHECK(ranking.of("start-device-failed") + ranking.of("overload-open") + ranking.of("run-capacitor-failed") >
              motor_of(ranking));
    }
}

TEST_CASE("a windings test that reads open at common on a hot shell means the overload (trade-course notes)",
          "[published][order]") {
    const Ranking hot = diagnose(kOneCoil, {"winding-resistance=common-open", "compressor-shell=very-hot"});
    INFO(hot.first(5));
    CHECK(hot.of("overload-open") > hot.of("winding-open"));
    const Ranking run = diagnose(kOneCoil, {"winding-resistance=run-open", "compressor-shell=cold"});
    CHECK(run.leader() == "winding-open");
}

TEST_CASE("ice on the coil: a leaking seal, on a frost-free unit the defrost (Goodheart-Willcox 2017, p. 647)",
          "[published][order]") {
    const Ranking frost_free = diagnose(kOneCoil, {"evaporator-frost=ice-block"});
    INFO(frost_free.first(5));
    CHECK(defrost_of(frost_free) > 3.0 * frost_free.of("gasket-leak"));
    CHECK(frost_free.place("gasket-leak") <= 4);
    const Ranking by_hand = diagnose(kPlate, {"freezer-wall-frost=near-door", "plate-frost=thick"});
    INFO(by_hand.first(5));
    CHECK(by_hand.leader() == "gasket-leak");
}

TEST_CASE("dirt is the commonest single cause of a high condensing temperature (notes restating Boyle, ch. 8)",
          "[published][order]") {
    for (const char* sign : {"condenser-warmth=very-hot", "high-side-pressure=1320 kPa"}) {
        const Ranking ranking = diagnose(kOneCoil, {sign});
        INFO(sign << ": " << ranking.first(5));
        CHECK(ranking.leader() == "condenser-dirty");
        CHECK(ranking.of("condenser-dirty") > 2.0 * ranking.of("condenser-fan-stopped"));
    }
}

TEST_CASE("low suction: low subcooling is a short charge, high subcooling a restriction (Tomczyk, ACHR News 107666)",
          "[published][order]") {
    const Ranking low = diagnose(kOneCoil, {"low-side-pressure=43 kPa", "subcooling=0.5 K"});
    const Ranking high = diagnose(kOneCoil, {"low-side-pressure=43 kPa", "subcooling=11 K"});
    INFO("low: " << low.first(4) << "\nhigh: " << high.first(4));
    CHECK(low.leader() == "refrigerant-low");
    CHECK(low.of("refrigerant-low") > 10.0 * low.of("line-restriction"));
    CHECK(high.leader() == "line-restriction");
    CHECK(high.of("line-restriction") > 3.0 * high.of("refrigerant-low"));
}

TEST_CASE("a capillary that equalises slowly is restricted; one that equalises fast says nothing (capillary texts)",
          "[published][order]") {
    CHECK(diagnose(kOneCoil, {"equalising=slow"}).leader() == "line-restriction");
    const Ranking before = diagnose(kOneCoil, {"complaint=both-warm"});
    const Ranking fast = diagnose(kOneCoil, {"complaint=both-warm", "equalising=normal"});
    CHECK(fast.of("compressor-worn") < 1.1 * before.of("compressor-worn"));
}

TEST_CASE("a suction line frosted back after a recharge is too much refrigerant (notes restating Boyle, ch. 8)",
          "[published][order]") {
    const Ranking ranking = diagnose(kOneCoil, {"onset=after-repair", "suction-line=frosted"});
    INFO(ranking.first(4));
    CHECK(ranking.leader() == "overcharge");
}

TEST_CASE("an overcharged refrigerator ran a fifth longer with 1.3 bar more (J. Thermal Engineering 886)",
          "[published][order]") {
    // Measured on a unit that had just been charged: 110 g where 86 g belong.
    const Ranking ranking =
        diagnose(kOneCoil, {"onset=after-repair", "run-time=66 %", "high-side-pressure=1040 kPa", "rear-cover=fitted"});
    INFO(ranking.first(5));
    CHECK(ranking.leader() == "overcharge");
}

TEST_CASE("in a room below 16 °C the freezer is too warm, below 4 °C the compressor stays off (refrigerator leaflet)",
          "[published][order]") {
    CHECK(diagnose(kOneCoil, {"room-temp=12 °C", "freezer-temp=-9 °C", "fridge-temp=4 °C"}).leader() ==
          "room-too-cold");
    CHECK(diagnose(kOneCoil, {"room-temp=2 °C", "compressor-run=silent"}).leader() == "room-too-cold");
}

TEST_CASE("long running with a cold outer wall is wet insulation (Goodheart-Willcox 2014, p. 460)",
          "[published][order]") {
    const Ranking ranking = diagnose(kOneCoil, {"run-time=75 %", "cabinet-wall=cold-patch"});
    INFO(ranking.first(4));
    CHECK(ranking.leader() == "insulation-wet");
}

TEST_CASE("a heater within 15 % of V²/P is good, an open one has failed (from memory)", "[published][order]") {
    std::vector<std::string> unit = kOneCoil;
    unit.insert(unit.end(), {"rated_volts=120", "heater_watts=400"});  // 36 Ω
    const double before = diagnose(unit, {}).of("defrost-heater-open");
    CHECK(diagnose(unit, {"defrost-heater=40 ohm"}).of("defrost-heater-open") < 0.1 * before);
    CHECK(diagnose(unit, {"defrost-heater=32 ohm"}).of("defrost-heater-open") < 0.1 * before);
    const Ranking off = diagnose(unit, {"defrost-heater=46 ohm"});
    CHECK(off.of("defrost-heater-open") < 3.0 * before);
    CHECK(diagnose(unit, {"defrost-heater=2 Mohm"}).of("defrost-heater-open") > 0.75);
}

TEST_CASE("a terminator that is open on the bench has not failed, one open when cold has (from memory)",
          "[published][order]") {
    Case the_case = test::typed_case(kOneCoil, {"evaporator-frost=ice-block", "defrost-terminator=open-cold"});
    const Ranking cold = diagnose(the_case);
    CHECK(cold.leader() == "defrost-terminator-open");
    the_case.readings.back().after["terminator-cold"] = false;
    const Ranking warm = diagnose(the_case);
    const Ranking without = diagnose(kOneCoil, {"evaporator-frost=ice-block"});
    CHECK(warm.of("defrost-terminator-open") == Approx(without.of("defrost-terminator-open")).margin(1e-9));
}

TEST_CASE("a sensor of too high a resistance reads cold and leaves it warm, too low the other way (NTC)",
          "[published][order]") {
    CHECK(diagnose(kElectronic, {"fridge-sensor=30 %", "fridge-temp=9 °C"}).leader() == "sensor-reads-cold");
    CHECK(diagnose(kElectronic, {"fridge-sensor=-30 %", "fridge-temp=-1 °C"}).leader() == "sensor-reads-warm");
}

TEST_CASE("a run capacitor is replaced outside 6 % of its mark (course notes)", "[published][order]") {
    const double good = diagnose(kOneCoil, {"run-capacitor=95 %"}).of("run-capacitor-failed");
    const double weak = diagnose(kOneCoil, {"run-capacitor=93 %"}).of("run-capacitor-failed");
    CHECK(weak > 10.0 * good);
}

TEST_CASE("ice, drains and water come before compressors (owners' surveys, WRAP and Quad-City Times)",
          "[published][order]") {
    const Ranking calls = diagnose(kOneCoil, {});
    CHECK(calls.of("drain-blocked") + calls.of("water-supply-leak") + calls.of("drain-pan-faulty") +
              calls.of("gasket-leak") + defrost_of(calls) >
          2.0 * (motor_of(calls) + calls.of("compressor-worn")));
    CHECK(diagnose(kOneCoil, {"complaint=water"}).leader() == "drain-blocked");
}

TEST_CASE("a cold freezer over a warm fresh food: damper or fan (refrigeration course quiz)", "[published][order]") {
    const Ranking ranking = diagnose(kOneCoil, {"complaint=fridge-warm", "freezer-temp=-18 °C"});
    INFO(ranking.first(6));
    CHECK(ranking.place("damper-stuck-shut") <= 3);
    CHECK(ranking.place("evaporator-fan-stopped") <= 3);
    // Feeling for the draught parts the two.
    CHECK(diagnose(kOneCoil, {"complaint=fridge-warm", "freezer-temp=-18 °C", "freezer-fan=blows",
                              "fridge-airflow=none", "air-passage=clear"})
              .leader() == "damper-stuck-shut");
}
