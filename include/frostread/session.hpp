#pragma once

#include <cstddef>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "frostread/case.hpp"
#include "frostread/planner.hpp"
#include "frostread/report.hpp"

/// One working session on one case: what happened goes in, what a person should see comes out. There
/// is no clock, file or terminal in here. Everything is worked out anew from the case it began with
/// and the list of lines since, so taking a line back is the same as never having said it; only the
/// history keeps that it was said.
///
///   Session ──step(line)──▶ View ──▶ a writer of text (present/text_session.hpp)
///           ◀── Event ──── a prompt that turns words into events (cli/prompt_*.cpp)
namespace frostread {

enum class Mode {
    call,   ///< readings in any order; the next test is on offer
    guide,  ///< one question at a time, in the safe order
};

/// One thing that happened. A line is a list of them: what was said in one breath.
struct Event {
    enum class Kind {
        reading,  ///< `reading` was taken
        skip,     ///< `reading.check` cannot be done, `reading.skipped` says why
        cannot,   ///< `name`: "meter", "helper" or "licence" is not there
        trait,    ///< `unit` is true of the unit, besides what was stated before
        open,     ///< `name`: the area is open now
        shut,     ///< `name`: the area is shut again
        power,    ///< `yes`: the plug is in
        held,     ///< `name`: the condition held (`yes`) or not for the readings that ask for it
        note,     ///< `text` goes with the last reading, or with the case when there is none
        may,      ///< `who` is the highest work the person may do
        pass,     ///< guide: `name` (trait or condition) was asked and is not known
    };
    Kind kind = Kind::note;
    Reading reading;
    UnitTraits unit;
    std::string name;
    std::string text;
    bool yes = true;
    Who who = Who::technician;
};

struct SessionOptions {
    Mode mode = Mode::call;
    PlanOptions plan;
    InferOptions infer;
    UnitPreference units = UnitPreference::si;
    std::optional<Who> may;  ///< as given by the person at the start; none: what the case says, else technician
};

/// What a line put down, for the echo.
struct Recorded {
    std::string check, name;
    std::string words;                        ///< "blows", "-9 °C"
    std::string remark;                       ///< "9 K above normal", "", "not sure"
    std::vector<std::string> unknown_traits;  ///< ids: what it should have been judged against
    bool skipped = false;
    bool taken_back = false;
    std::size_t reading = 0;  ///< index into Case::readings; of no meaning when taken back
};

/// A row of the ranking and how it moved. `id` is a fault, "nothing-wrong" or "something-else".
struct Leader {
    std::string id, name;
    double before = 0.0, now = 0.0;
};

/// What makes a fault show in a check.
struct Behind {
    std::string fault_name, because;
    std::string answer;  ///< the answer that shows it; empty once it was given
};

/// What one reading said, for the guide: faults it made likelier and less likely.
struct Spoke {
    std::size_t reading = 0;
    std::vector<Leader> for_these, against;  ///< strongest first, at most three each
    bool counts = true;                      ///< false: it is no evidence; View::warnings say why
    Behind behind;                           ///< of the first of `for_these`; `because` may be empty
};

/// One possible answer to a question.
struct Choice {
    std::string id;
    std::string words;
    std::string looks;  ///< how to recognise it; may be empty
};

/// What the guide asks now.
struct GuideQuestion {
    enum class About {
        may,        ///< what work the person may do
        trait,      ///< `id` is a trait
        check,      ///< `id` is a check
        condition,  ///< `id` is a condition: did it hold?
        none,       ///< nothing more to ask: the report says what to do
    };
    About about = About::none;
    std::size_t number = 0;  ///< counts every question from 1
    std::string id;
    std::string text;
    std::string why;  ///< one or two sentences
    std::vector<Behind> behind;
    std::string subject;   ///< condition: what it is about ("freezer")
    double minutes = 0.0;  ///< of work
    double waiting = 0.0;  ///< minutes before it means anything
    std::vector<Choice> choices;
    bool several = false;    ///< more than one choice may be named
    bool quantity = false;   ///< an amount is wanted
    std::string example;     ///< of an amount: "-18 °C"
    std::string unit;        ///< of a bare number: "°C"
    std::string worked_out;  ///< how the amount comes out of what a meter shows
    std::vector<std::string> tools;
    std::vector<std::string> opens_names;  ///< areas that must be opened for it
    std::vector<std::string> opens_how;    ///< how each of them is opened
    std::vector<ReportCaution> cautions;   ///< to be printed before anything else
    std::vector<std::string> steps;        ///< how it is done
    std::string normal_looks;
    std::string often_mistaken;
    std::string power;                  ///< "", or a sentence on the plug when it must change
    std::vector<ReportOutcome> expect;  ///< what each answer would mean
};

/// A condition of a reading of this line that nobody has settled.
struct OpenCondition {
    std::string id, name;
    std::vector<std::string> checks;  ///< names
};

struct View {
    Report report;
    std::vector<Recorded> recorded;
    std::vector<Leader> leaders;              ///< likeliest first; nothing wrong and something else among them
    std::vector<ReportCaution> new_cautions;  ///< begin to apply now; full text, most dangerous first
    std::vector<std::pair<std::string, std::string>> step_cautions;  ///< of the next step: id, short name
    std::vector<std::string> new_warnings;
    std::vector<OpenCondition> conditions;
    std::vector<std::string> taken_open;    ///< names of areas that a reading shows to be open
    std::string power_changed;              ///< "", "on", "off": follows from a reading of this line
    std::vector<Spoke> spoke;               ///< guide
    std::optional<GuideQuestion> question;  ///< guide
    bool nothing_to_undo = false;
};

/// One step of the way, for the recap.
struct PathStep {
    std::string name, words;
    double minutes = 0.0;  ///< with opening, closing and switching, as the library prices them
    bool skipped = false;
};

/// The end of a guided case.
struct Recap {
    std::vector<PathStep> path;
    double minutes = 0.0;
    std::string leader;  ///< fault id; "" when nothing wrong leads
    std::string leader_name;
    double probability = 0.0;
    std::vector<ReportWeight> evidence;  ///< of the leader against its strongest rival, strongest first
    std::string rival_name;
    std::vector<std::string> enough;  ///< names of the readings that would have been enough
    double enough_minutes = 0.0;
    double enough_probability = 0.0;
    std::vector<std::string> still_open;  ///< names of areas to close again
    Report report;
};

class Session {
public:
    struct Facts;  ///< what the lines add up to; inside only

    Session(std::shared_ptr<const CompiledLibrary> compiled, Case start, SessionOptions options);

    /// The state now; after construction: of the case as it was handed over.
    [[nodiscard]] const View& view() const { return view_; }
    /// Precondition: ids and values come from this library (parse_reading, parse_trait, match_*).
    const View& step(std::vector<Event> line);
    /// Takes back the last line of this session, or else the last reading of the case it began with.
    /// Readings taken back stay in Case::withdrawn.
    const View& undo(const std::string& at = "");
    /// Texts of these cautions, to be shown now; they are not new any more afterwards.
    [[nodiscard]] std::vector<ReportCaution> tell(const std::vector<std::string>& cautions);
    /// The view that these readings would give. Nothing is recorded.
    [[nodiscard]] View what_if(const std::vector<Reading>& readings) const;

    /// What belongs into the file.
    [[nodiscard]] const Case& the_case() const { return case_; }
    [[nodiscard]] const Library& library() const { return compiled_->library(); }
    [[nodiscard]] const CompiledLibrary& compiled() const { return *compiled_; }
    [[nodiscard]] const std::shared_ptr<const CompiledLibrary>& shared_library() const { return compiled_; }
    [[nodiscard]] const SessionOptions& options() const { return options_; }
    [[nodiscard]] Who may() const;
    /// A report that also explains this fault.
    [[nodiscard]] Report report_on(const std::string& fault) const;
    [[nodiscard]] Recap recap() const;

private:
    [[nodiscard]] Facts fold(const std::vector<std::vector<Event>>& lines) const;
    [[nodiscard]] View look(const Facts& facts, const View* before, std::size_t first_new) const;
    void settle();

    std::shared_ptr<const CompiledLibrary> compiled_;
    SessionOptions options_;
    Case start_;
    std::vector<std::vector<Event>> lines_;
    std::vector<std::string> told_;           ///< cautions already shown in full
    std::vector<std::string> told_warnings_;  ///< and warnings
    Case case_;
    View view_;
};

}  // namespace frostread
