#pragma once

#include <map>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "frostread/session.hpp"

/// What the lines of a session add up to: the case as it goes into the file, and what only the
/// session needs to know.
namespace frostread {

struct Session::Facts {
    Case the_case;
    std::map<std::string, bool> held;     ///< long conditions said once hold for later readings too
    std::set<std::string> passed;         ///< traits and conditions that were asked and are not known
    std::vector<std::string> taken_open;  ///< areas opened by the readings of the newest line
    std::string power_changed;            ///< by the readings of the newest line
    std::optional<Who> may;               ///< as said during the session
    std::size_t lines = 0;                ///< how many lines were said
};

namespace session {

/// Everything one look at the facts computes; shared by view, question and recap.
struct Diagnosis {
    UnitModel model;
    Findings findings;
    Posterior posterior;
    Decision decision;
    JobState job;
    Report report;
};

/// `held`: what was said of conditions that last, also before anything was read.
[[nodiscard]] Diagnosis diagnose_session(const std::shared_ptr<const CompiledLibrary>& compiled, const Case& the_case,
                                         const std::map<std::string, bool>& held, Who may,
                                         const SessionOptions& options, const std::string& why_fault = "");

[[nodiscard]] std::string word_of(Who who);
[[nodiscard]] std::optional<Who> who_of(std::string_view word);

/// Short sentences for one reading: what it says beside its value.
[[nodiscard]] Recorded recorded_of(const Library& library, const Case& the_case, const Findings& findings,
                                   std::size_t reading, UnitPreference units);

/// The same for a reading that is no part of the case any more.
[[nodiscard]] Recorded recorded_alone(const Library& library, const Reading& reading, UnitPreference units);

/// Sentences on readings that are not evidence or do not fit. Conditions that nobody settled are left
/// out: the view asks for them.
[[nodiscard]] std::vector<std::string> warnings_of(const Diagnosis& now, const Case& the_case);

/// What one reading did to the faults, by leaving it out.
[[nodiscard]] Spoke spoke_of(const Diagnosis& now, const Case& the_case, std::size_t reading,
                             const InferOptions& options);

/// Every cause with its probability, likeliest first, ties in library order.
[[nodiscard]] std::vector<Leader> leaders_of(const Report& report);

/// What the guide asks next.
struct GuideFacts {
    const Case& the_case;
    const std::set<std::string>& passed;
    bool may_known = true;
    std::size_t number = 1;
    bool began_empty = true;  ///< traits are asked for only when the case began without readings
};
[[nodiscard]] GuideQuestion next_question(const Diagnosis& now, const GuideFacts& facts, UnitPreference units);

/// The fewest readings of a case that would have been enough for a fault (none: nothing wrong); empty when
/// there is no conclusion or nothing to be saved by it. Hindsight over the readings there are.
struct ShorterWay {
    std::vector<std::size_t> readings;  ///< indices into Case::readings
    double minutes = 0.0;
    double probability = 0.0;
};
[[nodiscard]] ShorterWay shorter_way(const Diagnosis& now, const Case& the_case, std::optional<FaultIndex> fault,
                                     double spent, const SessionOptions& options);

[[nodiscard]] Recap recap_of(const std::shared_ptr<const CompiledLibrary>& compiled, const Case& the_case,
                             const std::map<std::string, bool>& held, Who may, const SessionOptions& options);

/// Texts of cautions of a list of ids, in that order.
[[nodiscard]] std::vector<ReportCaution> caution_texts(const Library& library, const std::vector<std::string>& ids);

}  // namespace session

}  // namespace frostread
