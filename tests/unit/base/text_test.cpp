#include "base/text.hpp"

#include <string>
#include <string_view>
#include <vector>

#include "support/catch.hpp"

using namespace frostread;

TEST_CASE("an offset becomes a line and a column") {
    const std::string whole = "ab\nx°yz\r\nlast";
    CHECK(text::position_at(whole, 0).line == 1);
    CHECK(text::position_at(whole, 0).column == 1);
    const std::size_t y = whole.find('y');
    CHECK(text::position_at(whole, y).line == 2);
    CHECK(text::position_at(whole, y).column == 4);
    CHECK(text::line_at(whole, y) == "x°yz");
    CHECK(text::position_at(whole, whole.size()).line == 3);
    CHECK(text::position_at(whole, whole.size()).column == 5);
    CHECK(text::position_at(whole, 9999).column == 5);
    CHECK(text::line_at(whole, whole.size()) == "last");
    CHECK(text::position_at("", 0).line == 1);
    CHECK(text::line_at("\tx", 1) == " x");
}

TEST_CASE("invalid UTF-8 is found") {
    CHECK_FALSE(text::first_invalid_utf8("plain °F − 漢字 🧊"));
    CHECK(text::first_invalid_utf8("ab\xff") == 2U);
    CHECK(text::first_invalid_utf8("\xc0\xaf") == 0U);          // overlong
    CHECK(text::first_invalid_utf8("\xed\xa0\x80") == 0U);      // surrogate
    CHECK(text::first_invalid_utf8("\xf4\x90\x80\x80") == 0U);  // above U+10FFFF
    CHECK(text::first_invalid_utf8("x\xe2\x82") == 1U);         // cut short
}

TEST_CASE("edit distance counts a swap of neighbours once") {
    CHECK(text::edit_distance("frost", "frost", 3) == 0);
    CHECK(text::edit_distance("frots", "frost", 3) == 1);
    CHECK(text::edit_distance("kitten", "sitting", 3) == 3);
    CHECK(text::edit_distance("kitten", "sitting", 2) == 3);
    CHECK(text::edit_distance("", "abcd", 3) == 4);
    CHECK(text::edit_distance("evaporator-forst", "evaporator-frost", 3) == 1);
}

TEST_CASE("the nearest word is a slip, never a wild guess") {
    const std::vector<std::string_view> words = {"evaporator-frost", "frost", "freezer-temp", "fan"};
    CHECK(text::nearest("evaporator-forst", words) == "evaporator-frost");
    CHECK(text::nearest("frots", words) == "frost");
    CHECK(text::nearest("FREEZER-TMEP", words) == "freezer-temp");
    CHECK(text::nearest("xyz", words).empty());
    CHECK(text::nearest("a", words).empty());
    CHECK(text::nearest("compressor", words).empty());
    CHECK(text::nearest("", words).empty());
}

TEST_CASE("texts in messages are quoted, cut and kept on one line") {
    CHECK(text::quoted("a\nb") == "\"a b\"");
    CHECK(text::quoted(std::string(80, 'x')) == "\"" + std::string(60, 'x') + "…\"");
    CHECK(text::quoted(std::string(59, 'x') + "°°") == "\"" + std::string(59, 'x') + "…\"");
}

TEST_CASE("lists in sentences") {
    CHECK(text::join_or(std::vector<std::string>{"a", "b", "c"}) == "a, b or c");
    CHECK(text::join_or(std::vector<std::string>{"a"}) == "a");
    CHECK(text::split("a, b,,", ',') == std::vector<std::string_view>{"a", "b", "", ""});
    CHECK(text::trim("  x \r\n") == "x");
}
