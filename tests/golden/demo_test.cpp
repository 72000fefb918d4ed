#include <nlohmann/json.hpp>

#include "support/catch.hpp"
#include "support/golden.hpp"

using namespace frostread;

namespace {

nlohmann::json diagnose(const std::string& file) {
    const std::string folder = golden::fresh_folder("demo");
    const golden::Block came = golden::run({{}, "frostread diagnose --json demo/" + file, "", "", 0}, folder);
    INFO(came.err);
    REQUIRE(came.code == 0);
    return nlohmann::json::parse(came.out);
}

bool among(const nlohmann::json& cautions, const std::string& id) {
    for (const auto& caution : cautions) {
        if (caution.at("id") == id) {
            return true;
        }
    }
    return false;
}

}  // namespace

TEST_CASE("the built program names the low charge behind a short frost line", "[demo]") {
    const nlohmann::json result = diagnose("short-frost.json");
    CHECK(result.at("faults")[0].at("fault") == "refrigerant-low");
    CHECK(result.at("faults")[0].at("probability") > 0.5);
    // A small loss: the fresh-food compartment still holds.
    CHECK(result.at("faults")[0].at("grades").at("lost") < 0.05);
    CHECK(among(result.at("cautions"), "flammable-refrigerant"));
    CHECK(among(result.at("cautions"), "never-vent"));
    CHECK(among(result.at("cautions"), "licensed-only"));
}

TEST_CASE("the built program names the open heater behind an iced coil", "[demo]") {
    const nlohmann::json result = diagnose("iced-coil.json");
    CHECK(result.at("faults")[0].at("fault") == "defrost-heater-open");
    CHECK(result.at("faults")[0].at("probability") > 0.8);
}

TEST_CASE("the built program names both a matted condenser and a leaking gasket", "[demo]") {
    const nlohmann::json result = diagnose("dusty-condenser.json");
    std::vector<std::string> first = {result.at("faults")[0].at("fault"), result.at("faults")[1].at("fault")};
    std::sort(first.begin(), first.end());
    CHECK(first == std::vector<std::string>{"condenser-dirty", "gasket-leak"});
    CHECK(result.at("faults")[0].at("probability") > 0.5);
    CHECK(result.at("faults")[1].at("probability") > 0.5);
    // Two faults together are the likeliest set.
    CHECK(result.at("sets")[0].at("faults").size() == 2);
}
