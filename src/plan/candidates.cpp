#include "plan/candidates.hpp"

#include <algorithm>
#include <string_view>
#include <unordered_set>

#include "frostread/why.hpp"
#include "plan/answer_rows.hpp"

namespace frostread::plan {

namespace {

/// A reading is worth measuring again once it is about as likely wrong as right.
constexpr double kDoubt = 0.35;
/// Who read the same thing twice and asks a third time learns nothing: the doubt stays and is shown.
constexpr std::ptrdiff_t kMostReadings = 2;
/// Conditions up to here are made by the person on the spot; up to the second they hold or not when the
/// person comes (the reading is taken all the same and trusted less); longer ones are made, unless a check
/// shows that they hold already.
constexpr double kMadeOnTheSpot = 60.0;
constexpr double kHoldsOrNot = 720.0;

bool has(const std::vector<std::string>& list, std::string_view word) {
    return std::find(list.begin(), list.end(), word) != list.end();
}

bool has(const std::vector<CheckIndex>& list, CheckIndex check) {
    return std::find(list.begin(), list.end(), check) != list.end();
}

/// What a person said of a condition that lasts: for what is still to be read, or with an earlier reading.
std::optional<bool> condition_said(const Condition& condition, const Case& the_case, const JobState& job) {
    if (condition.wait_minutes <= kMadeOnTheSpot) return std::nullopt;
    if (const auto said = job.said.find(condition.id); said != job.said.end()) return said->second;
    for (auto reading = the_case.readings.rbegin(); reading != the_case.readings.rend(); ++reading)
        if (const auto said = reading->after.find(condition.id); said != reading->after.end()) return said->second;
    return std::nullopt;
}

/// What is known of a condition without asking: settled by the check that shows it, or said.
std::optional<bool> condition_known(const Condition& condition, const Case& the_case, const JobState& job) {
    if (!condition.known_by.empty())
        if (const auto index = latest_reading(the_case, condition.known_by)) {
            const Reading& reading = the_case.readings[*index];
            if (reading.value)
                return (!condition.known_range.min || *reading.value >= *condition.known_range.min) &&
                       (!condition.known_range.max || *reading.value <= *condition.known_range.max);
            if (!reading.outcomes.empty()) return has(condition.known_outcomes, reading.outcomes.front());
        }
    return condition_said(condition, the_case, job);
}

/// Waiting does not bring it about: a reading that is sure stands against it.
bool ruled_out(const Condition& condition, const Case& the_case) {
    if (condition.ruled_out_by.empty()) return false;
    const auto index = latest_reading(the_case, condition.ruled_out_by);
    if (!index) return false;
    const Reading& reading = the_case.readings[*index];
    return reading.sure && !reading.outcomes.empty() && has(condition.ruled_out_outcomes, reading.outcomes.front());
}

class Lister {
public:
    Lister(const UnitModel& model, const Case& the_case, const Findings& findings, const Belief& belief,
           const JobState& job)
        : model_(model),
          library_(model.compiled().library()),
          case_(the_case),
          findings_(findings),
          job_(job),
          maker_(model, the_case, findings, belief) {}

    std::vector<Candidate> run(std::optional<CheckIndex> only) {
        std::vector<double> wrong;
        if (!findings_.items.empty() && (!only || has(job_.done, *only))) wrong = probability_wrong(model_, findings_);
        std::vector<bool> doubtful(library_.checks.size(), false);
        for (std::size_t i = 0; i < wrong.size(); ++i)
            if (wrong[i] > kDoubt) doubtful[findings_.items[i].check] = true;

        std::vector<Candidate> list;
        for (CheckIndex check = 0; check < library_.checks.size(); ++check) {
            if (only && check != *only) continue;
            const bool done = has(job_.done, check);
            const bool worth_repeating = doubtful[check] && library_.checks[check].kind != CheckKind::several &&
                                         times_read(library_.checks[check].id) < kMostReadings;
            if (done && !worth_repeating) continue;
            if (auto candidate = consider(check)) {
                candidate->repeat = done;
                list.push_back(std::move(*candidate));
            }
        }
        return list;
    }

private:
    [[nodiscard]] std::ptrdiff_t times_read(const std::string& id) const {
        return std::count_if(case_.readings.begin(), case_.readings.end(),
                             [&](const Reading& reading) { return reading.check == id && !reading.skipped; });
    }

    [[nodiscard]] bool cannot_use(const std::vector<std::string>& tools) const {
        return std::any_of(tools.begin(), tools.end(),
                           [&](const std::string& t) { return lacks_tool(job_.cannot, t); });
    }

    /// A second look, while the first one is still to come.
    [[nodiscard]] bool comes_too_early(const Check& check) const {
        bool first_possible = false;
        for (const std::string& id : check.second_look_of) {
            const auto first = model_.compiled().check_index(id);
            if (!first) continue;
            if (has(job_.done, *first)) return false;
            const Check& other = library_.checks[*first];
            first_possible = first_possible || (model_.exists(*first) && !has(job_.skipped, *first) &&
                                                !has(job_.cannot, id) && !cannot_use(other.tools));
        }
        return first_possible;
    }

    /// It would show what a person has said already: that a condition holds.
    [[nodiscard]] bool said_already(const Check& check) const {
        return std::any_of(library_.conditions.begin(), library_.conditions.end(), [&](const Condition& condition) {
            return condition.known_by == check.id && condition_said(condition, case_, job_) == true;
        });
    }

    [[nodiscard]] std::optional<Candidate> consider(CheckIndex index) {
        const Check& check = library_.checks[index];
        if (!model_.exists(index) || has(job_.skipped, index) || has(job_.cannot, check.id)) return std::nullopt;
        if (cannot_use(check.tools) || comes_too_early(check) || said_already(check)) return std::nullopt;
        if (keep_off_ && check.power == Power::on) return std::nullopt;
        Candidate candidate;
        candidate.check = index;
        candidate.who = check.who;
        candidate.needs = {area_mask(library_, check.areas), check.power, check.minutes, own_hazard(check)};
        for (const std::string& id : check.areas)
            if (const Area* area = find_area(library_, id)) {
                candidate.who = std::max(candidate.who, area->who);
                if (!has(job_.open_areas, id) && cannot_use(area->tools)) return std::nullopt;
            }

        Reading reading;
        reading.check = check.id;
        for (const std::string& id : check.after) {
            const Condition* condition = find_condition(library_, id);
            if (condition == nullptr) continue;
            const auto known = condition_known(*condition, case_, job_);
            const bool asked = !condition->known_by.empty() && !known && condition->wait_minutes > kMadeOnTheSpot;
            const bool as_found =
                !known && condition->wait_minutes > kMadeOnTheSpot && condition->wait_minutes < kHoldsOrNot;
            if (known == true) {
                reading.after[id] = true;
            } else if (asked) {
                const auto by = model_.compiled().check_index(condition->known_by);
                if (by && !has(job_.skipped, *by) && !has(job_.done, *by)) candidate.ask_first = by;
            } else if (!as_found) {
                if (ruled_out(*condition, case_)) return std::nullopt;
                reading.after[id] = true;
                if (condition->wait_minutes > 0.0) candidate.waits.push_back(id);
                candidate.wait_minutes = std::max(candidate.wait_minutes, condition->wait_minutes);
            }
        }
        for (const auto& [id, holds] : reading.after)
            if (holds) candidate.holds.push_back(id);
        if (!maker_.fill(candidate, std::move(reading))) return std::nullopt;
        return candidate;
    }

    /// Cautions that come with the area were met when it was opened.
    [[nodiscard]] Hazard own_hazard(const Check& check) const {
        std::vector<std::string> own;
        for (const std::string& id : check.cautions) {
            const bool met = std::any_of(check.areas.begin(), check.areas.end(), [&](const std::string& area_id) {
                const Area* area = find_area(library_, area_id);
                return area != nullptr && has(area->cautions, id);
            });
            if (!met) own.push_back(id);
        }
        return worst_hazard(library_, own);
    }

    const UnitModel& model_;
    const Library& library_;
    const Case& case_;
    const Findings& findings_;
    const JobState& job_;
    const bool keep_off_ = !keep_off_cautions(model_, findings_).empty();
    RowMaker maker_;
};

}  // namespace

double expected_bits(const Belief& belief, std::span<const double> weights, const AnswerRows& rows) {
    std::vector<double> masses, classes;
    const double total = group_masses(belief, weights, masses);
    class_masses(belief, masses, classes);
    const double before = entropy_bits(classes, total);
    double after = 0.0, all = 0.0;
    for (std::size_t a = 0; a < rows.answers; ++a) {
        const double mass = group_masses(belief, weights, rows.row(a), masses);
        class_masses(belief, masses, classes);
        after += mass * entropy_bits(classes, mass);
        all += mass;
    }
    return all > 0.0 ? std::max(0.0, before - after / all) : 0.0;
}

std::vector<Candidate> list_candidates(const UnitModel& model, const Case& the_case, const Findings& findings,
                                       const Belief& belief, const JobState& job, std::optional<CheckIndex> only) {
    return Lister(model, the_case, findings, belief, job).run(only);
}

}  // namespace frostread::plan
