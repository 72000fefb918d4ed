#pragma once

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "frostread/engine.hpp"
#include "frostread/planner.hpp"
#include "frostread/quantity.hpp"
#include "frostread/why.hpp"

/// One diagnosis as every writer shows it. Nothing is computed after this: numbers come from the
/// engine and the planner, and every caution travels in here, so no writer can drop one.
namespace frostread {

struct ReportCaution {
    std::string id;
    std::string text;
};

struct ReportWeight {
    std::string check;  ///< id
    std::string check_name;
    std::string value;        ///< id of the outcome, or the quantity as typed
    std::string value_words;  ///< for people: "on the first passes only"
    double decibans = 0.0;
    std::string because;  ///< why the favoured fault shows so, when it speaks for it; may be empty
};

struct ReportLedger {
    std::string favoured_words;  ///< "refrigerant charge low (slight)"
    std::string rival_words;
    std::string rival;  ///< fault id, "nothing-wrong" or "something-else"
    double prior_db = 0.0;
    double margin_db = 0.0;
    std::vector<ReportWeight> weights;
};

struct ReportFault {
    std::string id, name, system;
    double probability = 0.0;
    std::vector<std::pair<std::string, double>> grades;  ///< grade id, probability; empty without grades
    std::vector<std::string> grade_names;
    ReportLedger why;
};

struct ReportSet {
    std::vector<std::string> faults;  ///< "refrigerant-low:slight"
    double probability = 0.0;
};

struct ReportDoubt {
    std::string check, check_name, value, value_words;
    double probability_wrong = 0.0;
    double surprise = 1.0;
};

struct ReportPivot {
    std::string check, check_name, instead, instead_words, new_leader, new_leader_name;
};

struct ReportOutcome {
    std::string words;
    double probability = 0.0;
    std::string leader, leader_name;
    double leader_probability = 0.0;
};

struct ReportTest {
    std::string check, name, question;
    double minutes = 0.0, wait_minutes = 0.0, bits = 0.0;
    std::vector<std::string> opens, opens_names;
    std::vector<std::string> opens_how;  ///< how each of them is opened
    std::vector<std::string> also, also_names;
    std::vector<double> also_minutes;
    std::vector<std::string> steps;
    std::vector<std::string> cautions;  ///< ids, in the order to print
    std::vector<ReportOutcome> outcomes;
    std::vector<std::string> answers;  ///< outcome ids that can be typed, and the unit of a quantity first: "°C"
    bool takes_quantity = false;       ///< then the first of them is the unit
    bool repeat = false;
};

/// A trait to be asked for before the step; the leaders are those after the answer.
struct ReportQuestion {
    std::string trait, name, question, how;
    double minutes = 0.0, bits = 0.0;
    std::vector<ReportOutcome> outcomes;
    std::vector<std::string> values;  ///< parallel to outcomes: ids
};

struct ReportRepair {
    std::string remedy, name, fault, fault_name;
    std::vector<std::string> steps;
    std::vector<std::string> proof;     ///< sentences
    std::vector<std::string> cautions;  ///< ids
    double probability = 0.0, minutes = 0.0, parts = 0.0, cost = 0.0;
    Who who = Who::anyone;
};

struct Report {
    std::optional<std::string> case_id;
    std::string library_name, library_version;
    std::vector<std::string> overlays;
    std::string unit_words;           ///< "freezer-top, automatic defrost, R-600a 52 g, 11 years, worth 180"
    std::vector<ReportFault> faults;  ///< all faults of this unit, likeliest first
    double nothing_wrong = 0.0, something_else = 0.0;
    std::vector<ReportSet> sets;
    std::vector<ReportDoubt> doubtful;
    std::vector<ReportPivot> pivotal;
    Action action = Action::finish;
    std::string because;
    std::optional<ReportTest> test;
    std::optional<ReportRepair> repair;
    std::vector<ReportRepair> same_visit;  ///< action repair: further repairs that belong to the same visit
    std::optional<ReportQuestion> ask;     ///< to be asked before the step
    std::vector<std::string> still_open;   ///< names of the areas that stand open and that the person may close
    std::vector<std::pair<std::string, Who>> left_open;  ///< open areas that only somebody else may close, and who
    bool plug_out = false;
    bool plug_stays_out = false;  ///< a reading forbids power, or the unit is handed over under such a caution
    double worth = 0.0;
    std::string currency;
    std::vector<ReportTest> alternatives;
    std::vector<ReportRepair> repairs;
    std::vector<ReportCaution> cautions;        ///< everything that applies, most dangerous first
    std::vector<ReportCaution> named_cautions;  ///< these and those that `alternatives` name, for who may choose one
    std::vector<std::string> warnings;          ///< sentences: voided, superseded, trust lowered …
    std::string conclusion;                     ///< a plain sentence
};

struct ReportOptions {
    UnitPreference units = UnitPreference::si;
    std::size_t max_sets = 10;
    bool pivotal = true;
    double confidence = 0.9;   ///< from here on the conclusion calls the leader almost sure
    double why_above = 0.001;  ///< faults below this probability get an empty ledger, which nobody reads
    std::string why_fault;     ///< id of a fault that gets its ledger whatever its probability; may be empty
};

/// Everything about one case in one value.
[[nodiscard]] Report build_report(const UnitModel& model, const Case& the_case, const Findings& findings,
                                  const Posterior& posterior, const Decision& decision,
                                  const ReportOptions& options = {});

/// gather, infer, decide and build_report in one call.
[[nodiscard]] Report diagnose(const UnitModel& model, const Case& the_case, const PlanOptions& plan,
                              const InferOptions& infer_options = {}, const ReportOptions& options = {});

}  // namespace frostread
