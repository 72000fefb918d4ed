#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <unordered_map>
#include <vector>

#include "batch/case_runner.hpp"
#include "batch/line_buffer.hpp"

/// Writes the line of a case without a next step straight from the posterior. Everything that does not
/// depend on the case is prepared once. The text is that of the general writer (result_line); tests hold
/// one against the other.
namespace frostread::batch {

class LineWriter {
public:
    LineWriter(std::shared_ptr<const CompiledLibrary> library, const BatchOptions& options);

    /// Requires: diagnosed.decision is null; options.all_faults is false; the posterior lists at least the
    /// kListedSets likeliest sets, or all that there are.
    void append(std::string& out, const Diagnosed& diagnosed);

    static constexpr std::size_t kListedSets = 10;

private:
    struct FaultText {
        std::string head;                 ///< ,{"fault":…,"probability":
        std::vector<std::string> grades;  ///< ,"grades":{"slight":  then  ,"marked":
        std::vector<std::size_t> cautions;
    };
    void rank(const Diagnosed& diagnosed);
    void put_in_order(const std::vector<double>& probability);
    void append_cautions(const Diagnosed& diagnosed);
    void append_faults(const Diagnosed& diagnosed);
    void append_why(const Diagnosed& diagnosed, FaultIndex fault);
    void append_value(const Check& check, const Finding& finding, const Reading& reading);
    void append_sets(const Diagnosed& diagnosed);
    void append_doubtful(const Diagnosed& diagnosed);
    void append_warnings(const Diagnosed& diagnosed);
    [[nodiscard]] std::string conclusion(const Diagnosed& diagnosed) const;

    std::shared_ptr<const CompiledLibrary> library_;
    const BatchOptions& options_;
    LineBuffer line_;
    std::string head_, library_text_, overlay_warnings_;
    std::vector<std::string> checks_;  ///< ,{"check":"fridge-temp","value":
    std::vector<FaultText> faults_;
    std::vector<std::string> alternatives_;                   ///< "refrigerant-low:slight" with quotes
    std::vector<std::size_t> caution_order_;                  ///< most dangerous first
    std::vector<std::string> caution_text_;                   ///< by index in the library
    std::unordered_map<std::string, std::string> sentences_;  ///< notes that were seen before, as JSON strings
    std::vector<FaultIndex> ranked_, ordered_;                ///< of this case
    std::vector<double> probabilities_;
    std::vector<std::uint32_t> places_;
    std::vector<std::uint8_t> marked_;
};

}  // namespace frostread::batch
