#include <algorithm>

#include "frostread/compiled_library.hpp"
#include "rules/shipped.hpp"
#include "support/catch.hpp"

using namespace frostread;

// A fault is settled by one of its confirming checks. The unit must have it, or nothing ever settles the fault there.

namespace {

/// Units as they are built; an ice plate is never cleared by a heater of its own.
std::vector<UnitTraits> units() {
    std::vector<UnitTraits> all;
    const Library& library = test::shipped()->library();
    for (const TraitValue& layout : find_trait(library, "layout")->values) {
        for (const TraitValue& cooling : find_trait(library, "cooling")->values) {
            for (const TraitValue& defrost : find_trait(library, "defrost")->values) {
                for (const char* compressor : {"fixed-speed", "variable-speed"}) {
                    for (const char* control : {"mechanical", "electronic"}) {
                        if (cooling.id == "plate" && defrost.id == "automatic") {
                            continue;
                        }
                        UnitTraits unit;
                        unit.words = {{"layout", layout.id},
                                      {"cooling", cooling.id},
                                      {"defrost", defrost.id},
                                      {"compressor", compressor},
                                      {"control", control}};
                        all.push_back(std::move(unit));
                    }
                }
            }
        }
    }
    return all;
}

}  // namespace

TEST_CASE("every unit that can have a fault can have a check that confirms it", "[rules]") {
    const Library& library = test::shipped()->library();
    for (const UnitTraits& unit : units()) {
        for (const Fault& fault : library.faults) {
            if (holds(fault.where, unit) == Truth::no) {
                continue;
            }
            INFO(fault.id << " on " << unit.words.at("layout") << ", " << unit.words.at("cooling") << ", "
                          << unit.words.at("defrost"));
            CHECK(std::any_of(fault.confirm.begin(), fault.confirm.end(), [&](const std::string& id) {
                return holds(find_check(library, id)->where, unit) != Truth::no;
            }));
        }
    }
}

TEST_CASE("on a cold plate the frost on the plate itself speaks for and against a short charge", "[rules]") {
    const Fault* fault = find_fault(test::shipped()->library(), "refrigerant-low");
    CHECK(std::count(fault->confirm.begin(), fault->confirm.end(), "plate-frost") == 1);
}
