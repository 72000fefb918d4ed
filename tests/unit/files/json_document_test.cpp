#include "files/json_document.hpp"

#include <cmath>
#include <nlohmann/json.hpp>
#include <random>
#include <string>

#include "support/builders.hpp"
#include "support/catch.hpp"

using namespace frostread;
using json::Document;
using json::Kind;
using json::Value;

namespace {

std::string refusal(const std::string& text, const json::Limits& limits = {}) {
    Document document(text);
    Diagnostics diagnostics;
    CHECK_FALSE(document.parse("t.json", diagnostics, limits));
    return test::to_lines(diagnostics);
}

/// The same value in the tree of the library that parses.
bool same(const Value& ours, const nlohmann::json& theirs) {
    switch (ours.kind()) {
        case Kind::null:
            return theirs.is_null();
        case Kind::boolean:
            return theirs.is_boolean() && theirs.get<bool>() == ours.boolean();
        case Kind::number:
            return theirs.is_number() && theirs.get<double>() == ours.number();
        case Kind::string:
            return theirs.is_string() && theirs.get<std::string>() == ours.string();
        case Kind::array: {
            if (!theirs.is_array() || theirs.size() != ours.size()) return false;
            std::size_t i = 0;
            for (const Value element : ours) {
                if (!same(element, theirs[i++])) return false;
            }
            return true;
        }
        case Kind::object: {
            if (!theirs.is_object() || theirs.size() != ours.size()) return false;
            for (const Value member : ours) {
                const auto found = theirs.find(std::string(member.key()));
                if (found == theirs.end() || !same(member, *found)) return false;
            }
            return true;
        }
    }
    return false;
}

}  // namespace

TEST_CASE("every value knows its text, its offset and its pointer") {
    const std::string text = R"({ "a": [1, {"b~/c": "x\u00e9\ud83e\uddca"}], "d": null })";
    Document document(text);
    Diagnostics diagnostics;
    REQUIRE(document.parse("t.json", diagnostics));
    const Value a = *document.root().find("a");
    CHECK(a.raw() == R"([1, {"b~/c": "x\u00e9\ud83e\uddca"}])");
    CHECK(a.size() == 2);
    CHECK(a.pointer() == "/a");
    Value last = a;
    for (const Value element : a) last = element;
    const Value inner = *last.find("b~/c");
    CHECK(inner.pointer() == "/a/1/b~0~1c");
    CHECK(inner.string() == "xé🧊");
    CHECK(text.substr(inner.offset(), 2) == "\"x");
    CHECK(text.substr(inner.key_offset(), 3) == "\"b~");
    CHECK(document.root().pointer().empty());
    CHECK_FALSE(document.root().find("e"));
}

TEST_CASE("syntax errors name line, column, what was found and what belongs there") {
    CHECK(refusal("") == "error t.json:1:1  bad-json: the end of the text stands where it cannot | a value | \n");
    CHECK(
        refusal("{\n  \"a\": 1,\n}") ==
        "error t.json:3:1  bad-json: '}' stands where it cannot | a key in double quotes | a comma before the closing "
        "bracket has to go\n");
    CHECK(
        refusal("[1,]") ==
        "error t.json:1:4  bad-json: ']' stands where it cannot | a value | a comma before the closing bracket has to "
        "go\n");
    CHECK(refusal("[1 2]") == "error t.json:1:4  bad-json: '2' stands where it cannot | a comma or ] | \n");
    CHECK(refusal("{\"a\" 1}") ==
          "error t.json:1:6  bad-json: '1' stands where it cannot | a colon after the key | \n");
    CHECK(refusal("{a: 1}") == "error t.json:1:2  bad-json: 'a' stands where it cannot | a key in double quotes | \n");
    CHECK(refusal("'a'") ==
          "error t.json:1:1  bad-json: ''' stands where it cannot | a value | texts stand in double "
          "quotes\n");
    CHECK(refusal("// x\n1") ==
          "error t.json:1:1  bad-json: '/' stands where it cannot | a value | JSON has no comments\n");
    CHECK(refusal("NaN") == "error t.json:1:1  bad-json: 'NaN' stands where it cannot | a value | \n");
    CHECK(refusal("01") ==
          "error t.json:1:1  bad-json: '01' stands where it cannot | a number | a number has no leading zeros\n");
    CHECK(refusal("1.") ==
          "error t.json:1:3  bad-json: the end of the text stands where it cannot | a digit after the point | \n");
    CHECK(refusal("\"abc\n\"") ==
          "error t.json:1:1  bad-json: this text has no closing quote | \" before the end of the line | a line break "
          "inside a text is written \\n\n");
    CHECK(refusal("[\n [1") == "error t.json:2:2  bad-json: this [ is never closed | ] | \n");
    CHECK(refusal("{\"a\": 1") == "error t.json:1:1  bad-json: this { is never closed | } | \n");
    CHECK(refusal("\"\\x\"") ==
          "error t.json:1:2  bad-json: '\\' stands where it cannot | an escape such as \\n, \\\" or \\\\ | a plain "
          "backslash is written \\\\\n");
    CHECK(refusal("\"\\ud800\"") ==
          "error t.json:1:2  bad-json: '\\' stands where it cannot | a whole surrogate pair | \n");
    CHECK(refusal("1 1") == "error t.json:1:3  bad-json: '1' stands where it cannot | nothing after the document | \n");
    CHECK(refusal("\"\xff\"") == "error t.json:1:2  bad-utf8: byte 0xff is not valid UTF-8 | a text in UTF-8 | \n");
}

TEST_CASE("keys given twice are all named") {
    CHECK(refusal("{ \"a\": 1, \"b\": 2, \"a\": 3,\n \"\\u0062\": 4 }") ==
          "error t.json:1:19  key-twice: the key \"a\" is given twice | each key once | \n"
          "error t.json:2:2  key-twice: the key \"b\" is given twice | each key once | \n");
    std::string many = "{";
    for (int i = 0; i < 40; ++i) many += "\"k" + std::to_string(i) + "\": 1,";
    CHECK(refusal(many + "\"k7\": 2}").find("the key \"k7\" is given twice") != std::string::npos);
}

TEST_CASE("size and depth have limits") {
    CHECK(refusal(std::string(65, '[') + std::string(65, ']')) ==
          "error t.json:1:65  too-deep: brackets are nested more than 64 deep |  | \n");
    CHECK(refusal("[1, 2, 3]", {8, 64}) == "error t.json:1:1  too-large: the text is larger than 8 bytes |  | \n");
    const std::string deep = std::string(64, '[') + std::string(64, ']');
    Document document(deep);
    Diagnostics diagnostics;
    CHECK(document.parse("t.json", diagnostics));
}

TEST_CASE("numbers beyond a double are infinite or nothing, and keep their text") {
    Document document("[1e400, -1e400, 1e-400, 12345678901234567890]");
    Diagnostics diagnostics;
    REQUIRE(document.parse("t.json", diagnostics));
    std::vector<Value> all;
    for (const Value element : document.root()) all.push_back(element);
    CHECK(std::isinf(all[0].number()));
    CHECK(all[1].number() < 0);
    CHECK(std::abs(all[2].number()) < 1e-300);
    CHECK(all[3].raw() == "12345678901234567890");
    CHECK(all[0].raw() == "1e400");
}

TEST_CASE("a number beyond a double does not hide a fault behind it") {
    CHECK(refusal("[1e400, 1-1e400]") == "error t.json:1:10  bad-json: '-' stands where it cannot | a comma or ] | \n");
    CHECK(refusal("[1e400, 1.5e]") ==
          "error t.json:1:13  bad-json: ']' stands where it cannot | a digit of the exponent | \n");
}

TEST_CASE("a NUL byte is a fault, not the end of the text") {
    const std::string nul(1, '\0');
    CHECK(refusal("1" + nul + "2") ==
          "error t.json:1:2  bad-json: the control character 0x00 stands where it cannot | nothing after the document "
          "| \n");
    CHECK(refusal("[" + nul) ==
          "error t.json:1:2  bad-json: the control character 0x00 stands where it cannot | a value | \n");
}

TEST_CASE("the tree agrees with the tree of the library that parses") {
    // Random edits of a text with every construct, from a fixed seed.
    const std::string seed_text =
        R"({"a":[1,-2.5e-3,0,true,false,null,"x\n\u00e9\\\"/"],"b":{"c":{},"d":[]},"é":"°F","n":1E+2, "t" : [ 1 , 2 ] })";
    const std::string bytes = "{}[]:,\"\\eE+-.0123456789truefalsn ul\xc3\xa9\x01";
    std::mt19937 random(20310417);
    std::size_t accepted = 0;
    std::size_t refused = 0;
    for (int round = 0; round < 20000; ++round) {
        std::string text = seed_text;
        const std::size_t edits = random() % 4;
        for (std::size_t i = 0; i < edits && !text.empty(); ++i) {
            const std::size_t at = random() % text.size();
            switch (random() % 3) {
                case 0:
                    text[at] = bytes[random() % bytes.size()];
                    break;
                case 1:
                    text.erase(at, 1 + random() % 3);
                    break;
                default:
                    text.insert(at, 1, bytes[random() % bytes.size()]);
            }
        }
        Document document(text);
        Diagnostics diagnostics;
        const bool ours = document.parse("t.json", diagnostics);
        const bool twice = !diagnostics.empty() && diagnostics.front().id == "key-twice";
        const nlohmann::json theirs = nlohmann::json::parse(text, nullptr, false);
        CAPTURE(text);
        // Its own tree lets the last of two equal keys win; ours refuses them.
        if (twice) continue;
        REQUIRE(ours == !theirs.is_discarded());
        if (ours) {
            REQUIRE(same(document.root(), theirs));
            ++accepted;
        } else {
            ++refused;
        }
    }
    CHECK(accepted > 5000);
    CHECK(refused > 5000);
}

TEST_CASE("texts and keys full of quotes and backslashes come out as they were meant") {
    // Where escapes were resolved, a text no longer stands in the document as it reads.
    const std::string alphabet = "\\\\\\\"\"a/\n";
    std::mt19937 random(20310418);
    const auto word = [&] {
        std::string made;
        for (std::size_t left = random() % 6; left > 0; --left) made += alphabet[random() % alphabet.size()];
        return made;
    };
    for (int round = 0; round < 2000; ++round) {
        nlohmann::json written = nlohmann::json::object();
        for (int i = 0; i < 5; ++i) written[word()] = nlohmann::json::array({word(), i, {{word(), word()}}});
        const std::string text = written.dump(round % 3 - 1);
        CAPTURE(text);
        Document document(text);
        Diagnostics diagnostics;
        REQUIRE(document.parse("t.json", diagnostics));
        REQUIRE(same(document.root(), written));
    }
}
