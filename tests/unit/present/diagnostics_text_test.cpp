#include <nlohmann/json.hpp>

#include "frostread/present.hpp"
#include "support/catch.hpp"

using namespace frostread;

TEST_CASE("an error shows file, line, column, the line itself and a caret with the suggestion", "[present]") {
    Diagnostic diagnostic;
    diagnostic.id = "unknown-check";
    diagnostic.place = {"bad.json", "/readings/2/check", 9, 16, "    { \"check\": \"evaporator-forst\","};
    diagnostic.what = "no check is named \"evaporator-forst\"";
    diagnostic.suggestion = "evaporator-frost";
    CHECK(to_text(Diagnostics{diagnostic}) ==
          "bad.json:9:16: error: no check is named \"evaporator-forst\" [unknown-check]\n"
          "  { \"check\": \"evaporator-forst\",\n"
          "             ^ did you mean evaporator-frost?\n");
}

TEST_CASE("an error of the command line has no place, and says what was expected", "[present]") {
    Diagnostic diagnostic;
    diagnostic.id = "wrong-quantity";
    diagnostic.severity = Severity::warning;
    diagnostic.what = "\"12 ohm\" is not a temperature";
    diagnostic.expected = "a number with °C or °F";
    CHECK(to_text(Diagnostics{diagnostic}) ==
          "warning: \"12 ohm\" is not a temperature; expected a number with °C or °F\n    [wrong-quantity]\n");
}

TEST_CASE("a very long line is cut to a window around the caret", "[present]") {
    Diagnostic diagnostic;
    diagnostic.place = {"x.jsonl", "", 1, 301, std::string(300, 'a') + "HERE" + std::string(300, 'b')};
    diagnostic.what = "wrong";
    const std::string text = to_text(Diagnostics{diagnostic});
    const std::size_t shown = text.find("HERE");
    const std::size_t caret = text.find('^');
    REQUIRE(shown != std::string::npos);
    REQUIRE(caret != std::string::npos);
    const auto column = [&](std::size_t at) { return at - text.rfind('\n', at); };
    CHECK(column(shown) == column(caret));
    for (std::size_t at = 0, end = 0; (end = text.find('\n', at)) != std::string::npos; at = end + 1) {
        CHECK(end - at <= 84);  // bytes; the ellipsis is three of them
    }
}

TEST_CASE("diagnostics as JSON keep every part", "[present]") {
    Diagnostic diagnostic;
    diagnostic.id = "unknown-check";
    diagnostic.place = {"bad.json", "/readings/2", 9, 16, "x"};
    diagnostic.what = "found";
    diagnostic.expected = "wanted";
    diagnostic.suggestion = "cure";
    const auto json = nlohmann::json::parse(to_json(Diagnostics{diagnostic}));
    REQUIRE(json.size() == 1);
    CHECK(json[0] == nlohmann::json({{"severity", "error"},
                                     {"id", "unknown-check"},
                                     {"file", "bad.json"},
                                     {"pointer", "/readings/2"},
                                     {"line", 9},
                                     {"column", 16},
                                     {"what", "found"},
                                     {"expected", "wanted"},
                                     {"suggestion", "cure"}}));
}
