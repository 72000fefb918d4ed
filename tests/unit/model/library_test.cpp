#include "frostread/library.hpp"

#include "frostread/case.hpp"
#include "support/catch.hpp"

using namespace frostread;

namespace {

Check named(const char* id, std::vector<std::string> aliases) {
    Check check;
    check.id = id;
    check.aliases = std::move(aliases);
    return check;
}

Library three_checks() {
    Library library;
    library.checks = {named("evaporator-frost", {"frost"}), named("freezer-temp", {"fz"}),
                      named("freezer-fan", {"fan", "fz-fan"})};
    return library;
}

}  // namespace

TEST_CASE("a check is found by id, alias or a prefix that fits only one") {
    const Library library = three_checks();
    const auto one = [&](const char* typed) {
        const NameMatch match = match_check(library, typed);
        CAPTURE(typed);
        REQUIRE(match.unique());
        return match.matches.front();
    };
    CHECK(one("freezer-temp") == "freezer-temp");
    CHECK(one("Freezer_Temp") == "freezer-temp");
    CHECK(one("freezer temp") == "freezer-temp");
    CHECK(one("fz") == "freezer-temp");  // an exact alias beats the prefix of another
    CHECK(one("evap") == "evaporator-frost");
    CHECK(one("freezer-t") == "freezer-temp");
    CHECK(one("fro") == "evaporator-frost");
}

TEST_CASE("a prefix of two is not guessed, a slip is only suggested") {
    const Library library = three_checks();
    CHECK(match_check(library, "freezer").matches == std::vector<std::string>{"freezer-temp", "freezer-fan"});
    const NameMatch slip = match_check(library, "frots");
    CHECK(slip.matches.empty());
    CHECK(slip.nearest == "evaporator-frost");
    CHECK(match_check(library, "gasket").matches.empty());
    CHECK(match_check(library, "gasket").nearest.empty());
    CHECK(match_check(library, "").matches.empty());
}

TEST_CASE("no and not are no beginnings, and a whole name is a name") {
    Library library = three_checks();
    library.checks.push_back(named("noise", {}));
    library.checks[2].name = "fan behind the panel";
    CHECK(match_check(library, "no").matches.empty());
    library.checks.push_back(named("sound", {"ok"}));
    CHECK(match_check(library, "ol").nearest.empty());
    CHECK(match_check(library, "noi").matches == std::vector<std::string>{"noise"});
    CHECK(match_check(library, "Fan behind the panel").matches == std::vector<std::string>{"freezer-fan"});
    library.checks.push_back(named("open", {"no"}));
    CHECK(match_check(library, "no").matches == std::vector<std::string>{"open"});
}

TEST_CASE("the latest reading that was not skipped counts") {
    Case the_case;
    the_case.readings.resize(3);
    for (Reading& reading : the_case.readings) reading.check = "a";
    the_case.readings[0].outcomes = {"x"};
    the_case.readings[1].outcomes = {"y"};
    the_case.readings[2].skipped = "no meter";
    CHECK(latest_reading(the_case, "a") == 1U);
    CHECK_FALSE(latest_reading(the_case, "b"));
}

TEST_CASE("what is not there may be a meter, any tool of the library, or a check") {
    Library library = three_checks();
    library.checks[0].tools = {"torch", "multimeter"};
    library.areas.push_back({});
    library.areas[0].tools = {"screwdriver", "torch"};
    CHECK(missing_words(library) ==
          std::vector<std::string>{"meter", "helper", "licence", "torch", "multimeter", "screwdriver"});
    const auto meant = [&](const char* typed) {
        const NameMatch match = match_missing(library, typed);
        return match.unique() ? match.matches.front() : "?" + match.nearest;
    };
    CHECK(meant("meter") == "meter");
    CHECK(meant("Meter") == "meter");
    CHECK(meant("multi") == "multimeter");
    CHECK(meant("license") == "licence");
    CHECK(meant("screw") == "screwdriver");
    CHECK(meant("fan") == "freezer-fan");
    CHECK(meant("metre") == "?meter");
    CHECK(meant("") == "?");
}

TEST_CASE("no meter means none of the electrical ones, and only those") {
    CHECK(lacks_tool({"meter"}, "multimeter"));
    CHECK(lacks_tool({"meter"}, "clamp meter"));
    CHECK_FALSE(lacks_tool({"meter"}, "thermometer"));
    CHECK_FALSE(lacks_tool({"meter"}, "wattmeter"));
    CHECK(lacks_tool({"torch"}, "torch"));
    CHECK_FALSE(lacks_tool({}, "torch"));
}
