#include "engine/order_by_count.hpp"

#include <algorithm>
#include <numeric>
#include <random>
#include <vector>

#include "support/catch.hpp"

using namespace frostread;

TEST_CASE("places by count are those of a stable sort, largest first") {
    std::mt19937_64 random(3);
    for (std::size_t count = 0; count < 70; ++count) {
        std::vector<double> numbers(count);
        for (double& number : numbers) number = static_cast<double>(random() % (count + 1)) / 7.0;  // with equals
        std::vector<std::uint32_t> places(count, 99), order(count);
        places_by_count(numbers.data(), count, places.data());
        std::iota(order.begin(), order.end(), 0U);
        std::stable_sort(order.begin(), order.end(),
                         [&](std::uint32_t a, std::uint32_t b) { return numbers[a] > numbers[b]; });
        std::size_t wrong = 0;
        for (std::uint32_t place = 0; place < count; ++place) wrong += places[order[place]] != place ? 1U : 0U;
        CHECK(wrong == 0);
    }
}
