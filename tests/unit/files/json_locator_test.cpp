#include "files/json_locator.hpp"

#include <string>
#include <vector>

#include "support/catch.hpp"

using namespace frostread;

namespace {

std::vector<std::string> tokens_of(const std::string& text) {
    std::vector<std::string> all;
    json::Tokens tokens(text);
    while (const auto token = tokens.next()) all.push_back(text.substr(token->begin, token->end - token->begin));
    return all;
}

}  // namespace

TEST_CASE("every value is found with its key, in the order of the text") {
    const std::string text = "\xEF\xBB\xBF{ \"a\" : [1.5e3, \"]\\\"\", {}],\n \"b\": true }";
    const auto spans = json::locate(text);
    std::vector<std::string> found;
    for (const json::Span& span : spans) found.push_back(text.substr(span.begin, span.end - span.begin));
    CHECK(found ==
          std::vector<std::string>{text.substr(3), "[1.5e3, \"]\\\"\", {}]", "1.5e3", "\"]\\\"\"", "{}", "true"});
    CHECK(text.substr(spans[1].key_begin, 3) == "\"a\"");
    CHECK(spans[2].key_begin == 0);
    CHECK(text.substr(spans[5].key_begin, 3) == "\"b\"");
}

TEST_CASE("tokens end where those of the parser end") {
    CHECK(tokens_of("[01,-2.5E+1-3,truefalse,1.x]") ==
          std::vector<std::string>{"[", "0", "1", "-2.5E+1", "-3", "true", "false", "1.", "x", "]"});
    CHECK(tokens_of(" , : ").empty());
    CHECK(tokens_of("\"abc\\") == std::vector<std::string>{"\"abc\\"});
    CHECK(json::locate("]1").empty());
}
