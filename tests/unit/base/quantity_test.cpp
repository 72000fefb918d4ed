#include "frostread/quantity.hpp"

#include <string>

#include "support/catch.hpp"

using namespace frostread;

namespace {

double canonical(const char* typed, Dimension dimension) {
    const Result<Quantity> result = parse_quantity(typed, dimension);
    INFO("typed: " << typed);
    if (!result.has_value()) FAIL("refused: " << result.diagnostics().at(0).what);
    return to_canonical(*result);
}

Diagnostic refusal(const char* typed, Dimension dimension) {
    const Result<Quantity> result = parse_quantity(typed, dimension);
    INFO("typed: " << typed);
    REQUIRE_FALSE(result.has_value());
    REQUIRE(result.diagnostics().size() == 1);
    return result.diagnostics().front();
}

}  // namespace

TEST_CASE("temperatures are read in every spelling a person uses") {
    for (const char* typed :
         {"14F", "14 F", "14°F", "14 °F", "14 degF", "14 deg F", "14 degrees F", "14 fahrenheit", "14f", "+14 F",
          "-10C", "-10 °C", "− 10 celsius", "-10,0 C", "263.15 kelvin", "263.15 K"}) {
        CAPTURE(typed);
        CHECK(canonical(typed, Dimension::temperature) == Approx(-10.0).margin(1e-9));
    }
}

TEST_CASE("a temperature difference is not a temperature") {
    CHECK(canonical("9 F", Dimension::temperature_difference) == Approx(5.0));
    CHECK(canonical("5 °C", Dimension::temperature_difference) == Approx(5.0));
    CHECK(canonical("5 K", Dimension::temperature_difference) == Approx(5.0));
    CHECK(find_measure("K")->dimension == Dimension::temperature_difference);
    CHECK(find_measure("degC")->dimension == Dimension::temperature);
}

TEST_CASE("pressures know gauge from absolute") {
    CHECK(canonical("0 psi", Dimension::pressure) == Approx(101.325));
    CHECK(canonical("14.696 psia", Dimension::pressure) == Approx(101.325).epsilon(1e-4));
    CHECK(canonical("0.2 bar", Dimension::pressure) == Approx(121.325));
    CHECK(canonical("0.2 bara", Dimension::pressure) == Approx(20.0));
    CHECK(canonical("120 kPa", Dimension::pressure) == Approx(120.0));
    CHECK(canonical("10 inHg", Dimension::pressure) == Approx(101.325 - 33.86389));
    CHECK(canonical("-10 inHg", Dimension::pressure) == Approx(101.325 - 33.86389));
}

TEST_CASE("other quantities") {
    CHECK(canonical("22 ohm", Dimension::resistance) == Approx(22.0));
    CHECK(canonical("1.2 kohm", Dimension::resistance) == Approx(1200.0));
    CHECK(canonical("1.2k", Dimension::resistance) == Approx(1200.0));
    CHECK(canonical("5 MΩ", Dimension::resistance) == Approx(5e6));
    CHECK(canonical("5 megohm", Dimension::resistance) == Approx(5e6));
    CHECK(canonical("3 mΩ", Dimension::resistance) == Approx(3e-3));
    CHECK(canonical("40 %", Dimension::percent) == Approx(40.0));
    CHECK(canonical("90 min", Dimension::time) == Approx(1.5));
    CHECK(canonical("2 oz", Dimension::mass) == Approx(56.69904625));
    CHECK(canonical("12 µF", Dimension::capacitance) == Approx(12.0));
    CHECK(canonical("3 per hour", Dimension::frequency) == Approx(3.0));
    CHECK(canonical("9 F/h", Dimension::temperature_rate) == Approx(5.0));
    CHECK(canonical("11", Dimension::count) == Approx(11.0));
    CHECK(canonical("1e3 ohm", Dimension::resistance) == Approx(1000.0));
    CHECK(canonical("0,125 MΩ", Dimension::resistance) == Approx(125000.0));
}

TEST_CASE("a refused quantity says why and what would do") {
    Diagnostic d = refusal("warm", Dimension::temperature);
    CHECK(d.id == "not-a-number");
    CHECK(d.what == "\"warm\" is not a number with a unit");
    CHECK(d.expected == "a temperature, such as 15 °F or -9 °C");
    d = refusal("15", Dimension::temperature);
    CHECK(d.id == "unit-missing");
    CHECK(d.what == "\"15\" has no unit");
    d = refusal("15 fahrenhiet", Dimension::temperature);
    CHECK(d.id == "unknown-unit");
    CHECK(d.what == "no unit is named \"fahrenhiet\"");
    CHECK(d.suggestion == "fahrenheit");
    d = refusal("12 ohm", Dimension::temperature);
    CHECK(d.id == "wrong-quantity");
    CHECK(d.what == "\"12 ohm\" is not a temperature");
    d = refusal("1,200 ohm", Dimension::resistance);
    CHECK(d.id == "not-a-number");
    CHECK(d.suggestion == "write thousands without a comma, decimals with a point");
    d = refusal("5 mohm", Dimension::resistance);
    CHECK(d.id == "unknown-unit");
    CHECK(d.suggestion == "Mohm for a million, milliohm for a thousandth");
    for (const char* typed : {"", " ", "-", "nan C", "inf C", "1e999 C", ".", ", C", "e5 C", "1.2.3 C"}) {
        CAPTURE(typed);
        CHECK_FALSE(parse_quantity(typed, Dimension::temperature).has_value());
    }
}

TEST_CASE("a bare number takes the unit that was set") {
    const Measure& us = preferred_measure(Dimension::temperature, UnitPreference::us);
    CHECK(us.id == "degF");
    CHECK(to_canonical(*parse_quantity("32", Dimension::temperature, &us)) == Approx(0.0).margin(1e-9));
    CHECK(to_canonical(*parse_quantity("5 C", Dimension::temperature, &us)) == Approx(5.0));
}

TEST_CASE("quantities are printed short and without surprises") {
    const auto text = [](double value, const char* id, int digits = 4) {
        return to_text(Quantity{value, find_measure(id)}, digits);
    };
    CHECK(text(15.0, "degF") == "15 °F");
    CHECK(text(-0.00001, "degC", 2) == "-0.00001 °C");
    CHECK(text(-0.0, "degC") == "0 °C");
    CHECK(text(21.98765, "ohm") == "21.99 Ω");
    CHECK(text(100000000.0, "ohm") == "100000000 Ω");
    CHECK(text(99999.0, "ohm", 3) == "100000 Ω");
    CHECK(text(0.5, "bar") == "0.5 bar");
    CHECK(to_text(Quantity{11.0, find_measure("")}) == "11");
}

TEST_CASE("every measure converts there and back and is found by its id") {
    for (const Measure& measure : all_measures()) {
        CAPTURE(measure.id);
        CHECK(find_measure(measure.id, measure.dimension) == &measure);
        for (const double value : {-40.0, 0.0, 0.25, 1234.5}) {
            const double canonical_value = to_canonical({value, &measure});
            CHECK(from_canonical(canonical_value, measure) == Approx(value).margin(1e-9));
        }
        if (!measure.symbol.empty() && measure.dimension != Dimension::time) {
            CHECK(find_measure(measure.symbol, measure.dimension) != nullptr);
        }
    }
}
