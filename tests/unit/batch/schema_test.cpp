// rules/schema/result.schema.json against what the program prints.
#include <algorithm>
#include <nlohmann/json.hpp>
#include <sstream>

#include "cli/app.hpp"
#include "cli/context.hpp"
#include "frostread/present.hpp"
#include "support/catch.hpp"
#include "support/golden.hpp"
#include "support/paths.hpp"
#include "unit/batch/collect.hpp"

using namespace frostread;
using namespace frostread::test;
using nlohmann::json;

namespace {

bool has_type(const json& value, const std::string& type) {
    return type == "object"   ? value.is_object()
           : type == "array"  ? value.is_array()
           : type == "string" ? value.is_string()
           : type == "number" ? value.is_number()
           : type == "null"   ? value.is_null()
                              : type == "boolean" && value.is_boolean();
}

/// The first way in which `value` breaks the part of JSON Schema that our schema uses; "" when it does not. Also a
/// key that the schema does not name: every key of ours stands in it.
std::string broken(const json& schema, const json& value, const std::string& at = "") {
    for (const auto& [word, demand] : schema.items()) {
        if (word == "type") {
            bool fits = false;
            for (const json& type : demand.is_array() ? demand : json::array({demand}))
                fits = fits || has_type(value, type.get<std::string>());
            if (!fits) return at + " is no " + demand.dump();
        } else if (word == "required") {
            for (const json& key : demand)
                if (value.is_object() && !value.contains(key.get<std::string>())) return at + " lacks " + key.dump();
        } else if (word == "properties") {
            if (!value.is_object()) continue;
            for (const auto& [key, inner] : value.items()) {
                if (!demand.contains(key)) return at + " has the unnamed key " + key;
                if (std::string why = broken(demand[key], inner, at + "/" + key); !why.empty()) return why;
            }
        } else if (word == "additionalProperties") {
            for (const auto& [key, inner] : value.items())
                if (std::string why = broken(demand, inner, at + "/" + key); !why.empty()) return why;
        } else if (word == "items") {
            for (std::size_t i = 0; value.is_array() && i < value.size(); ++i)
                if (std::string why = broken(demand, value[i], at + "/" + std::to_string(i)); !why.empty()) return why;
        } else if (word == "oneOf") {
            std::size_t fit = 0;
            for (const json& one : demand) fit += broken(one, value, at).empty() ? 1U : 0U;
            if (fit != 1) return at + " fits " + std::to_string(fit) + " of the shapes";
        } else if (word == "not") {
            if (broken(demand, value, at).empty()) return at + " is what it must not be";
        } else if (word == "enum") {
            if (std::find(demand.begin(), demand.end(), value) == demand.end()) return at + " is none of the words";
        } else if (word == "const") {
            if (value != demand) return at + " is not " + demand.dump();
        } else if (word == "minimum" || word == "maximum") {
            if (word == "minimum" ? value < demand : value > demand) return at + " is out of range";
        } else if (word != "$schema" && word != "title" && word != "description") {
            return "the schema uses " + word + ", which this test does not know";
        }
    }
    return "";
}

json result_schema() {
    return json::parse(golden::read(source_dir() + "/rules/schema/result.schema.json"));
}

}  // namespace

TEST_CASE("schema of results: lines of a batch, with and without a next step, and errors") {
    const json schema = result_schema();
    std::vector<std::string> cases;
    for (const std::uint64_t number : {0U, 2U, 10U, 60U}) {
        Case drawn = draw_closed_case(household(), 5, number, 20);
        cases.push_back(write_case(drawn, -1));
        drawn.closed.reset();
        cases.push_back(write_case(drawn, -1));
    }
    cases.emplace_back("[1");
    cases.emplace_back(R"({"frostread":1,"case":"x","readings":[{"check":"zzz","value":"a"}]})");
    BatchOptions options = ranking_only();
    options.next = true;
    for (const BatchEntry& entry : run(cases, options).entries) CHECK(broken(schema, json::parse(entry.line)) == "");
    options.all_faults = true;
    for (const BatchEntry& entry : run({cases[0]}, options).entries)
        CHECK(broken(schema, json::parse(entry.line)) == "");
}

TEST_CASE("schema of results: the document of diagnose, and nothing that lacks a key") {
    const json schema = result_schema();
    std::istringstream in;
    std::ostringstream out, err;
    cli::Context context{
        .in = in, .out = out, .err = err, .out_style = {}, .err_style = {}, .now = {}, .environment = {}};
    REQUIRE(cli::run({"diagnose", "-r", "freezer-temp=-9C", "-r", "freezer-fan=blows", "--json"}, context) == 0);
    const json document = json::parse(out.str());
    CHECK(broken(schema, document) == "");
    for (const auto& [key, value] : document.items()) {
        json less = document;
        less.erase(key);
        CAPTURE(key);
        CHECK(broken(schema, less) != "");
    }
    json wrong = document;
    wrong["next"]["action"] = "dance";
    CHECK(broken(schema, wrong) != "");
    wrong = document;
    wrong["error"] = {{"where", "a"}, {"what", "b"}, {"id", "c"}, {"pointer", ""}};
    wrong.erase("faults");
    CHECK(broken(schema, wrong) != "");
}
