#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

/// The rule library as it was written: symbolic, with words for ids. Nothing here is computed; see
/// compiled_library.hpp for the dense form the engine reads. docs/rules.md is the same in prose.
namespace frostread {

// ---------------------------------------------------------------- traits and conditions on them

struct NumberRange {
    std::optional<double> min;  ///< inclusive
    std::optional<double> max;  ///< inclusive
};

/// One demand on one trait: a word among `any_of`, none of `none_of`, or a number in `range`.
struct TraitTest {
    std::string trait;
    std::vector<std::string> any_of;
    std::vector<std::string> none_of;
    std::optional<NumberRange> range;
};

/// All tests hold. Empty: always true. Unknown traits make it unknown, not false.
struct TraitCondition {
    std::vector<TraitTest> all;
    [[nodiscard]] bool empty() const { return all.empty(); }
};

struct TraitValue {
    std::string id;
    std::string name;
    double share = 0.0;  ///< of the units a repairer meets; the values of a trait sum to 1
    std::vector<std::string> aliases;
};

/// A stated property of the unit: a word out of `values`, or a number.
struct Trait {
    std::string id;
    std::string name;
    std::string question;  ///< how a person is asked for it
    std::string how;       ///< where to read or see it
    bool is_number = false;
    std::string unit;                            ///< measure id of a number; "" for a count
    NumberRange range;                           ///< possible numbers; others are refused
    std::vector<TraitValue> values;              ///< word traits
    std::vector<std::pair<double, double>> mix;  ///< number traits: value, share; may be empty
    std::optional<double> example;               ///< number traits: a likely one, shown to whoever is asked
    double minutes = 0.5;                        ///< to find it out
    std::vector<std::string> aliases;
    std::string source;
};

// ---------------------------------------------------------------- places, cautions, conditions

enum class Who {
    anyone,
    technician,  ///< trained in electrical work
    licensed,    ///< licensed refrigerant handler
};

enum class Power { either, on, off };

struct Area {
    std::string id;
    std::string name;
    std::string how_to_open;
    double open_minutes = 0.0;
    double close_minutes = 0.0;
    Power power = Power::either;  ///< state in which it is opened
    Who who = Who::anyone;
    std::vector<std::string> tools;
    std::vector<std::string> cautions;
    std::vector<std::string> look_first;  ///< checks of which one is read before it is opened, where the unit has one
    std::string source;
};

enum class Hazard { low, medium, high };

struct Caution {
    std::string id;
    std::string name;
    std::string text;  ///< one or two sentences, printed before the step
    Hazard hazard = Hazard::medium;
    TraitCondition where;              ///< refrigerant-bound cautions: printed unless known not to apply
    std::vector<std::string> systems;  ///< printed when the leading fault is in one of these systems
    bool on_retire = false;            ///< printed whenever a unit is to be given up
    bool plug_stays_out = false;       ///< a unit that is handed over under this caution is left unplugged
    bool on_live_panel = false;        ///< printed when the next test turns away from a panel that is off, mains on
    std::vector<std::string> alarm;    ///< words of someone in danger, who is told at once whatever else is asked
    std::string source;
};

/// Something that must hold before a check means anything: "running undisturbed for 24 h".
struct Condition {
    std::string id;
    std::string name;
    double wait_minutes = 0.0;                ///< to make it hold when it does not
    std::string meanwhile;                    ///< what to do while waiting
    std::string known_by;                     ///< a gauge or look check whose reading settles it; may be empty
    NumberRange known_range;                  ///< holds when that gauge lies in here
    std::vector<std::string> known_outcomes;  ///< holds when that look reads one of these
    /// No wait brings it about while a look check reads one of these; "" and empty when nothing stands against it.
    std::string ruled_out_by;
    std::vector<std::string> ruled_out_outcomes;
    std::string source;
};

// ---------------------------------------------------------------- checks

enum class CheckKind { look, banded, gauge, several };

struct Outcome {
    std::string id;
    std::string name;   ///< as it stands in a sentence: "on the first passes only"
    std::string looks;  ///< how a person recognises it
    bool normal = false;
    bool no_evidence = false;  ///< "nobody knows": recorded, but speaks for and against nothing
    double background = 0.0;   ///< probability with no fault present: other causes, misreadings
    std::vector<std::string> aliases;
    std::vector<std::string> superseded_by;  ///< checks whose reading silences this outcome
    TraitCondition tells_little_on;          ///< units on which it is believed as Reliability::tells_little says
    std::string keep_off;                    ///< caution: once this was read the unit stays without power; may be empty
    std::vector<std::string> keep_off_until;  ///< checks: once all that the unit has are read, that is over
    std::vector<std::string> means;           ///< several: naming this one names those instead
    TraitCondition where;  ///< the units on which it is offered as an answer; it says nothing of how likely it is
    // banded: the band reaches up to this number (exclusive), the last band has none
    std::optional<double> upto;           ///< in the check's unit, or as a factor of the reference
    std::optional<double> upto_absolute;  ///< used while the reference is not known
};

/// What a gauge reads on a sound unit. With `percent` the reading is taken as a percentage of the
/// reference, and mean, spread and the faults' shifts are percentages too.
struct GaugeNormal {
    double mean = 0.0;              ///< added to the reference (or percent of it)
    double spread = 1.0;            ///< scale of the Student t, > 0
    std::string relative_to;        ///< "" | trait id | gauge check id | reference id
    std::optional<double> assumed;  ///< reference value while it is not known; none: reading is void
    bool percent = false;
    std::optional<double> settles_at;  ///< a larger reading says no more than this one
};

/// A physical limit of the shifted mean: a number, or the value of another gauge check plus offset.
struct GaugeLimit {
    std::optional<double> number;  ///< also what is assumed while `relative_to` is not known
    std::string relative_to;       ///< gauge check id
    double offset = 0.0;
};

struct Check {
    std::string id;
    std::string name;      ///< "freezer fan", lower case, fits after "the"
    std::string question;  ///< as asked of a trainee, ends in "?"
    std::string place;     ///< id of the file it stands in: where the technician stands
    CheckKind kind = CheckKind::look;
    std::vector<Outcome> outcomes;                      ///< look, banded, several
    std::string unit;                                   ///< banded, gauge: measure id
    std::string worked_out;                             ///< banded, gauge: how it comes out of what a meter shows
    NumberRange range;                                  ///< banded, gauge: physically possible; outside is refused
    std::string reference;                              ///< banded: what `upto` is a factor of; "" when absolute
    GaugeNormal normal;                                 ///< gauge
    GaugeLimit low_limit, high_limit;                   ///< gauge
    std::vector<std::pair<std::string, double>> words;  ///< gauge: words that stand for a number
    std::vector<std::string> steps;
    std::string normal_looks;    ///< what normal looks like
    std::string often_mistaken;  ///< what is normal and taken for a fault; may be empty
    double minutes = 1.0;        ///< hands on, without opening and waiting
    std::vector<std::string> areas;
    Power power = Power::either;
    std::vector<std::string> after;  ///< condition ids
    std::vector<std::string> tools;
    std::vector<std::string> cautions;
    std::vector<std::string> aliases;
    TraitCondition where;  ///< the units it exists on
    Who who = Who::anyone;
    std::vector<std::string> superseded_by;
    std::vector<std::string> second_look_of;  ///< checks of which one comes first; this one looks again later
    TraitCondition tells_little_on;           ///< units on which no answer says much, whatever the rules
    bool plain = false;                       ///< seen or measured at once and hardly mistaken: see Reliability
    std::string source;
};

// ---------------------------------------------------------------- faults

/// What a fault at one grade does to one check, alone and with no background.
struct Effect {
    std::vector<std::pair<std::string, double>> outcomes;  ///< look, banded, several: probabilities
    double shift = 0.0;                                    ///< gauge: added to the mean, in the gauge's unit or percent
    double spread = 0.0;                                   ///< gauge: widens the scale
};

struct Rule {
    std::string check;
    TraitCondition
        where;        ///< several rules of one fault on one check are variants; the likeliest that may hold is used
    int decides = 0;  ///< > 0: the highest rank among the faults present alone sets the outcome
    bool unless_reference = false;  ///< gauge: not used while the reference was itself read (a wrong setting shifts
                                    ///< the compartment against the usual setting, not against the one that was read)
    std::string because;            ///< one sentence of physics, shown to trainees; may be empty
    std::optional<Effect> all_grades;  ///< used for grades that have no entry below
    std::map<std::string, Effect> by_grade;
};

struct Grade {
    std::string id;
    std::string name;
    double share = 1.0;  ///< of the fault's frequency; the grades of a fault sum to 1
    /// The units on which the fault can have this grade. The others then share what it would have had.
    TraitCondition where = {};
};

struct LookAlike {
    std::string fault;
    std::string tell;  ///< how to tell them apart, one sentence
};

struct Multiplier {
    TraitCondition where;
    double factor = 1.0;
};

/// How it shows that the cure worked.
struct Proof {
    std::string check;
    std::string expect;  ///< outcome id of a look, or words for a gauge
    std::string when;    ///< "after 24 h of running"
};

struct Remedy {
    std::string id;    ///< faults with the same remedy id need not be told apart
    std::string name;  ///< "clean the condenser", fits after "repair:"
    std::vector<std::string> steps;
    double minutes = 0.0;                      ///< of work, without opening the areas
    double parts_low = 0.0, parts_high = 0.0;  ///< neutral currency
    Who who = Who::anyone;
    std::vector<std::string> areas;
    std::vector<std::string> cautions;
    std::vector<Proof> proof;
};

struct Fault {
    std::string id;
    std::string name;  ///< lower case, as it stands in a list
    std::string system;
    std::string what;        ///< what it is, two sentences
    std::string recognise;   ///< how the person recognises it
    double frequency = 0.0;  ///< cause per 1000 calls
    std::vector<Multiplier> multipliers;
    TraitCondition where;       ///< the units that can have it
    std::vector<Grade> grades;  ///< empty: one grade, unnamed
    std::vector<Rule> rules;
    std::vector<LookAlike> look_alikes;
    std::vector<std::string> confirm;  ///< the one or two checks that confirm it
    Remedy remedy;
    std::vector<std::string> cautions;
    std::vector<std::string> aliases;
    std::string source;
};

// ---------------------------------------------------------------- the whole

struct Economy {
    std::string currency;  ///< neutral word, "units"
    double labour_per_hour = 60.0;
    double part_factor = 1.0;
    double worth = 250.0;              ///< of a unit whose worth nobody stated
    double patience = 0.1;             ///< price of a waiting minute as a share of a working minute
    double confidence = 0.9;           ///< stop testing when the best repair is this likely
    double risk_minutes_medium = 1.0;  ///< extra cost of a step with a medium hazard
    double risk_minutes_high = 4.0;
    double power_switch_minutes = 1.0;
    double refer_cost = 120.0;            ///< call-out of a licensed handler
    double failed_repair_minutes = 15.0;  ///< to find that a repair did not help
};

/// How far a reading is believed.
struct Reliability {
    double usual = 0.98;
    double unsure = 0.8;                         ///< the person said they are not sure
    double condition_unknown = 0.93;             ///< factor for each condition that is not known to hold
    std::optional<double> plain = std::nullopt;  ///< instead of `usual`, where the check says that it is plain
    double tells_little = 0.3;                   ///< at the most, where the check or the outcome says so
};

/// Of a reading that the person is sure of, with all its conditions known to hold.
[[nodiscard]] inline double trust_in(const Reliability& reliability, const Check& check) {
    return check.plain ? reliability.plain.value_or(reliability.usual) : reliability.usual;
}

struct System {
    std::string id;
    std::string name;
};

struct Library {
    int format = 0;
    std::string name;
    std::string version;
    std::vector<std::string> overlays;                  ///< names of --rules-extra files that were applied
    std::vector<std::pair<std::string, double>> scale;  ///< probability words
    std::string scale_source;
    double nothing_wrong = 0.0;   ///< per 1000 calls
    double something_else = 0.0;  ///< per 1000 calls
    double second_fault = 0.0;    ///< factor of the prior for each fault after the first
    Reliability reliability;
    Economy economy;
    std::vector<System> systems;
    std::vector<System> places;  ///< where the technician stands, in the order of the check files
    std::vector<Trait> traits;
    std::vector<Area> areas;
    std::vector<Condition> conditions;
    std::vector<Caution> cautions;
    std::vector<Check> checks;
    std::vector<Fault> faults;
};

// ---------------------------------------------------------------- look-up (linear in the library)

[[nodiscard]] const Trait* find_trait(const Library& library, std::string_view id);
[[nodiscard]] const Area* find_area(const Library& library, std::string_view id);
[[nodiscard]] const Condition* find_condition(const Library& library, std::string_view id);
[[nodiscard]] const Caution* find_caution(const Library& library, std::string_view id);
[[nodiscard]] const Check* find_check(const Library& library, std::string_view id);
[[nodiscard]] const Fault* find_fault(const Library& library, std::string_view id);
[[nodiscard]] const Outcome* find_outcome(const Check& check, std::string_view id);
[[nodiscard]] const Outcome* normal_outcome(const Check& check);

/// Names a person may have meant: exact id, alias, or a prefix that fits only one.
/// `matches` holds every id that fits; one means resolved. `nearest` is the closest spelling
/// (edit distance at most 3) when nothing fits.
struct NameMatch {
    std::vector<std::string> matches;
    std::string nearest;
    [[nodiscard]] bool unique() const { return matches.size() == 1; }
};
[[nodiscard]] NameMatch match_check(const Library& library, std::string_view typed);
[[nodiscard]] NameMatch match_outcome(const Check& check, std::string_view typed);
[[nodiscard]] NameMatch match_fault(const Library& library, std::string_view typed);
[[nodiscard]] NameMatch match_trait(const Library& library, std::string_view typed);
[[nodiscard]] NameMatch match_trait_value(const Trait& trait, std::string_view typed);
[[nodiscard]] NameMatch match_area(const Library& library, std::string_view typed);

/// What a person may say is not there: "meter" (every electrical meter), "helper", "licence", the tools of the
/// library, in this order. Checks that cannot be done may be named in the same place.
[[nodiscard]] std::vector<std::string> missing_words(const Library& library);
/// One of those words or a check, also by a beginning that fits only one.
[[nodiscard]] NameMatch match_missing(const Library& library, std::string_view typed);
/// Whether a tool is out of reach for a person who said so.
[[nodiscard]] bool lacks_tool(const std::vector<std::string>& cannot, std::string_view tool);

[[nodiscard]] std::string_view to_word(CheckKind kind);
[[nodiscard]] std::string_view to_word(Who who);
[[nodiscard]] std::string_view to_word(Power power);

}  // namespace frostread
