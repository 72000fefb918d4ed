#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "cli/app.hpp"
#include "support/catch.hpp"
#include "support/log_generator.hpp"

namespace {

namespace fs = std::filesystem;
using frostread::test::generate_log;
using frostread::test::LogRecipe;
using frostread::test::to_csv;

struct Outcome {
    int code = 0;
    std::string out, err;
};

/// A folder of its own, gone afterwards.
class Folder {
public:
    Folder() : path_(fs::temp_directory_path() / ("frostread-templog-" + std::to_string(::getpid()))) {
        fs::create_directories(path_);
    }
    ~Folder() { fs::remove_all(path_); }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;

    [[nodiscard]] std::string file(const std::string& name) const { return (path_ / name).string(); }
    [[nodiscard]] std::string write(const std::string& name, const std::string& text) const {
        std::ofstream(file(name), std::ios::binary) << text;
        return file(name);
    }
    [[nodiscard]] std::string read(const std::string& name) const {
        std::ifstream in(file(name), std::ios::binary);
        return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
    }

private:
    fs::path path_;
};

Outcome run(std::vector<std::string> arguments, const std::string& input = "") {
    std::istringstream in(input);
    std::ostringstream out;
    std::ostringstream err;
    arguments.insert(arguments.begin(), "templog");
    const int code = frostread::cli::run(arguments, in, out, err);
    return {code, out.str(), err.str()};
}

std::string good_log() {
    LogRecipe recipe;
    recipe.watts = true;
    recipe.defrost_run_h = 8.0;
    return to_csv(generate_log(recipe).log);
}

}  // namespace

TEST_CASE("templog prints findings and adds readings to a case", "[templog][cli]") {
    const Folder folder;
    const std::string log = folder.write("kitchen.csv", good_log());
    const std::string before = R"({ "frostread": 1, "case": "mill-lane", "colour": "white",
        "unit": { "layout": "freezer-top", "rated_watts": 110 },
        "readings": [ { "check": "freezer-temp", "value": "-10 degC", "smell": "none" } ] })";
    const std::string the_case = folder.write("case.json", before);
    const Outcome first = run({log, "--into", the_case});
    INFO(first.err);
    REQUIRE(first.code == 0);
    CHECK(first.out.find("runs 40 % of the time") != std::string::npos);
    const auto json = nlohmann::json::parse(folder.read("case.json"));
    CHECK(json["colour"] == "white");
    CHECK(json["readings"][0]["smell"] == "none");
    std::map<std::string, nlohmann::json> by_check;
    for (const auto& reading : json["readings"]) {
        by_check[reading["check"]] = reading;
    }
    for (const char* check : {"fridge-temp", "freezer-temp", "run-time", "cycles-per-hour", "fridge-swing",
                              "freezer-swing", "pull-down-rate", "defrost-seen", "defrost-interval", "power-draw"}) {
        CAPTURE(check);
        REQUIRE(by_check.count(check) == 1);
        CHECK(by_check[check]["origin"] == "kitchen.csv");
        CHECK(by_check[check]["note"].get<std::string>().find("from the log: ") == 0);
    }
    const std::string after_once = folder.read("case.json");
    const Outcome again = run({log, "--into", the_case});
    CHECK(again.code == 0);
    CHECK(again.err.find("nothing was added") != std::string::npos);
    CHECK(folder.read("case.json") == after_once);
}

TEST_CASE("A new file makes a new case", "[templog][cli]") {
    const Folder folder;
    const std::string log = folder.write("kitchen.csv", good_log());
    const Outcome outcome = run({log, "--into", folder.file("new-call.json"), "--json"});
    INFO(outcome.err);
    REQUIRE(outcome.code == 0);
    CHECK(outcome.err.find("the new case") != std::string::npos);
    CHECK(nlohmann::json::parse(folder.read("new-call.json"))["case"] == "new-call");
    CHECK(nlohmann::json::parse(outcome.out)["frostread_templog"] == 1);
}

TEST_CASE("A file without a usable signal adds nothing and ends with 2", "[templog][cli]") {
    const Folder folder;
    const std::string before = R"({ "frostread": 1, "case": "a", "unit": {}, "readings": [] })";
    const std::string the_case = folder.write("case.json", before);
    const std::string log =
        folder.write("bad.csv", "time,fridge C\n2031-04-17 08:00,ERR\n2031-04-17 08:01,ERR\nlater,ERR\n");
    const Outcome outcome = run({log, "--into", the_case});
    CHECK(outcome.code == 2);
    CHECK(outcome.out.empty());
    CHECK(outcome.err.find("no usable signal") != std::string::npos);
    CHECK(outcome.err.find("nothing was added") != std::string::npos);
    CHECK(folder.read("case.json") == before);
    CHECK(run({folder.file("not-there.csv")}).code == 2);
    CHECK(run({"-"}, "").code == 2);
}

TEST_CASE("A bad case stays as it is", "[templog][cli]") {
    const Folder folder;
    const std::string log = folder.write("kitchen.csv", good_log());
    const std::string the_case = folder.write("case.json", "{ \"frostread\": 1, ");
    CHECK(run({log, "--into", the_case}).code == 2);
    CHECK(folder.read("case.json") == "{ \"frostread\": 1, ");
}

TEST_CASE("Pictures and pages are written, or the command says why not", "[templog][cli]") {
    const Folder folder;
    const std::string log = folder.write("kitchen.csv", good_log());
    REQUIRE(run({log, "--svg", folder.file("a.svg"), "--html", folder.file("a.html")}).code == 0);
    CHECK(folder.read("a.svg").rfind("<svg ", 0) == 0);
    CHECK(folder.read("a.html").rfind("<!DOCTYPE html>", 0) == 0);
    CHECK(run({log, "--svg", folder.file("no/such/folder/a.svg")}).code == 5);
}

TEST_CASE("templog says what is wrong with its options", "[templog][cli]") {
    const Folder folder;
    const std::string log = folder.write("kitchen.csv", good_log());
    CHECK(run({log, "--day-first", "--month-first"}).code == 1);
    CHECK(run({log, "--celsius", "--fahrenheit"}).code == 1);
    CHECK(run({log, "--separator", "blank"}).code == 1);
    CHECK(run({log, "--columns", "fridge"}).code == 1);
    CHECK(run({log, "--into", "-"}).code == 1);
    CHECK(run({}).code == 1);
    const std::string counted = folder.write("counted.csv", "time,fridge C\n0,3\n1,3\n2,3\n");
    CHECK(run({counted}).code == 2);
    CHECK(run({counted, "--time", "minutes"}).code == 0);
    CHECK(run({"-", "--columns", "time=1,fridge=2", "--fahrenheit", "--units", "us"},
              "a;b\n2031-04-17 08:00;37,5\n2031-04-17 08:01;37,5\n2031-04-17 08:02;37,5\n")
              .out.find("37.5 °F") != std::string::npos);
}
