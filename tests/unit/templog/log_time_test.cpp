#include "templog/log_time.hpp"

#include "support/catch.hpp"

using namespace frostread::templog;

namespace {

/// The time read and written again, or "-" when it was refused.
std::string again(std::string_view cell, TimeKind kind, std::string_view clock = {}) {
    const auto time = parse_time(cell, clock, {kind, 1.0});
    return time ? iso_time(time->seconds) : "-";
}

}  // namespace

TEST_CASE("Times are read in the forms loggers write", "[templog]") {
    CHECK(again("2031-04-17T09:12:05", TimeKind::year_first) == "2031-04-17T09:12:05");
    CHECK(again("2031/4/7 9:12", TimeKind::year_first) == "2031-04-07T09:12:00");
    CHECK(again("2031-04-17 09:12:05.250", TimeKind::year_first) == "2031-04-17T09:12:05");
    CHECK(again("17.04.2031 09:12", TimeKind::day_first) == "2031-04-17T09:12:00");
    CHECK(again("17/04/31 09.12.30", TimeKind::day_first) == "2031-04-17T09:12:30");
    CHECK(again("4/17/2031 12:05 AM", TimeKind::month_first) == "2031-04-17T00:05:00");
    CHECK(again("4/17/2031 12:05:01 PM", TimeKind::month_first) == "2031-04-17T12:05:01");
    CHECK(again("17-Apr-2031 09:12", TimeKind::day_first) == "2031-04-17T09:12:00");
    CHECK(again("Apr 17, 2031 09:12", TimeKind::day_first) == "2031-04-17T09:12:00");
    CHECK(again("17.04.2031", TimeKind::day_first, "23:59:59") == "2031-04-17T23:59:59");
    CHECK(again("1700000000", TimeKind::epoch_seconds) == "2023-11-14T22:13:20");
    CHECK(again("1700000000000", TimeKind::epoch_millis) == "2023-11-14T22:13:20");
}

TEST_CASE("What is no day or no time is refused", "[templog]") {
    CHECK(again("2031-02-29 00:00", TimeKind::year_first) == "-");
    CHECK(again("2032-02-29 00:00", TimeKind::year_first) == "2032-02-29T00:00:00");
    CHECK(again("2031-13-01 00:00", TimeKind::year_first) == "-");
    CHECK(again("31.04.2031 09:12", TimeKind::day_first) == "-");
    CHECK(again("17.04.2031 25:12", TimeKind::day_first) == "-");
    CHECK(again("17.04.2031 09:72", TimeKind::day_first) == "-");
    CHECK(again("4/17/2031 13:05 PM", TimeKind::month_first) == "-");
    CHECK(again("2031-04-17T09:12:05 maybe", TimeKind::year_first) == "-");
    CHECK(again("", TimeKind::year_first) == "-");
    CHECK(again("fridge", TimeKind::counter) == "-");
}

TEST_CASE("A zone beside the clock is taken off, so that a change of the clock leaves no hole", "[templog]") {
    const TimeForm form{TimeKind::year_first, 1.0};
    const auto summer = parse_time("2031-10-26T02:30:00+02:00", "", form);
    const auto winter = parse_time("2031-10-26T02:30:00+01:00", "", form);
    REQUIRE(summer);
    REQUIRE(winter);
    CHECK(winter->seconds - summer->seconds == 3600.0);
    CHECK(summer->zone_minutes == 120);
    CHECK(parse_time("2031-04-17T09:12:05Z", "", form)->zone_minutes == 0);
}

TEST_CASE("Days of the calendar count through leap years", "[templog]") {
    CHECK(days_from_civil(1970, 1, 1) == 0);
    CHECK(days_from_civil(2000, 3, 1) - days_from_civil(2000, 2, 28) == 2);
    CHECK(days_from_civil(2100, 3, 1) - days_from_civil(2100, 2, 28) == 1);
}
