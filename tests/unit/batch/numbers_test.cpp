// Numbers and texts of a result line are those of the general JSON writer.
#include <cmath>
#include <nlohmann/json.hpp>
#include <random>

#include "batch/json_numbers.hpp"
#include "support/catch.hpp"

using namespace frostread::batch;

namespace {

std::string ours(double value, int places) {
    std::string out;
    append_rounded(out, value, places);
    return out;
}

std::string general(double value, int places) {
    const double scale = std::pow(10.0, places);
    const double rounded = std::round(value * scale) / scale;
    return nlohmann::json(rounded == 0.0 ? 0.0 : rounded).dump();
}

}  // namespace

TEST_CASE("batch numbers: corners") {
    const auto [value, places, text] = GENERATE(table<double, int, std::string>({{0.0, 9, "0.0"},
                                                                                 {-0.0001, 3, "0.0"},
                                                                                 {1.0, 9, "1.0"},
                                                                                 {0.5, 9, "0.5"},
                                                                                 {-0.2854, 3, "-0.285"},
                                                                                 {120.0, 3, "120.0"},
                                                                                 {1.2e-5, 9, "1.2e-05"},
                                                                                 {1e-9, 9, "1e-09"},
                                                                                 {0.0001, 9, "0.0001"}}));
    CHECK(ours(value, places) == text);
    CHECK(general(value, places) == text);
}

TEST_CASE("batch numbers: the same text as the general writer") {
    std::mt19937_64 random(11);
    std::uniform_real_distribution<double> exponent(-12.0, 0.0), amount(-300.0, 300.0);
    std::size_t different = 0;
    for (int i = 0; i < 20000; ++i) {
        const double p = std::pow(10.0, exponent(random)), db = amount(random);
        different += ours(p, 9) != general(p, 9) ? 1U : 0U;
        different += ours(db, 3) != general(db, 3) ? 1U : 0U;
    }
    CHECK(different == 0);
}

TEST_CASE("batch numbers: every kind of decimal is the general writer's, also where that is not the shortest") {
    std::mt19937_64 random(12);
    std::size_t different = 0, long_ones = 0;
    const auto compare = [&](double value, int places) {
        const std::string text = ours(value, places);
        different += text != general(value, places) ? 1U : 0U;
        long_ones += text.size() > 14 ? 1U : 0U;
    };
    for (std::uint64_t i = 0; i < 3000; ++i) {
        compare(static_cast<double>(i) / 1e9, 9);
        compare(1.0 - static_cast<double>(i) / 1e9, 9);
        compare((static_cast<double>(i) - 1500.0) / 1e3, 3);
        compare(static_cast<double>(i) + 0.0005, 3);
        compare(static_cast<double>(i) * 1e11, 3);
    }
    for (int i = 0; i < 300000; ++i) {
        const std::uint64_t units = random() % 1000000000U >> random() % 30U;
        compare(static_cast<double>(units) / 1e9, 9);
        compare((static_cast<double>(units) - 5e8) / 1e3, 3);
    }
    CHECK(different == 0);
    CHECK(long_ones > 0);
}

TEST_CASE("batch numbers: texts are escaped like the general writer's") {
    for (const std::string text : {"plain", "a \"quote\" and \\", "tab\tnewline\n",
                                   "-17.4 \xc2\xb0"
                                   "C",
                                   "bad \xff byte", "cut \xe2\x82",
                                   "K\xc3\xbc"
                                   "che\n",
                                   "\xed\xa0\x80", "\x7f", ""}) {
        std::string out;
        append_quoted(out, text);
        CHECK(out == nlohmann::json(text).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace));
    }
}
