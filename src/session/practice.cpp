#include "frostread/practice.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "present/report_words.hpp"
#include "session/practice_judge.hpp"
#include "session/practice_world.hpp"

/// A practice case from the draw to the verdict.
namespace frostread {

namespace {

constexpr std::uint64_t kUnitSalt = 1;       ///< of the draw of the unit
constexpr std::uint64_t kSilentSalt = 7000;  ///< of another try when nobody would have complained
constexpr int kMostTries = 60;

Diagnostic problem(const char* id, std::string what, std::string cure = "") {
    Diagnostic out;
    out.id = id;
    out.what = std::move(what);
    out.suggestion = std::move(cure);
    return out;
}

/// What was asked for of the hidden faults, against a library.
class Wanted {
public:
    Wanted(const CompiledLibrary& compiled, const PracticeOptions& options) : compiled_(compiled), options_(options) {
        const std::size_t colon = options.fault.find(':');
        fault_ = options.fault.substr(0, colon);
        if (colon != std::string::npos) grade_ = options.fault.substr(colon + 1);
    }

    [[nodiscard]] bool any() const { return options_.system.empty() && fault_.empty(); }

    [[nodiscard]] bool fits(const FaultSet& set) const {
        if (any()) return true;
        bool system = options_.system.empty(), fault = fault_.empty();
        for (std::size_t m = 0; m < set.size; ++m) {
            const Alternative& member = compiled_.alternative(set.members.at(m));
            const Fault& entry = compiled_.library().faults[member.fault];
            system = system || entry.system == options_.system;
            fault = fault || (entry.id == fault_ && (grade_.empty() || entry.grades[member.grade].id == grade_));
        }
        return system && fault;
    }

    [[nodiscard]] Diagnostics problems() const {
        Diagnostics out;
        const Library& library = compiled_.library();
        const bool known = std::any_of(library.systems.begin(), library.systems.end(),
                                       [&](const System& system) { return system.id == options_.system; });
        if (!options_.system.empty() && !known)
            out.push_back(problem("unknown-system", fmt::format("no system is named \"{}\"", options_.system)));
        const Fault* fault = fault_.empty() ? nullptr : find_fault(library, fault_);
        if (!fault_.empty() && fault == nullptr)
            out.push_back(problem("unknown-fault", fmt::format("no fault is named \"{}\"", fault_)));
        if (fault != nullptr && !grade_.empty() &&
            std::none_of(fault->grades.begin(), fault->grades.end(), [&](const Grade& g) { return g.id == grade_; }))
            out.push_back(problem("unknown-grade", fmt::format("{} has no grade \"{}\"", fault_, grade_)));
        return out;
    }

private:
    const CompiledLibrary& compiled_;
    const PracticeOptions& options_;
    std::string fault_, grade_;
};

/// Whether somebody would have called for this.
bool complains(const session::PracticeWorld& world, const Library& library) {
    const auto complaint = session::complaint_check(library);
    if (!complaint) return true;
    const Reading reading = world.answer(*complaint, 0).reading;
    return std::any_of(reading.outcomes.begin(), reading.outcomes.end(), [&](const std::string& id) {
        const Outcome* outcome = find_outcome(library.checks[*complaint], id);
        return outcome != nullptr && !outcome->normal;
    });
}

}  // namespace

struct Practice::State {
    std::shared_ptr<const CompiledLibrary> compiled;
    PracticeOptions options;
    session::PracticeWorld world;
    session::PracticeVisit visit;
    std::size_t hints = 0;
    std::size_t hinted_at = 0;           ///< rows at the last hint
    std::optional<PracticeRun> planner;  ///< worked out when first asked for

    State(std::shared_ptr<const CompiledLibrary> library, PracticeOptions wanted, session::PracticeWorld drawn)
        : compiled(std::move(library)), options(std::move(wanted)), world(std::move(drawn)), visit(world, options) {}
    State(const State&) = delete;
    State& operator=(const State&) = delete;
};

Practice::Practice(std::unique_ptr<State> state) : state_(std::move(state)) {}
Practice::Practice(Practice&&) noexcept = default;
Practice& Practice::operator=(Practice&&) noexcept = default;
Practice::~Practice() = default;

Result<Practice> Practice::draw(std::shared_ptr<const CompiledLibrary> library, PracticeOptions options) {
    const Wanted wanted(*library, options);
    if (Diagnostics problems = wanted.problems(); !problems.empty()) return problems;
    DrawOptions draw;
    draw.nothing_wrong = wanted.any();
    draw.wanted = [&](const FaultSet& set) { return wanted.fits(set); };
    for (int attempt = 0; attempt < kMostTries; ++attempt) {
        const std::uint64_t seed =
            attempt == 0 ? options.seed : mixed_seed(options.seed, kSilentSalt + static_cast<std::uint64_t>(attempt));
        SimRandom for_unit(mixed_seed(seed, kUnitSalt)), for_faults(mixed_seed(seed, 0));
        UnitModel model = fit_to_unit(library, session::draw_likely_unit(library->library(), options.unit, for_unit));
        const FaultSet hidden = draw_faults(model, for_faults, draw);
        if (!wanted.any() && hidden.size == 0) continue;  // this unit cannot have it
        session::PracticeWorld world(std::move(model), hidden, seed, options.units);
        if (!complains(world, library->library()) && attempt + 1 < kMostTries) continue;
        return Practice(std::make_unique<State>(std::move(library), std::move(options), std::move(world)));
    }
    return problem("no-such-unit", "no unit was found that can have such a fault",
                   "leave out traits, or ask for another system or fault");
}

const Library& Practice::library() const {
    return state_->compiled->library();
}
const std::shared_ptr<const CompiledLibrary>& Practice::shared_library() const {
    return state_->compiled;
}
const PracticeOptions& Practice::options() const {
    return state_->options;
}
const Case& Practice::the_case() const {
    return state_->visit.the_case();
}
bool Practice::exists(CheckIndex check) const {
    return state_->world.model().exists(check);
}
const FaultSet& Practice::hidden() const {
    return state_->world.hidden();
}
std::uint64_t Practice::case_seed() const {
    return state_->world.seed();
}
const UnitModel& Practice::model() const {
    return state_->world.model();
}
PracticeStep Practice::prepare(CheckIndex check) const {
    return state_->visit.prepare(check);
}
const PracticeRow& Practice::take(CheckIndex check) {
    return state_->visit.take(check);
}
const std::vector<PracticeRow>& Practice::rows() const {
    return state_->visit.rows();
}
double Practice::minutes() const {
    return state_->visit.minutes();
}
double Practice::wait_minutes() const {
    return state_->visit.wait_minutes();
}
std::size_t Practice::opened() const {
    return state_->visit.opened();
}
std::size_t Practice::hints() const {
    return state_->hints;
}

std::string Practice::complaint_words() const {
    const auto complaint = session::complaint_check(library());
    if (!complaint || the_case().readings.empty()) return "";
    return present::reading_words(library().checks[*complaint], the_case().readings.front(), options().units).words;
}

std::vector<std::string> Practice::notes() const {
    const Case& the_case = state_->visit.the_case();
    const Findings findings = gather(model(), the_case);
    Findings last;
    for (const FindingNote& note : findings.notes)
        if (note.reading + 1 == the_case.readings.size() && note.kind != NoteKind::superseded)
            last.notes.push_back(note);
    return present::note_sentences(library(), the_case, last);
}

Report Practice::hint() {
    const std::size_t rows = state_->visit.rows().size();
    if (state_->hints == 0 || state_->hinted_at != rows) ++state_->hints;
    state_->hinted_at = rows;
    return session::think(state_->world, state_->options, state_->visit.the_case()).report;
}

PracticeResult Practice::judge(const PracticeVerdict& verdict) const {
    if (!state_->planner) state_->planner = session::planners_way(state_->world, state_->options);
    return session::judge_practice(state_->world, state_->options, state_->visit, state_->hints, verdict,
                                   *state_->planner);
}

}  // namespace frostread
