#pragma once

#include <cstddef>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <unordered_map>
#include <unordered_set>
#include <vector>

#include "batch/whole_readings.hpp"
#include "frostread/case.hpp"
#include "frostread/compiled_library.hpp"

/// Reads the usual case, written the usual way, straight into readings: one pass, no tree, and every value
/// that was seen before is looked up instead of understood again. Anything out of the ordinary (an escape,
/// an alias, an unknown key, anything wrong) is left to read_case, so that answers and errors are its own.
namespace frostread::batch {

class FastReader {
public:
    explicit FastReader(const CompiledLibrary& library);

    /// True: `out` is what read_case gives for this text, without a diagnostic. False: use read_case; `out`
    /// holds nothing of use.
    [[nodiscard]] bool read(std::string_view text, Case& out);
    /// Which check each reading of the latest case is of. Valid after a read that succeeded.
    [[nodiscard]] std::span<const CheckIndex> checks() const { return checks_of_case_; }

private:
    struct Hash {
        using is_transparent = void;
        std::size_t operator()(std::string_view s) const { return std::hash<std::string_view>{}(s); }
    };
    template <class T>
    using Table = std::unordered_map<std::string, T, Hash, std::equal_to<>>;

    /// A value as read_case understands it.
    struct Meaning {
        std::vector<std::string> outcomes;
        std::optional<double> value;
        std::string typed;
    };
    struct KnownCheck {
        const Check* check = nullptr;
        CheckIndex index = 0;
        Table<Meaning> values;
    };
    struct TraitMeaning {
        std::optional<double> number;
        std::string word;
    };
    struct KnownTrait {
        const Trait* trait = nullptr;
        Table<TraitMeaning> values;
    };

    // Tokens. Each returns false for anything unusual.
    void skip_space();
    bool take(char c);
    bool key(std::string_view& out);
    bool plain_string(std::string_view& out);
    bool plain_boolean(bool& out);
    bool raw_value(std::string_view& out);

    bool read_unit(UnitTraits& unit);
    bool read_readings(std::vector<Reading>& readings);
    bool read_reading(Reading& reading);
    bool recall_reading(Reading& reading);
    bool read_after(Reading& reading);
    bool read_closed(Closed& closed);
    const Meaning* meaning_of(KnownCheck& known, std::string_view raw);
    const TraitMeaning* meaning_of(KnownTrait& known, std::string_view raw);

    const Library& library_;
    Table<KnownCheck> checks_;
    Table<KnownTrait> traits_;
    WholeReadings whole_;
    std::vector<CheckIndex> checks_of_case_;
    std::unordered_set<std::string> conditions_;
    std::unordered_set<std::string> faults_;  ///< "fault" and "fault:grade"
    std::string_view text_;
    std::size_t at_ = 0;
};

}  // namespace frostread::batch
