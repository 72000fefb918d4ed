#include <fstream>
#include <sstream>

#include "frostread/bench_calc.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

using namespace frostread;

namespace {

std::string page() {
    std::ifstream file(frostread::test::source_dir() + "/docs/bench-calc.md");
    REQUIRE(file);
    std::ostringstream text;
    text << file.rdbuf();
    return text.str();
}

/// The line that begins with "| name |", or "".
std::string row_of(const std::string& text, const std::string& name) {
    const auto at = text.find("\n| " + name + " |");
    return at == std::string::npos ? "" : text.substr(at + 1, text.find('\n', at + 1) - at - 1);
}

}  // namespace

TEST_CASE("The manual page gives every calculator with its formula") {
    const std::string text = page();
    for (const auto& calculator : calculators()) {
        INFO(calculator.name);
        const std::string row = row_of(text, std::string(calculator.name));
        REQUIRE_FALSE(row.empty());
        CHECK(row.find(calculator.formula) != std::string::npos);
        if (calculator.name != "superheat" && calculator.name != "subcooling" && calculator.name != "standing" &&
            calculator.name != "saturation") {
            CHECK(row.find(calculator.source) != std::string::npos);
            CHECK(row.find(calculator.range) != std::string::npos);
        }
    }
}

TEST_CASE("The manual page gives every refrigerant with its error and source") {
    const std::string text = page();
    for (const auto& fluid : refrigerants()) {
        INFO(fluid.id);
        const std::string row = row_of(text, std::string(fluid.id));
        REQUIRE_FALSE(row.empty());
        std::ostringstream percent;
        percent << "| " << fluid.error_percent << " % |";
        std::ostringstream kelvin;
        kelvin << "| " << 1000.0 * fluid.error_k << " mK |";
        CHECK(row.find(percent.str()) != std::string::npos);
        CHECK(row.find(kelvin.str()) != std::string::npos);
        CHECK(row.find(fluid.source) != std::string::npos);
        CHECK(row.find("| " + std::string(fluid.safety_class) + " |") != std::string::npos);
    }
}

TEST_CASE("The manual page says into which checks a verdict goes") {
    const std::string text = page();
    const auto table = text.find("| calculator | reading |");
    REQUIRE(table != std::string::npos);
    const std::string part = text.substr(table, text.find("\n\n", table) - table);
    for (const auto& calculator : calculators()) {
        std::istringstream checks{std::string(calculator.checks)};
        for (std::string check; checks >> check;) {
            INFO(check);
            CHECK(part.find(check) != std::string::npos);
        }
    }
}
