#include <unistd.h>

#include <cstdio>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "cli/app.hpp"
#include "cli/context.hpp"
#include "frostread/bench_calc.hpp"
#include "frostread/files.hpp"
#include "present/calc_writers.hpp"
#include "present/writers.hpp"
#include "support/catch.hpp"

using namespace frostread;

namespace {

struct Ran {
    int code = 0;
    std::string out;
    std::string err;
};

Ran bench(std::vector<std::string> arguments) {
    arguments.insert(arguments.begin(), "bench-calc");
    std::istringstream in;
    std::ostringstream out;
    std::ostringstream err;
    cli::Context context{in, out, err, false, false, false, {}, {}, {}, {}};
    context.now = [] { return std::string("2031-04-17T09:12:00Z"); };
    context.environment = [](const std::string&) { return std::optional<std::string>(); };
    Ran ran;
    ran.code = cli::run(arguments, context);
    ran.out = out.str();
    ran.err = err.str();
    return ran;
}

/// A file that goes away with the test.
class CaseFile {
public:
    explicit CaseFile(const std::string& name, const std::string& text)
        : path_((std::filesystem::temp_directory_path() / ("frostread-" + std::to_string(::getpid()) + "-" + name))
                    .string()) {
        std::ofstream(path_) << text;
    }
    CaseFile(const CaseFile&) = delete;
    CaseFile& operator=(const CaseFile&) = delete;
    ~CaseFile() { std::filesystem::remove(path_); }
    [[nodiscard]] const std::string& path() const { return path_; }
    [[nodiscard]] std::string text() const {
        std::ifstream file(path_);
        std::ostringstream all;
        all << file.rdbuf();
        return all.str();
    }

private:
    std::string path_;
};

const std::string kCase =
    R"({ "frostread": 1, "case": "bench-1", "unit": { "layout": "freezer-top", "rated_volts": 230, "shelf": "3" },
         "readings": [ { "check": "freezer-temp", "value": "-9 °C" } ], "shop": { "bay": 4 } })";

}  // namespace

TEST_CASE("bench-calc prints the caution before the first number") {
    const Ran ran = bench({"superheat", "--refrigerant", "R-600a", "--pressure", "0.4 bar", "--line", "-6 C"});
    CHECK(ran.code == 0);
    CHECK(ran.err.empty());
    const auto caution = ran.out.find("This refrigerant burns");
    const auto number = ran.out.find("0.4 bar");
    REQUIRE(caution != std::string::npos);
    REQUIRE(number != std::string::npos);
    CHECK(caution < number);
    CHECK(ran.out.find("Formula") != std::string::npos);
    CHECK(ran.out.find("Source") != std::string::npos);
    CHECK(ran.out.find("Range") != std::string::npos);
}

TEST_CASE("Every example of bench-calc fits 80 columns and shows every caution in text and JSON") {
    for (const auto& calculator : calculators()) {
        for (const auto example : calculator.examples) {
            std::vector<std::string> arguments(1);
            bool quoted = false;
            for (const char letter : example) {
                if (letter == '\'') {
                    quoted = !quoted;
                } else if (letter == ' ' && !quoted) {
                    arguments.emplace_back();
                } else {
                    arguments.back() += letter;
                }
            }
            if (const auto into = std::find(arguments.begin(), arguments.end(), "--into"); into != arguments.end()) {
                arguments.erase(into, into + 2);
            }
            INFO(example);
            const Ran text = bench(arguments);
            CHECK(text.code == 0);
            std::istringstream lines(text.out);
            for (std::string line; std::getline(lines, line);) {
                INFO(line);
                CHECK(present::display_width(line) <= 80);
            }
            arguments.push_back("--json");
            const Ran json = bench(arguments);
            REQUIRE(json.code == 0);
            const auto document = nlohmann::ordered_json::parse(json.out);
            CHECK(document.at("frostread_calc") == 1);
            CHECK(document.at("calculator") == std::string(calculator.name));
            CHECK(document.at("cautions").empty() == calculator.cautions.empty());
            std::vector<std::string> keys;
            for (const auto& item : document.items()) {
                keys.push_back(item.key());
            }
            CHECK(keys == std::vector<std::string>{"frostread_calc", "calculator", "subject", "cautions", "given",
                                                   "results", "verdict", "verdict_words", "notes", "readings", "traits",
                                                   "no_reading", "formula", "source", "range"});
            for (const auto& caution : document.at("cautions")) {
                const std::string start = caution.at("text").get<std::string>().substr(0, 20);
                CHECK(text.out.find(start) != std::string::npos);
            }
        }
    }
}

TEST_CASE("bench-calc alone and its help list the calculators") {
    for (const auto& arguments : {std::vector<std::string>{}, std::vector<std::string>{"--help"}}) {
        const Ran ran = bench(arguments);
        CHECK(ran.code == 0);
        for (const auto& calculator : calculators()) {
            CHECK(ran.out.find("  " + std::string(calculator.name) + " ") != std::string::npos);
        }
    }
    const Ran help = bench({"thermistor", "--help"});
    CHECK(help.code == 0);
    CHECK(help.out.find("--point TEMP=OHMS") != std::string::npos);
    CHECK(help.out.find("Steinhart") != std::string::npos);
}

TEST_CASE("bench-calc refuses with a reason and a code") {
    const Ran range = bench({"saturation", "--refrigerant", "R-600a", "--temperature", "-80C"});
    CHECK(range.code == 2);
    CHECK(range.out.empty());
    CHECK(range.err.find("[out-of-range]") != std::string::npos);
    CHECK(range.err.find("-60 °C to 80 °C") != std::string::npos);
    const Ran word = bench({"saturate"});
    CHECK(word.code == 1);
    CHECK(word.err.find("saturation") != std::string::npos);
    const Ran option = bench({"heater", "--ohm", "22"});
    CHECK(option.code == 1);
    CHECK(option.err.find("--ohms") != std::string::npos);
    CHECK(bench({"heater", "--volts", "120"}).code == 2);
}

TEST_CASE("A verdict goes into a case and what the case held stays") {
    const CaseFile file("bench-into.json", kCase);
    const Ran ran = bench({"heater", "--volts", "230V", "--watts", "250W", "--ohms", "OL", "--into", file.path()});
    INFO(ran.err);
    REQUIRE(ran.code == 0);
    CHECK(ran.err.find("defrost-heater open") != std::string::npos);
    const auto written = nlohmann::json::parse(file.text());
    CHECK(written.at("case") == "bench-1");
    CHECK(written.at("shop").at("bay") == 4);
    CHECK(written.at("unit").at("shelf") == "3");
    REQUIRE(written.at("readings").size() == 2);
    const auto& reading = written.at("readings").at(1);
    CHECK(reading.at("check") == "defrost-heater");
    CHECK(reading.at("value") == "open");
    CHECK(reading.at("at") == "2031-04-17T09:12:00Z");
    CHECK(file.text().find("bench-calc heater") != std::string::npos);
    CHECK(written.at("unit").contains("heater_watts"));
}

TEST_CASE("Every reading that the examples give is taken by the rules") {
    const auto library = load_library(embedded_library_sources());
    REQUIRE(library.has_value());
    const std::vector<std::vector<std::string>> runs = {
        {"saturation", "--refrigerant", "R-600a", "--pressure", "0.4 bar", "--side", "low"},
        {"saturation", "--refrigerant", "R-600a", "--pressure", "5 bar", "--side", "high"},
        {"superheat", "--refrigerant", "R-134a", "--pressure", "2 psi", "--line", "-20C"},
        {"subcooling", "--refrigerant", "R-600a", "--pressure", "4.9 bar", "--line", "36C"},
        {"standing", "--refrigerant", "R-134a", "--pressure", "2 bar", "--temperature", "21C"},
        {"standing", "--refrigerant", "R-134a", "--pressure", "4.9 bar", "--temperature", "21C"},
        {"standing", "--refrigerant", "R-134a", "--pressure", "0 bar", "--temperature", "21C"},
        {"thermistor", "--point", "0C=16.33kohm", "--point", "25C=5kohm", "--ohms", "21 kohm", "--temperature", "0C",
         "--sensor", "fridge"},
        {"thermistor", "--point", "0C=16.33kohm", "--point", "25C=5kohm", "--ohms", "open", "--sensor", "freezer"},
        {"thermistor", "--point", "0C=16.33kohm", "--point", "25C=5kohm", "--ohms", "0.2", "--sensor", "freezer"},
        {"heater", "--volts", "230V", "--watts", "250W", "--ohms", "212"},
        {"heater", "--volts", "230V", "--watts", "250W", "--ohms", "3"},
        {"windings", "--r12", "15", "--r13", "4", "--r23", "11"},
        {"windings", "--r12", "open", "--r13", "open", "--r23", "15", "--common", "1"},
        {"windings", "--r12", "open", "--r13", "open", "--r23", "7", "--common", "2", "--run", "3"},
        {"windings", "--r12", "open", "--r13", "open", "--r23", "7", "--common", "2", "--run", "1"},
        {"windings", "--r12", "1", "--r13", "2", "--r23", "1.8"},
        {"earth", "--ohms", "0.2 Mohm"},
        {"earth", "--ohms", "OL"},
        {"power", "--volts", "230V", "--amps", "0.8A", "--watts", "110W", "--rated-amps", "0.9A"},
        {"capacitor", "--measured", "3.1uF", "--rated", "4uF"},
        {"run-time", "--load", "60W", "--capacity", "150W", "--on", "20min", "--off", "25min"},
        {"dew-point", "--room", "25C", "--humidity", "70%"},
        {"charge", "--refrigerant", "R-600a", "--rated", "52g"}};
    for (auto run : runs) {
        const CaseFile file("bench-each.json", kCase);
        run.push_back("--into");
        run.push_back(file.path());
        const Ran ran = bench(run);
        INFO(run[0] << ": " << ran.err);
        CHECK(ran.code == 0);
        const auto back = read_case(file.text(), "again", *library);
        CHECK(back.has_value());
        if (back && run[0] != "charge") {
            CHECK(back->readings.size() > 1);
        }
    }
}

TEST_CASE("A verdict that fits no outcome, or a broken case, leaves the file as it was") {
    const CaseFile file("bench-not.json", kCase);
    const Ran none =
        bench({"superheat", "--refrigerant", "R-134a", "--pressure", "2 psi", "--line", "-40C", "--into", file.path()});
    CHECK(none.code == 2);
    CHECK(none.err.find("nothing was put into") != std::string::npos);
    CHECK(none.out.find("superheat") != std::string::npos);
    CHECK(file.text() == kCase);

    const CaseFile broken("bench-broken.json", "{ \"frostread\": 1, ");
    CHECK(bench({"earth", "--ohms", "OL", "--into", broken.path()}).code == 2);
    CHECK(broken.text() == "{ \"frostread\": 1, ");
    CHECK(bench({"earth", "--ohms", "OL", "--into", "no-such-folder/case.json"}).code == 2);
    CHECK(bench({"earth", "--ohms", "OL", "--into", "-"}).code == 1);
}

TEST_CASE("A rating that the case gives otherwise is left alone and pointed out") {
    const CaseFile file("bench-trait.json", kCase);
    const Ran ran = bench({"heater", "--volts", "120V", "--watts", "250W", "--ohms", "57.6", "--into", file.path()});
    REQUIRE(ran.code == 0);
    CHECK(ran.err.find("rated_volts") != std::string::npos);
    const auto library = load_library(embedded_library_sources());
    REQUIRE(library.has_value());
    const auto back = read_case(file.text(), "again", *library);
    REQUIRE(back.has_value());
    CHECK(back->unit.numbers.at("rated_volts") == Approx(230.0));
    CHECK(back->unit.numbers.at("heater_watts") == Approx(250.0));
}

TEST_CASE("The cautions of the calculators are known to the rules") {
    const auto library = load_library(embedded_library_sources());
    REQUIRE(library.has_value());
    for (const auto& calculator : calculators()) {
        INFO(calculator.name);
        std::istringstream checks{std::string(calculator.checks)};
        for (std::string check; checks >> check;) {
            CHECK(find_check(*library, check) != nullptr);
        }
    }
    for (const char* id : {"flammable-refrigerant", "licensed-only", "high-pressure", "unplug-first", "live-test",
                           "capacitor-charge", "hot-heater"}) {
        INFO(id);
        CHECK(find_caution(*library, id) != nullptr);
    }
}
