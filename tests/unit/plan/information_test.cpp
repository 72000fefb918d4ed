#include <cmath>

#include "plan/candidates.hpp"
#include "support/catch.hpp"

using namespace frostread;
using namespace frostread::plan;

namespace {

/// `n` hypotheses, each with a remedy of its own.
Belief even_belief(std::size_t n) {
    Belief belief;
    for (std::size_t i = 0; i < n; ++i) {
        belief.sets.push_back({HypothesisKind::faults, 1, {static_cast<std::uint16_t>(i)}});
        belief.weight.push_back(1.0 / static_cast<double>(n));
        belief.remedies.push_back({});
        Group group;
        group.first = static_cast<std::uint32_t>(i);
        group.last = group.first + 1;
        group.kind = HypothesisKind::faults;
        group.count = 1;
        group.remedies[0] = static_cast<RemedyIndex>(i);
        group.remedy_class = static_cast<std::uint32_t>(i);
        belief.groups.push_back(group);
    }
    return belief;
}

/// `on_a_side` balls against as many out of twelve: hypothesis 2 b is ball b heavy, 2 b + 1 light.
AnswerRows weighing(std::size_t on_a_side) {
    AnswerRows rows{3, 24, std::vector<double>(3 * 24, 0.0)};
    for (std::size_t ball = 0; ball < 12; ++ball)
        for (std::size_t light = 0; light < 2; ++light) {
            std::size_t answer = 2;  // balance
            if (ball < on_a_side)
                answer = light;
            else if (ball < 2 * on_a_side)
                answer = 1 - light;
            rows.row(answer)[2 * ball + light] = 1.0;
        }
    return rows;
}

}  // namespace

// Recalled: MacKay, Information Theory, Inference and Learning Algorithms, chapter 4.
TEST_CASE("information: the weighings of the twelve balls") {
    const Belief belief = even_belief(24);
    CHECK(entropy_bits(belief.weight, 1.0) == Approx(4.585).margin(5e-4));
    CHECK(expected_bits(belief, belief.weight, weighing(6)) == Approx(1.0));
    CHECK(expected_bits(belief, belief.weight, weighing(5)) == Approx(1.483356).margin(5e-7));
    CHECK(expected_bits(belief, belief.weight, weighing(4)) == Approx(1.584963).margin(5e-7));
    CHECK(expected_bits(belief, belief.weight, weighing(1)) == Approx(0.816689).margin(5e-7));
}

TEST_CASE("information: the submarine always comes to six bits") {
    // Recalled, same source: 64 squares, each miss tells log2(n / (n - 1)).
    double bits = 0.0;
    for (std::size_t left = 64; left > 32; --left) {
        const std::vector<double> before(left, 1.0), after(left - 1, 1.0);
        bits += entropy_bits(before, static_cast<double>(left)) - entropy_bits(after, static_cast<double>(left - 1));
        if (left == 64) CHECK(bits == Approx(0.0227).margin(5e-5));
    }
    CHECK(bits == Approx(1.0));
    CHECK(bits + entropy_bits(std::vector<double>(32, 1.0), 32.0) == Approx(6.0));
}

TEST_CASE("information: faults with one remedy need not be told apart") {
    Belief belief = even_belief(2);
    AnswerRows rows{2, 2, {0.9, 0.1, 0.1, 0.9}};
    CHECK(expected_bits(belief, belief.weight, rows) == Approx(0.531004).margin(1e-6));  // 1 - H(0.1)
    for (Group& group : belief.groups) group.remedy_class = 0;
    CHECK(expected_bits(belief, belief.weight, rows) == Approx(0.0).margin(1e-12));
}
