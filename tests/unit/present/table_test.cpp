#include "present/writers.hpp"
#include "support/catch.hpp"

using namespace frostread::present;

TEST_CASE("display width counts columns, not bytes", "[present]") {
    CHECK(display_width("frost") == 5);
    CHECK(display_width("15 °F") == 5);
    CHECK(display_width("██▊") == 3);
    CHECK(display_width("e\xCC\x81") == 1);  // e with a combining accent
    CHECK(display_width("冷") == 2);
    CHECK(display_width("\x1b[1mbold\x1b[0m") == 4);
    CHECK(display_width("\xFF") == 1);  // a broken byte still takes a place
}

TEST_CASE("wrapping keeps every word and no line is too wide", "[present]") {
    const std::string text = "Unplug before the cover comes off. The fins cut: wear gloves, and mind 230 V at 15 °C.";
    for (const std::size_t width : {std::size_t{12}, std::size_t{20}, std::size_t{33}, std::size_t{200}}) {
        std::string joined;
        for (const std::string& line : wrap(text, width)) {
            CHECK(display_width(line) <= width);
            joined += (joined.empty() ? "" : " ") + line;
        }
        CHECK(joined == text);
    }
    CHECK(wrap("a\n\nb", 10) == std::vector<std::string>{"a", "", "b"});
    CHECK(wrap("incomprehensibilities", 5) == std::vector<std::string>{"incomprehensibilities"});
}

TEST_CASE("indents count toward the width", "[present]") {
    CHECK(wrapped("one two three", 16, "- ", "  ") == "- one two three\n");
    CHECK(wrapped("one two three four", 16, "- ", "  ") == "- one two three\n  four\n");
}

TEST_CASE("bars, padding and cutting go by columns", "[present]") {
    CHECK(bar(0.0, 8).empty());
    CHECK(bar(1.0, 4) == "████");
    CHECK(bar(0.5, 1) == "▌");
    CHECK(bar(7.0, 2) == "██");
    CHECK(bar(-1.0, 2).empty());
    CHECK(pad_right("°", 3) == "°  ");
    CHECK(pad_left("°", 3) == "  °");
    CHECK(cut("evaporator", 5) == "evap…");
    CHECK(cut("frost", 5) == "frost");
}

TEST_CASE("a percentage never says that something is impossible or certain", "[present]") {
    CHECK(percent_words(0.0) == "under 0.1 %");
    CHECK(percent_words(1.0) == "over 99.9 %");
    CHECK(percent_words(0.004) == "0.4 %");
    CHECK(percent_words(0.84) == "84 %");
    CHECK(percent_words(0.996) == "99.6 %");
    CHECK(percent_words(0.0096) == "1 %");
}

TEST_CASE("times read as a person says them", "[present]") {
    CHECK(minutes_words(0.5) == "under 1 min");
    CHECK(minutes_words(12) == "12 min");
    CHECK(minutes_words(95) == "1 h 35 min");
    CHECK(minutes_words(1440) == "24 h");
    CHECK(join_words({"a", "b", "c"}) == "a, b and c");
    CHECK(plain_number(-0.01) == "0");
    CHECK(plain_number(12.34) == "12.3");
}

TEST_CASE("pages escape what would be markup", "[present]") {
    CHECK(html_escape("<b> & \"x\" 'y'") == "&lt;b&gt; &amp; &quot;x&quot; &#39;y&#39;");
}
