#include <nlohmann/json.hpp>
#include <sstream>

#include "frostread/templog.hpp"
#include "support/catch.hpp"
#include "support/log_generator.hpp"
#include "templog/log_plot.hpp"
#include "templog/log_words.hpp"

using namespace frostread;
using frostread::test::generate_log;
using frostread::test::LogRecipe;

namespace {

struct Made {
    Log log;
    LogFindings findings;
    std::vector<Reading> readings;
};

Made make(const LogRecipe& recipe, const std::string& name = "kitchen.csv") {
    Made made{generate_log(recipe).log, {}, {}};
    made.log.name = name;
    made.findings = analyse_log(made.log);
    made.readings = readings_from_log(made.log, made.findings, name);
    return made;
}

LogRecipe warm() {
    LogRecipe recipe;
    recipe.fridge_mean = 8.0;
    recipe.watts = true;
    recipe.defrost_run_h = 8.0;
    recipe.door_hours = {5.0, 9.0};
    recipe.gaps = {{20000.0, 30000.0}};
    return recipe;
}

}  // namespace

TEST_CASE("The food caution stands before all else in every form", "[templog]") {
    const Made made = make(warm());
    REQUIRE(made.findings.cautions.size() == 1);
    const std::string text = log_to_text(made.log, made.findings, made.readings);
    CHECK(text.rfind("! The fridge was above 4 °C / 40 °F", 0) == 0);
    const std::string json = log_to_json(made.log, made.findings, made.readings);
    const auto ordered = nlohmann::ordered_json::parse(json);
    auto member = ordered.begin();
    CHECK(member.key() == "frostread_templog");
    CHECK((++member).key() == "cautions");
    CHECK(member.value().at(0).at("id") == "food-warm");
    const std::string svg = log_to_svg(made.log, made.findings);
    CHECK(svg.find("The fridge was above") < svg.find("kitchen.csv</text>"));
    const std::string html = log_to_html(made.log, made.findings, made.readings);
    CHECK(html.find("role=\"alert\"") < html.find("<h1>"));
    LogRecipe cold = warm();
    cold.fridge_mean = 3.0;
    cold.fridge_swing = 1.0;
    CHECK(log_to_text(make(cold).log, make(cold).findings, {}).find('!') == std::string::npos);
}

TEST_CASE("No line of the text is wider than asked for", "[templog]") {
    const Made made = make(warm());
    LogStyle style;
    style.width = GENERATE(60U, 80U, 120U);
    style.units = GENERATE(UnitPreference::si, UnitPreference::us);
    std::istringstream lines(log_to_text(made.log, made.findings, made.readings, style));
    std::string line;
    while (std::getline(lines, line)) {
        CAPTURE(line);
        CHECK(templog::display_width(line) <= style.width);
    }
}

TEST_CASE("The JSON carries what the documentation lists", "[templog]") {
    const Made made = make(warm());
    const auto json = nlohmann::json::parse(log_to_json(made.log, made.findings, made.readings));
    for (const char* key : {"file",         "cautions",         "start",
                            "end",          "length_h",         "known_h",
                            "interval_s",   "rows_read",        "rows_used",
                            "columns",      "assumptions",      "issues",
                            "gaps",         "steady",           "steady_h",
                            "compartments", "room_mean",        "evaporator_lowest",
                            "compressor",   "defrosts_visible", "defrost_each_cycle",
                            "defrosts",     "doors_visible",    "doors",
                            "remarks",      "readings"}) {
        CAPTURE(key);
        CHECK(json.contains(key));
    }
    CHECK(json["compressor"]["steady_run_percent"].get<double>() == Approx(40.0).margin(0.5));
    CHECK(json["gaps"].size() == 1);
    CHECK(json["room_mean"].is_null());
    CHECK(json["readings"][0]["check"] == "fridge-temp");
    CHECK(json["start"] == "2031-04-17T08:00:00");
}

TEST_CASE("A name cannot break out of the page, the picture or the JSON", "[templog]") {
    const Made made = make(warm(), "<script>\"x\"&\x01\xff.csv");
    const std::string html = log_to_html(made.log, made.findings, made.readings);
    const std::string svg = log_to_svg(made.log, made.findings);
    for (const std::string& page : {html, svg}) {
        CHECK(page.find("<script") == std::string::npos);
        CHECK(page.find('\x01') == std::string::npos);
        CHECK(page.find('\xff') == std::string::npos);
        CHECK(page.find("&lt;script&gt;") != std::string::npos);
    }
    // Nothing is fetched from elsewhere: the one address is the name of the picture's language.
    std::size_t addresses = 0;
    for (std::size_t at = html.find("http"); at != std::string::npos; at = html.find("http", at + 1)) {
        ++addresses;
    }
    CHECK(addresses == 1);
    CHECK(nlohmann::json::accept(log_to_json(made.log, made.findings, made.readings)));
}

TEST_CASE("The picture marks every defrost, door and gap", "[templog]") {
    const Made made = make(warm());
    const std::string svg = log_to_svg(made.log, made.findings);
    const auto count = [&](const std::string& part) {
        std::size_t found = 0;
        for (std::size_t at = svg.find(part); at != std::string::npos; at = svg.find(part, at + 1)) {
            ++found;
        }
        return found;
    };
    const std::size_t panels = 3;  // fridge, freezer, power
    CHECK(count("fill=\"#ef9f2e\"") == panels * made.findings.defrosts.size());
    CHECK(count("l-3.5 -7h7z") == made.findings.doors.size());
    CHECK(count("fill=\"url(#gap)\" fill-opacity") == panels * made.findings.gaps.size());
    CHECK(count("nan") == 0);
    CHECK(count("inf") == 0);
}

TEST_CASE("Axes have round ticks", "[templog]") {
    CHECK(templog::round_ticks(-20.3, -9.8, 6) == std::vector<double>{-20, -18, -16, -14, -12, -10});
    LogRecipe recipe;
    recipe.hours = 52.0;
    const auto ticks = templog::time_ticks(generate_log(recipe).log, 10);
    REQUIRE(ticks.size() >= 4);
    CHECK(ticks[0].label == "12:00");
    CHECK(ticks[2].label == "18 Apr");
}

TEST_CASE("A log of one quiet channel is written in every form", "[templog]") {
    Log log;
    log.name = "one.csv";
    for (int i = 0; i < 5; ++i) {
        log.seconds.push_back(60.0 * i);
        log.values[static_cast<std::size_t>(LogChannel::room)].push_back(21.0F);
    }
    const LogFindings findings = analyse_log(log);
    CHECK(log_to_text(log, findings, {}).find("21.0 °C") != std::string::npos);
    CHECK(log_to_svg(log, findings).find("nan") == std::string::npos);
    CHECK(log_to_html(log, findings, {}).find("</html>") != std::string::npos);
    CHECK(nlohmann::json::accept(log_to_json(log, findings, {})));
}
