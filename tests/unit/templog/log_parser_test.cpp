#include <cmath>
#include <string>

#include "frostread/templog.hpp"
#include "support/catch.hpp"
#include "templog/log_text.hpp"

using namespace frostread;

namespace {

Log read(const std::string& text, const LogOptions& options = {}) {
    auto log = parse_log(text, "kitchen.csv", options);
    for (const Diagnostic& d : log.diagnostics()) {
        UNSCOPED_INFO(d.id << ": " << d.what << "; " << d.expected);
    }
    REQUIRE(log);
    return std::move(log).value();
}

std::string error_of(const std::string& text, const LogOptions& options = {}) {
    const auto log = parse_log(text, "kitchen.csv", options);
    return log.has_value() ? "" : log.diagnostics().back().id;
}

std::string assumptions(const Log& log) {
    std::string all;
    for (const std::string& sentence : log.assumptions) {
        all += sentence + "\n";
    }
    return all;
}

std::size_t issue_count(const Log& log, const std::string& id) {
    for (const LogIssue& issue : log.issues) {
        if (issue.id == id) {
            return issue.count;
        }
    }
    return 0;
}

std::string contains(const std::string& text, const std::string& part) {
    return text.find(part) != std::string::npos ? part : text;
}

}  // namespace

TEST_CASE("The same log is read the same from every spelling", "[templog]") {
    const auto text = GENERATE(
        as<std::string>{},
        // comma and dots, ISO
        "time,fridge (°C),freezer "
        "(°C)\n2031-04-17T08:00:00,3.5,-18.2\n2031-04-17T08:01:00,3.6,-18.1\n2031-04-17T08:02:00,"
        "3.7,-18\n",
        // semicolon, decimal comma, day first, byte order mark, CRLF
        "\xEF\xBB\xBF"
        "Zeit/time;Fridge °C;Freezer °C\r\n17.04.2031 08:00;3,5;-18,2\r\n17.04.2031 08:01;3,6;-18,1\r\n17.04.2031 "
        "08:02;3,7;-18,0\r\n",
        // tab, date and clock apart, a counter of rows, an ignored column
        "No\tDate\tTime\tFridge(C)\tHumidity(%)\tFreezer(C)\n1\t17/04/2031\t08:00:00\t3.5\t40\t-18.2\n2\t17/04/"
        "2031\t08:01:00\t3.6\t40\t-18.1\n3\t17/04/2031\t08:02:00\t3.7\t40\t-18.0\n",
        // month first with AM, °F, quotes
        "\"Timestamp\",\"Refrigerator (°F)\",\"Freezer (°F)\"\n\"4/17/2031 8:00:00 "
        "AM\",\"38.3\",\"-0.76\"\n\"4/17/2031 "
        "8:01:00 AM\",\"38.48\",\"-0.58\"\n\"4/17/2031 8:02:00 AM\",\"38.66\",\"-0.4\"\n",
        // quoted decimal commas between commas
        "time,fridge C,freezer C\n2031-04-17 08:00,\"3,5\",\"-18,2\"\n2031-04-17 08:01,\"3,6\",\"-18,1\"\n2031-04-17 "
        "08:02,\"3,7\",\"-18,0\"\n",
        // particulars of the logger before the header, a line of units below it
        "Logger;LK-1\nInterval;60 s\n\ntime;fridge;freezer\n;°C;°C\n2031-04-17 08:00:00;3.5;-18.2\n2031-04-17 "
        "08:01:00;3.6;-18.1\n2031-04-17 08:02:00;3.7;-18.0\n",
        // minutes counted
        "elapsed (min),fridge C,freezer C\n0,3.5,-18.2\n1,3.6,-18.1\n2,3.7,-18.0\n",
        // units in the cells
        "time,fridge,freezer\n2031-04-17 08:00,3.5 °C,-18.2 C\n2031-04-17 08:01,38.48F,-18.1 °C\n2031-04-17 08:02,3.7 "
        "°C,-18.0 degC\n");
    const Log log = read(text);
    REQUIRE(log.seconds.size() == 3);
    CHECK(log.seconds[2] == Approx(120.0));
    CHECK(log.of(LogChannel::fridge)[0] == Approx(3.5).margin(0.001));
    CHECK(log.of(LogChannel::fridge)[1] == Approx(3.6).margin(0.001));
    CHECK(log.of(LogChannel::freezer)[2] == Approx(-18.0).margin(0.001));
    CHECK_FALSE(log.has(LogChannel::watts));
    CHECK(log.issues.empty());
}

TEST_CASE("Columns are taken by number or name when the person says so", "[templog]") {
    const std::string text =
        "a,b,c,d\n2031-04-17 08:00,0.09,21.5,-18\n2031-04-17 08:01,0.10,21.5,-18\n2031-04-17 "
        "08:02,0.11,21.6,-18\n";
    CHECK(error_of(text) == "log-columns");
    LogOptions options;
    options.columns = {{"time", "1"}, {"room", "C"}, {"freezer", "4"}};
    const Log log = read(text, options);
    CHECK(log.of(LogChannel::room)[2] == Approx(21.6));
    CHECK(log.of(LogChannel::freezer)[0] == Approx(-18.0));
    options.columns = {{"time", "1"}, {"freezer", "9"}};
    const auto missing = parse_log(text, "kitchen.csv", options);
    REQUIRE_FALSE(missing);
    CHECK(missing.diagnostics().back().what == "no column \"9\"");
    CHECK(contains(missing.diagnostics().back().expected, "2 \"b\" such as 0.09") == "2 \"b\" such as 0.09");
    options.columns = {{"time", "1"}, {"cellar", "2"}};
    CHECK(error_of(text, options) == "log-columns");
}

TEST_CASE("A power column in kilowatts is read as watts", "[templog]") {
    const Log log = read("time,power (kW)\n2031-04-17 08:00,0.09\n2031-04-17 08:01,0.1\n2031-04-17 08:02,0.002\n");
    CHECK(log.of(LogChannel::watts)[1] == Approx(100.0));
}

TEST_CASE("The order of day and month is proven by a row, or said to be assumed", "[templog]") {
    const auto with_dates = [](const std::string& a, const std::string& b, const std::string& c) {
        return "time,fridge C\n" + a + ",3.5\n" + b + ",3.6\n" + c + ",3.7\n";
    };
    SECTION("a day above twelve proves it") {
        const Log log = read(with_dates("04/17/2031 08:00", "04/17/2031 08:01", "04/17/2031 08:02"));
        CHECK(contains(assumptions(log), "Dates were read month first: line 2 has 04/17/2031 08:00.") ==
              "Dates were read month first: line 2 has 04/17/2031 08:00.");
    }
    SECTION("days that follow each other prove it") {
        const Log log = read(with_dates("03/04/2031 23:59", "04/04/2031 00:00", "05/04/2031 00:01"));
        CHECK(contains(assumptions(log), "Dates were read day first: that way the days follow each other") ==
              "Dates were read day first: that way the days follow each other");
        CHECK(log.seconds[1] == 60.0);
    }
    SECTION("nothing proves it: assumed, and said so") {
        const Log log = read(with_dates("03/04/2031 08:00", "03/04/2031 08:01", "03/04/2031 08:02"));
        CHECK(contains(assumptions(log), "Nothing in the file proves it") == "Nothing in the file proves it");
        CHECK(contains(assumptions(log), "--month-first settles it") == "--month-first settles it");
    }
    SECTION("AM and PM lean to month first") {
        const Log log = read(with_dates("3/4/2031 8:00 AM", "3/4/2031 8:01 AM", "3/4/2031 8:02 AM"));
        CHECK(contains(assumptions(log), "Dates were read month first") == "Dates were read month first");
    }
    SECTION("rows that contradict each other are an error with both lines") {
        const auto log =
            parse_log(with_dates("17/04/2031 08:00", "04/18/2031 08:01", "04/18/2031 08:02"), "kitchen.csv");
        REQUIRE_FALSE(log);
        CHECK(log.diagnostics().back().id == "log-date-order");
        CHECK(contains(log.diagnostics().back().what, "17/04/2031 08:00 (line 2)") == "17/04/2031 08:00 (line 2)");
        CHECK(log.diagnostics().back().place.line == 3);
    }
    SECTION("an option that a row contradicts is an error") {
        LogOptions options;
        options.date_order = DateOrder::day_first;
        CHECK(error_of(with_dates("04/17/2031 08:00", "04/17/2031 08:01", "04/17/2031 08:02"), options) ==
              "log-date-order");
    }
}

TEST_CASE("A counter without a unit is refused, with one it is read", "[templog]") {
    const std::string text = "time,fridge C\n0,3.5\n60,3.6\n120,3.7\n";
    CHECK(error_of(text) == "log-time-unit");
    LogOptions options;
    options.time_unit = LogTimeUnit::minutes;
    CHECK(read(text, options).seconds.back() == 7200.0);
    CHECK(read("seconds,fridge C\n0,3.5\n60,3.6\n120,3.7\n").seconds.back() == 120.0);
    CHECK_FALSE(read("seconds,fridge C\n0,3.5\n60,3.6\n120,3.7\n").start.has_value());
}

TEST_CASE("Without a unit the temperature scale is worked out and said", "[templog]") {
    const Log us =
        read("time,fridge,freezer\n2031-04-17 08:00,37.4,0.5\n2031-04-17 08:01,37.4,0.4\n2031-04-17 08:02,37.6,0.2\n");
    CHECK(us.of(LogChannel::fridge)[0] == Approx(3.0));
    CHECK(contains(assumptions(us), "taken as °F") == "taken as °F");
    const Log si =
        read("time,fridge,freezer\n2031-04-17 08:00,3.4,-18\n2031-04-17 08:01,3.4,-18\n2031-04-17 08:02,3.6,-18\n");
    CHECK(si.of(LogChannel::freezer)[0] == Approx(-18.0));
    CHECK(contains(assumptions(si), "taken as °C") == "taken as °C");
    LogOptions options;
    options.temperature = LogTemperature::fahrenheit;
    CHECK(read("time,fridge\n2031-04-17 08:00,32\n2031-04-17 08:01,32\n2031-04-17 08:02,32\n", options)
              .of(LogChannel::fridge)[0] == Approx(0.0).margin(1e-5));
}

TEST_CASE("Bad rows and cells are counted and named, the rest is used", "[templog]") {
    const Log log = read(
        "time,fridge C,freezer C,power W\n"
        "2031-04-17 08:00,3.5,-18.0,90\n"
        "yesterday,3.5,-18.0,90\n"
        "2031-04-17 08:01,3.5,,90\n"
        "2031-04-17 08:02,abc,-18.0,90\n"
        "2031-04-17 08:03,-127.0,-18.0,90\n"
        "2031-04-17 08:04,3.5,ERR,90\n"
        "2031-04-17 08:05\n"
        "2031-99-17 08:06,3.5,-18.0,90\n"
        "\n"
        "2031-04-17 08:07,3.5,-18.0,90\n");
    CHECK(log.rows_read == 9);
    CHECK(log.seconds.size() == 6);
    CHECK(issue_count(log, "bad-time") == 2);
    CHECK(issue_count(log, "missing-cell") == 1);
    CHECK(issue_count(log, "bad-number") == 1);
    CHECK(issue_count(log, "out-of-range") == 1);
    CHECK(issue_count(log, "probe-error") == 1);
    CHECK(issue_count(log, "short-row") == 1);
    REQUIRE(log.issues.front().id == "bad-time");
    CHECK(log.issues.front().first_lines == std::vector<std::size_t>{3, 9});
    CHECK(std::isnan(log.of(LogChannel::fridge)[3]));
    CHECK(log.of(LogChannel::watts)[3] == Approx(90.0));
}

TEST_CASE("A file without a usable signal is refused with a reason", "[templog]") {
    CHECK(error_of("") == "log-empty");
    CHECK(error_of("\n\r\n  \n") == "log-empty");
    CHECK(error_of("this is a letter,\nno log\n") == "log-no-signal");
    CHECK(error_of(std::string("PK\0\0\3", 5)) == "log-not-text");
    CHECK(error_of("time,fridge C\n2031-04-17 08:00,ERR\n2031-04-17 08:01,ERR\n2031-04-17 08:02,ERR\n") ==
          "log-no-signal");
    CHECK(error_of("time,fridge C\n2031-04-17 08:00,3.5\n") == "log-no-signal");
    CHECK(error_of("when,fridge C,freezer C\nnever,3.5,-18\nnow,3.4,-18\nthen,3.4,-18\n") == "log-columns");
}

TEST_CASE("Decimal commas between comma separators are refused, not shifted", "[templog]") {
    CHECK(error_of("time,fridge C,freezer C\n2031-04-17 08:00,3,5,-18,2\n2031-04-17 08:01,3,6,-18,1\n2031-04-17 "
                   "08:02,3,7,-18,0\n") == "log-columns");
}

TEST_CASE("A lone column of values is placed by its level, and said so", "[templog]") {
    const Log log =
        read("No.,Time,Celsius(°C)\n1,2031-04-17 08:00,-17.5\n2,2031-04-17 08:01,-17.6\n3,2031-04-17 08:02,-17.7\n");
    CHECK(log.has(LogChannel::freezer));
    CHECK(contains(assumptions(log), "taken as the freezer air") == "taken as the freezer air");
}

TEST_CASE("UTF-16 as spreadsheets save it is read", "[templog]") {
    const std::string plain = "time,fridge C\n2031-04-17 08:00,3.5\n2031-04-17 08:01,3.6\n2031-04-17 08:02,3.7\n";
    std::string wide = "\xFF\xFE";
    for (const char c : plain) {
        wide.push_back(c);
        wide.push_back('\0');
    }
    CHECK(read(wide).of(LogChannel::fridge)[2] == Approx(3.7));
}

TEST_CASE("Numbers are read with either decimal mark, thousands and units", "[templog]") {
    using templog::parse_number;
    CHECK(parse_number("-18,25")->value == Approx(-18.25));
    CHECK(parse_number("1.234,5")->value == Approx(1234.5));
    CHECK(parse_number("1,234.5")->value == Approx(1234.5));
    CHECK(parse_number("+3e2")->value == Approx(300.0));
    CHECK(parse_number("\xE2\x88\x92"
                       "4")
              ->value == Approx(-4.0));
    CHECK_FALSE(parse_number("3.4.5").has_value());
    CHECK_FALSE(parse_number("3 apples").has_value());
    CHECK_FALSE(parse_number("-").has_value());
    CHECK_FALSE(parse_number("1e999").has_value());
}
