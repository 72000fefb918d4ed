#pragma once

#include <string>

#include "frostread/case.hpp"

/// Readings as a test says them.
namespace frostread::test {

[[nodiscard]] inline Reading look(const std::string& check, const std::string& outcome) {
    Reading reading;
    reading.check = check;
    reading.outcomes = {outcome};
    return reading;
}

[[nodiscard]] inline Reading gauge(const std::string& check, double value) {
    Reading reading;
    reading.check = check;
    reading.value = value;
    return reading;
}

}  // namespace frostread::test
