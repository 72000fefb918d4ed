#include "benchcalc/calculators.hpp"
#include "benchcalc/cautions.hpp"
#include "benchcalc/figures.hpp"

namespace frostread {
namespace {

// Household limit for a flammable charge, per circuit: UL 60335-2-24 2nd edition; IEC 60335-2-24 (from memory).
constexpr double kHouseholdLimit = 150.0;  // g
constexpr double kFormerUsLimit = 57.0;    // g, United States before that edition

struct LossRow {
    double up_to;  ///< share lost, %
    const char* verdict;
    const char* words;
};

// Rule of thumb, common practice: one ounce out of a domestic charge of 4 to 6 (17 to 25 %) is noticed.
constexpr LossRow kLosses[] = {
    {5.0, "none", "Within what filling by weight leaves open (5 %)."},
    {15.0, "slight", "Small: seldom noticed, longer running at most."},
    {30.0, "noticed",
     "Noticed: the freezer warms first while the fresh food may still hold; frost on the first passes only."},
    {60.0, "marked", "Large: neither compartment holds, the compressor hardly stops."},
    {101.0, "lost", "Nearly all: next to no cooling."},
};

}  // namespace

Result<CalcResult> run_charge(const CalcInputs& inputs) {
    const auto units = inputs.units();
    const Refrigerant& fluid = *find_refrigerant(inputs.word("refrigerant"));
    const double rated = inputs.number("rated");
    if (inputs.has("present") && inputs.has("lost")) {
        return calc_error("inputs-conflict", "--present and --lost are both given", "one of them, or neither");
    }
    CalcResult result;
    result.subject = std::string(fluid.id);
    result.cautions = pressure_cautions(fluid);
    result.given.push_back(figure("rated", "rated charge", rated, Dimension::mass, units));
    if (inputs.has("present") || inputs.has("lost")) {
        const double lost = inputs.has("lost") ? inputs.number("lost") : rated - inputs.number("present");
        if (lost > rated) {
            return calc_error("inputs-conflict", "more is lost than was in it",
                              "a loss no greater than the rated charge");
        }
        if (inputs.has("present")) {
            result.given.push_back(figure("present", "found in it", inputs.number("present"), Dimension::mass, units));
        }
        const double share = 100.0 * lost / rated;
        result.figures.push_back(figure("lost", "lost", lost, Dimension::mass, units));
        result.figures.push_back(figure("share_lost", "share lost", share, Dimension::percent, units));
        if (share < -5.0) {
            result.verdict = "overcharged";
            result.verdict_words = "More than the plate says: overcharged.";
        } else {
            for (const auto& row : kLosses) {
                if (share <= row.up_to) {
                    result.verdict = row.verdict;
                    result.verdict_words = row.words;
                    break;
                }
            }
        }
        if (share > 5.0 && share <= 60.0) {
            // 3 to 5 % of capacity for each 10 % of charge missing: a reference text on capillary tubes.
            result.figures.push_back(
                word_figure("capacity_lost", "capacity lost",
                            plain_text(0.3 * share, 0) + " to " + plain_text(0.5 * share, 0) + " %"));
        }
        result.notes.push_back(
            "What stays dissolved in the oil is not weighed; a recovery finds a little less than was in it.");
    }
    if (fluid.safety_class == "A3") {
        const bool over = rated > kHouseholdLimit;
        result.figures.push_back(figure("flammable_limit", "household limit", kHouseholdLimit, Dimension::mass, units));
        result.figures.push_back(
            word_figure("within_limit", "rated charge", over ? "above the limit" : "within the limit"));
        if (over) {
            result.notes.push_back(
                "Above 150 g a household circuit does not conform to IEC/UL 60335-2-24: check the plate and the "
                "refrigerant.");
        } else if (rated > kFormerUsLimit) {
            result.notes.push_back(
                "United States: above the 57 g that held before UL 60335-2-24, 2nd edition; check the date of the "
                "unit.");
        }
        result.notes.push_back("Never fill more than the plate says.");
    } else if (fluid.safety_class == "A2L") {
        result.notes.push_back(
            "This refrigerant is mildly flammable (A2L); the household limit of 150 g for A3 is not meant for it.");
    }
    result.traits = {{"refrigerant", std::string(fluid.id)}, {"charge_g", plain_text(rated, 1) + " g"}};
    result.no_reading = "no check asks for the share lost; refrigerant and charge go into the unit's description";
    return result;
}

}  // namespace frostread
