#include <cmath>
#include <string>

#include "frostread/templog.hpp"
#include "support/catch.hpp"

using namespace frostread;

namespace {

Log read(const std::string& text) {
    auto log = parse_log(text, "kitchen.csv");
    REQUIRE(log);
    return std::move(log).value();
}

const LogIssue* issue(const Log& log, const std::string& id) {
    for (const LogIssue& each : log.issues) {
        if (each.id == id) {
            return &each;
        }
    }
    return nullptr;
}

std::string row(int minute, double value) {
    const std::string two = (minute % 60 < 10 ? "0" : "") + std::to_string(minute % 60);
    const int hour = minute / 60;
    return "2031-04-" + std::to_string(17 + hour / 24) + " " + (hour % 24 < 10 ? "0" : "") + std::to_string(hour % 24) +
           ":" + two + ":00," + std::to_string(value) + "\n";
}

}  // namespace

TEST_CASE("Late rows are put in their place and named", "[templog]") {
    const Log log = read("time,fridge C\n" + row(0, 3.0) + row(1, 3.1) + row(3, 3.3) + row(2, 3.2) + row(4, 3.4));
    REQUIRE(log.seconds == std::vector<double>{0, 60, 120, 180, 240});
    CHECK(log.of(LogChannel::fridge)[2] == Approx(3.2));
    REQUIRE(issue(log, "out-of-order"));
    CHECK(issue(log, "out-of-order")->first_lines == std::vector<std::size_t>{5});
    CHECK_FALSE(issue(log, "out-of-order")->left_out);
}

TEST_CASE("The same row twice is counted once; a contrary row is named apart", "[templog]") {
    const Log log =
        read("time,fridge C\n" + row(0, 3.0) + row(1, 3.1) + row(1, 3.1) + row(2, 3.2) + row(2, 9.9) + row(3, 3.3));
    CHECK(log.seconds.size() == 4);
    CHECK(log.of(LogChannel::fridge)[2] == Approx(3.2));
    REQUIRE(issue(log, "duplicate-row"));
    CHECK(issue(log, "duplicate-row")->count == 1);
    REQUIRE(issue(log, "contrary-row"));
    CHECK(issue(log, "contrary-row")->first_lines == std::vector<std::size_t>{6});
}

TEST_CASE("Rows of one time that complete each other are joined", "[templog]") {
    const Log log = read(
        "time,fridge C,freezer C\n2031-04-17 08:00,3.0,\n2031-04-17 08:00,,-18\n2031-04-17 08:01,3.1,\n2031-04-17 "
        "08:01,,-18.1\n2031-04-17 08:02,3.2,-18.2\n");
    CHECK(log.seconds.size() == 3);
    CHECK(log.of(LogChannel::freezer)[1] == Approx(-18.1));
    CHECK_FALSE(issue(log, "duplicate-row"));
}

TEST_CASE("A counter that begins again goes on after a hole", "[templog]") {
    std::string text = "seconds,fridge C\n";
    for (int i = 0; i < 10; ++i) {
        text += std::to_string(i * 60) + ",3.0\n";
    }
    text += "seconds,fridge C\n";
    for (int i = 0; i < 10; ++i) {
        text += std::to_string(i * 60) + ",4.0\n";
    }
    const Log log = read(text);
    REQUIRE(log.seconds.size() == 20);
    CHECK(log.seconds[10] - log.seconds[9] >= 3600.0);
    CHECK(log.of(LogChannel::fridge)[10] == Approx(4.0));
    REQUIRE(issue(log, "restart"));
    CHECK(issue(log, "restart")->first_lines == std::vector<std::size_t>{13});
    REQUIRE(issue(log, "repeated-header"));
    CHECK_FALSE(analyse_log(log).gaps.empty());
}

TEST_CASE("A logger that loses its calendar goes on after a hole", "[templog]") {
    std::string text = "time,fridge C\n" + row(0, 3.0) + row(1, 3.0) + row(2, 3.0) + row(3, 3.0);
    text += "2000-01-01 00:00,4\n2000-01-01 00:01,4\n2000-01-01 00:02,4\n2000-01-01 00:03,4\n";
    const Log log = read(text);
    REQUIRE(log.seconds.size() == 8);
    CHECK(log.of(LogChannel::fridge)[7] == Approx(4.0));
    CHECK(log.seconds.back() < 3.0 * 3600.0);
    CHECK(issue(log, "restart"));
}

TEST_CASE("A clock without a date goes on past midnight", "[templog]") {
    const Log log = read("time,fridge C\n23:58:00,3\n23:59:00,3\n00:00:00,3\n00:01:00,3\n");
    CHECK(log.seconds == std::vector<double>{0, 60, 120, 180});
    CHECK(log.issues.empty());
}

TEST_CASE("An hour put back in autumn is not sorted into the hour before", "[templog]") {
    std::string text = "time,fridge C\n";
    for (int m = 0; m < 180; ++m) {
        text += row(m, 3.0);
    }
    for (int m = 120; m < 300; ++m) {
        text += row(m, 5.0);
    }
    const Log log = read(text);
    CHECK(log.seconds.size() == 360);
    CHECK(log.seconds.back() == Approx(359.0 * 60.0));
    CHECK(issue(log, "hour-back"));
    CHECK_FALSE(issue(log, "out-of-order"));
}

TEST_CASE("A clock to the minute with many rows is spread evenly", "[templog]") {
    std::string text = "time,fridge C\n";
    for (int m = 0; m < 5; ++m) {
        for (int k = 0; k < 6; ++k) {
            text += "17.04.2031 08:0" + std::to_string(m) + "," + std::to_string(3 + k) + "\n";
        }
    }
    const Log log = read(text);
    REQUIRE(log.seconds.size() == 30);
    CHECK(log.seconds[1] == Approx(10.0));
    CHECK(log.seconds[29] == Approx(290.0));
}

TEST_CASE("A row of another century does not stretch the log", "[templog]") {
    std::string text = "time,fridge C\n";
    for (int m = 0; m < 60; ++m) {
        text += row(m, 3.0);
    }
    text += "2131-04-17 08:00,3.0\n";
    const Log log = read(text);
    CHECK(log.seconds.size() == 60);
    REQUIRE(issue(log, "far-time"));
    CHECK(issue(log, "far-time")->first_lines == std::vector<std::size_t>{62});
}
