#pragma once

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "frostread/library.hpp"

/// A case: a unit, its readings in order and, once closed, what was really found. Values are already
/// checked against a library: ids exist, quantities are in the check's own unit and in range.
namespace frostread {

/// What is stated of the unit. Words are trait value ids; numbers are in the trait's unit.
struct UnitTraits {
    std::map<std::string, std::string> words;
    std::map<std::string, double> numbers;
};

/// The result of one check. Exactly one of: `outcomes` (look 1, several 1..n, banded 1),
/// `value`, `skipped`.
struct Reading {
    std::string check;
    std::vector<std::string> outcomes;
    std::optional<double> value;         ///< banded and gauge: canonical number in the check's unit
    std::optional<std::string> skipped;  ///< why it was not done
    std::string typed;                   ///< as the person wrote it, with its unit
    std::string at;                      ///< ISO 8601, may be empty
    std::string note;
    std::string origin;  ///< instrument or file it came from; may be empty
    bool sure = true;
    std::map<std::string, bool> after;  ///< condition id -> known to hold (true) or not to hold (false)
    std::string unknown;                ///< members this version does not know, as one JSON object text; "" when none
};

struct Closed {
    std::vector<std::string> found;  ///< fault ids, "fault:grade" allowed; empty: nothing was wrong
    std::string remedy;
    std::string at;
    std::string note;
    std::vector<Reading> proof;
    std::string unknown;
};

/// What a session keeps besides readings, so that it can go on where it was.
struct JobRecord {
    std::vector<std::string> open_areas;
    std::string power;                ///< "", "on", "off"
    std::vector<std::string> cannot;  ///< words of match_missing: "meter", a tool, or a check id
    std::string may;                  ///< "", "anyone", "technician", "licensed": the highest work the person may do
    std::string units;                ///< "", "si", "us": what a bare number means
    std::string unknown;
};

struct Case {
    std::string id;
    UnitTraits unit;
    std::vector<Reading> readings;
    std::vector<Reading> withdrawn;  ///< taken back by the person: history, never evidence
    std::string note;
    JobRecord job;
    std::optional<Closed> closed;
    std::string unknown;       ///< unknown members of the document, as one JSON object text
    std::string unit_unknown;  ///< unknown members of "unit"
};

/// Index of the reading that counts for `check` (the latest that is not skipped), or none.
[[nodiscard]] std::optional<std::size_t> latest_reading(const Case& the_case, std::string_view check);

}  // namespace frostread
