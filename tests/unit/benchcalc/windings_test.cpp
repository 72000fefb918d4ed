#include "frostread/bench_calc.hpp"
#include "support/catch.hpp"

using namespace frostread;

namespace {
constexpr std::nullopt_t kOpen = std::nullopt;
}

TEST_CASE("Whichever pin is common, the readings find it") {
    // common-run 5, common-start 9, start-run 14, with the pins numbered in all six ways
    for (int common = 1; common <= 3; ++common) {
        for (int run = 1; run <= 3; ++run) {
            if (run == common) {
                continue;
            }
            const auto ohm = [&](int a, int b) {
                const bool has_common = a == common || b == common;
                const bool has_run = a == run || b == run;
                return has_common ? (has_run ? 5.0 : 9.0) : 14.0;
            };
            const auto judged = judge_windings({ohm(1, 2), ohm(1, 3), ohm(2, 3)});
            INFO("common " << common << ", run " << run);
            CHECK(judged.verdict == WindingVerdict::adds_up);
            CHECK(judged.common == common);
            CHECK(judged.run == run);
            CHECK(judged.start == 6 - common - run);
            CHECK(judged.common_run == Approx(5.0));
            CHECK(judged.common_start == Approx(9.0));
        }
    }
}

TEST_CASE("The sum may be off by half an ohm or a tenth, not more") {
    CHECK(judge_windings({2.0, 3.0, 5.7}).verdict == WindingVerdict::shorted_turns);  // 0.7 off, 0.57 allowed
    CHECK(judge_windings({2.0, 3.0, 5.4}).verdict == WindingVerdict::adds_up);
    CHECK(judge_windings({20.0, 30.0, 54.0}).verdict == WindingVerdict::adds_up);
    CHECK(judge_windings({20.0, 30.0, 60.0}).verdict == WindingVerdict::shorted_turns);
    CHECK(judge_windings({20.0, 30.0, 40.0}).verdict == WindingVerdict::shorted_turns);
}

TEST_CASE("A reading near zero is a short even when the sum holds") {
    CHECK(judge_windings({0.1, 6.0, 6.1}).verdict == WindingVerdict::shorted_turns);
    CHECK(judge_windings({0.0, 0.0, 0.0}).verdict == WindingVerdict::shorted_turns);
}

TEST_CASE("Three like readings are a variable-speed compressor") {
    CHECK(judge_windings({9.8, 10.0, 10.1}).verdict == WindingVerdict::equal);
    CHECK(judge_windings({9.8, 10.0, 10.1}).common == 0);
    CHECK(judge_windings({8.0, 10.0, 10.0}).verdict == WindingVerdict::shorted_turns);
}

TEST_CASE("Open windings are told apart only when the pins are known") {
    CHECK(judge_windings({7.0, kOpen, kOpen}).verdict == WindingVerdict::one_path_only);
    // pin 3 is common and the pair 1-2 is start to run
    CHECK(judge_windings({14.0, kOpen, kOpen}, 3, 1).verdict == WindingVerdict::common_open);
    CHECK(judge_windings({14.0, kOpen, kOpen}, 3).verdict == WindingVerdict::common_open);
    // pin 1 is common: 1-2 is the run winding or the start winding
    CHECK(judge_windings({5.0, kOpen, kOpen}, 1, 2).verdict == WindingVerdict::start_open);
    CHECK(judge_windings({9.0, kOpen, kOpen}, 1, 3).verdict == WindingVerdict::run_open);
    CHECK(judge_windings({9.0, kOpen, kOpen}, 1).verdict == WindingVerdict::one_path_only);
    CHECK(judge_windings({kOpen, kOpen, kOpen}).verdict == WindingVerdict::all_open);
}

TEST_CASE("Two paths without the third contradict each other") {
    CHECK(judge_windings({5.0, 9.0, kOpen}).verdict == WindingVerdict::contradictory);
    CHECK(judge_windings({kOpen, 9.0, 4.0}, 1, 2).verdict == WindingVerdict::contradictory);
}
