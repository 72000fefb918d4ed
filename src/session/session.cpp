#include "frostread/session.hpp"

#include <algorithm>

#include "session/facts.hpp"

namespace frostread {

namespace {

/// A condition that takes longer than this to come about holds for the whole visit once it is said.
constexpr double kLongCondition = 60.0;

bool has(const std::vector<std::string>& list, std::string_view word) {
    return std::find(list.begin(), list.end(), word) != list.end();
}

void add_once(std::vector<std::string>& list, const std::string& word) {
    if (!has(list, word)) list.push_back(word);
}

}  // namespace

namespace session {

std::string word_of(Who who) {
    return std::string(to_word(who));
}

std::optional<Who> who_of(std::string_view word) {
    for (const Who who : {Who::anyone, Who::technician, Who::licensed})
        if (to_word(who) == word) return who;
    return std::nullopt;
}

Diagnosis diagnose_session(const std::shared_ptr<const CompiledLibrary>& compiled, const Case& the_case,
                           const std::map<std::string, bool>& held, Who may, const SessionOptions& options,
                           const std::string& why_fault) {
    UnitModel model = fit_to_unit(compiled, the_case.unit);
    Findings findings = gather(model, the_case);
    Posterior posterior = infer(model, findings, options.infer);
    JobState job = job_state(model, the_case);
    job.said = held;
    job.may = has(job.cannot, "licence") ? std::min(may, Who::technician) : may;
    Decision decision = decide(model, the_case, findings, posterior, job, options.plan);
    ReportOptions report_options;
    report_options.units = options.units;
    report_options.pivotal = false;
    report_options.confidence = options.plan.economy.confidence;
    report_options.why_above = 0.05;
    report_options.why_fault = why_fault;
    Report report = build_report(model, the_case, findings, posterior, decision, report_options);
    return {std::move(model),    std::move(findings), std::move(posterior),
            std::move(decision), std::move(job),      std::move(report)};
}

}  // namespace session

namespace {

/// From here on the likely fault is one that a person would act on.
constexpr double kSerious = 0.5;

/// Before that a leader is only the first of many.
constexpr double kSuspect = 0.15;

/// A caution is told when the next step needs it, when the system of a suspected leader does, or when the leader is a
/// serious suspect. Until then it would only be one more line that nobody reads.
bool applies_now(const Library& library, const Report& report, const std::string& id,
                 const std::vector<std::string>& step) {
    if (has(step, id)) return true;
    if (report.action != Action::test) return true;
    if (report.faults.empty() || report.faults.front().probability >= kSerious) return true;
    const Caution* caution = find_caution(library, id);
    return caution != nullptr && report.faults.front().probability >= kSuspect &&
           has(caution->systems, report.faults.front().system);
}

bool told_now(const View& view, const std::string& id) {
    return std::any_of(view.new_cautions.begin(), view.new_cautions.end(),
                       [&](const ReportCaution& caution) { return caution.id == id; });
}

/// Plays the lines in order; keeps what the newest line brought with it.
class Folder {
public:
    Folder(const Library& library, const Case& start, Session::Facts& facts) : library_(library), facts_(facts) {
        facts_.the_case = start;
        for (const Reading& reading : start.readings) remember(reading);
    }

    void line(const std::vector<Event>& events) {
        ++facts_.lines;
        facts_.taken_open.clear();
        facts_.power_changed.clear();
        for (const Event& event : events) play(event);
    }

private:
    void play(const Event& event) {
        JobRecord& job = facts_.the_case.job;
        switch (event.kind) {
            case Event::Kind::reading:
                add(event.reading);
                break;
            case Event::Kind::skip:
                facts_.the_case.readings.push_back(event.reading);
                break;
            case Event::Kind::cannot:
                add_once(job.cannot, event.name);
                break;
            case Event::Kind::trait:
                for (const auto& [trait, word] : event.unit.words) facts_.the_case.unit.words[trait] = word;
                for (const auto& [trait, number] : event.unit.numbers) facts_.the_case.unit.numbers[trait] = number;
                break;
            case Event::Kind::open:
                open(event.name);
                break;
            case Event::Kind::shut:
                job.open_areas.erase(std::remove(job.open_areas.begin(), job.open_areas.end(), event.name),
                                     job.open_areas.end());
                break;
            case Event::Kind::power:
                job.power = event.yes ? "on" : "off";
                break;
            case Event::Kind::held:
                hold(event.name, event.yes);
                break;
            case Event::Kind::note:
                note(event.text);
                break;
            case Event::Kind::may:
                facts_.may = event.who;
                job.may = session::word_of(event.who);
                break;
            case Event::Kind::pass:
                facts_.passed.insert(event.name);
                break;
        }
    }

    void remember(const Reading& reading) {
        for (const auto& [id, held] : reading.after) {
            const Condition* condition = find_condition(library_, id);
            if (condition != nullptr && condition->wait_minutes > kLongCondition) facts_.held[id] = held;
        }
    }

    void add(Reading reading) {
        if (const Check* check = find_check(library_, reading.check)) {
            for (const std::string& id : check->after)
                if (const auto known = facts_.held.find(id); known != facts_.held.end())
                    reading.after.try_emplace(id, known->second);
            reach(*check);
        }
        remember(reading);
        facts_.the_case.readings.push_back(std::move(reading));
    }

    /// What was read behind a panel shows that the panel is off, and what needs the plug that it is in.
    void reach(const Check& check) {
        JobRecord& job = facts_.the_case.job;
        const std::string before = job.power;
        for (const std::string& id : check.areas) {
            if (has(job.open_areas, id)) continue;
            open(id);
            facts_.taken_open.push_back(id);
        }
        if (check.power != Power::either) job.power = check.power == Power::on ? "on" : "off";
        if (job.power != before && !(before.empty() && job.power == "on")) facts_.power_changed = job.power;
    }

    void open(const std::string& id) {
        JobRecord& job = facts_.the_case.job;
        add_once(job.open_areas, id);
        const Area* area = find_area(library_, id);
        if (area != nullptr && area->power != Power::either) job.power = area->power == Power::on ? "on" : "off";
    }

    void hold(const std::string& id, bool held) {
        std::vector<Reading>& readings = facts_.the_case.readings;
        for (std::size_t i = 0; i < readings.size(); ++i) {
            const Check* check = find_check(library_, readings[i].check);
            if (check == nullptr || readings[i].skipped || !has(check->after, id)) continue;
            if (latest_reading(facts_.the_case, readings[i].check) != i) continue;
            readings[i].after[id] = held;
        }
        const Condition* condition = find_condition(library_, id);
        if (condition != nullptr && condition->wait_minutes > kLongCondition) facts_.held[id] = held;
    }

    void note(const std::string& text) {
        std::vector<Reading>& readings = facts_.the_case.readings;
        std::string& place = readings.empty() ? facts_.the_case.note : readings.back().note;
        place += (place.empty() ? "" : "; ") + text;
    }

    const Library& library_;
    Session::Facts& facts_;
};

}  // namespace

Session::Session(std::shared_ptr<const CompiledLibrary> compiled, Case start, SessionOptions options)
    : compiled_(std::move(compiled)), options_(std::move(options)), start_(std::move(start)) {
    if (options_.may) start_.job.may = session::word_of(*options_.may);
    const Facts facts = fold(lines_);
    case_ = facts.the_case;
    view_ = look(facts, nullptr, case_.readings.size());
    settle();
}

Session::Facts Session::fold(const std::vector<std::vector<Event>>& lines) const {
    Facts facts;
    Folder folder(library(), start_, facts);
    for (const std::vector<Event>& line : lines) folder.line(line);
    return facts;
}

Who Session::may() const {
    return session::who_of(case_.job.may).value_or(options_.mode == Mode::guide ? Who::anyone : Who::technician);
}

View Session::look(const Facts& facts, const View* before, std::size_t first_new) const {
    using namespace session;
    const Case& the_case = facts.the_case;
    const auto stated = who_of(the_case.job.may);
    const Who usual = options_.mode == Mode::guide ? Who::anyone : Who::technician;
    const Diagnosis now = diagnose_session(compiled_, the_case, facts.held, stated.value_or(usual), options_);

    View view;
    view.report = now.report;
    view.leaders = leaders_of(now.report);
    for (Leader& leader : view.leaders) {
        leader.before = leader.now;
        if (before == nullptr) continue;
        for (const Leader& old : before->leaders)
            if (old.id == leader.id) leader.before = old.now;
    }
    for (std::size_t i = first_new; i < the_case.readings.size(); ++i)
        view.recorded.push_back(recorded_of(library(), the_case, now.findings, i, options_.units));
    std::vector<std::string> step;
    if (now.report.test && (now.report.action == Action::test || now.report.action == Action::refer)) {
        step = now.report.test->cautions;
    } else if (now.report.repair && now.report.action == Action::repair) {
        step = now.report.repair->cautions;
        for (const ReportRepair& further : now.report.same_visit)
            for (const std::string& id : further.cautions)
                if (!has(step, id)) step.push_back(id);
    }
    for (const std::string& id : step)
        if (const Caution* caution = find_caution(library(), id)) view.step_cautions.emplace_back(id, caution->name);

    // What the answer just given makes dangerous is told with it, whatever comes next.
    for (const Caution& caution : library().cautions)
        if (before != nullptr && !caution.where.empty() && !has(told_, caution.id) &&
            holds(caution.where, the_case.unit) == Truth::yes && holds(caution.where, case_.unit) != Truth::yes)
            view.new_cautions.push_back({caution.id, caution.text});
    for (const ReportCaution& caution : now.report.cautions)
        if (!has(told_, caution.id) && !told_now(view, caution.id) &&
            applies_now(library(), now.report, caution.id, step))
            view.new_cautions.push_back(caution);

    for (const FindingNote& note : now.findings.notes) {
        if (note.kind != NoteKind::trust_lowered || note.reading < first_new || facts.passed.count(note.about) > 0)
            continue;
        const Condition* condition = find_condition(library(), note.about);
        const Check* check = find_check(library(), the_case.readings[note.reading].check);
        if (condition == nullptr || check == nullptr) continue;
        auto known = std::find_if(view.conditions.begin(), view.conditions.end(),
                                  [&](const OpenCondition& c) { return c.id == condition->id; });
        if (known == view.conditions.end()) {
            view.conditions.push_back({condition->id, condition->name, {}});
            known = view.conditions.end() - 1;
        }
        add_once(known->checks, check->name);
    }
    for (std::string& sentence : warnings_of(now, the_case))
        if (!has(told_warnings_, sentence)) view.new_warnings.push_back(std::move(sentence));
    for (const std::string& id : facts.taken_open)
        if (const Area* area = find_area(library(), id)) view.taken_open.push_back(area->name);
    view.power_changed = facts.power_changed;
    if (options_.mode == Mode::guide) {
        for (std::size_t i = first_new; i < the_case.readings.size(); ++i)
            if (!the_case.readings[i].skipped) view.spoke.push_back(spoke_of(now, the_case, i, options_.infer));
        view.question =
            next_question(now, {the_case, facts.passed, stated.has_value(), facts.lines + 1, start_.readings.empty()},
                          options_.units);
    }
    return view;
}

void Session::settle() {
    for (const ReportCaution& caution : view_.new_cautions) add_once(told_, caution.id);
    for (const std::string& warning : view_.new_warnings) add_once(told_warnings_, warning);
}

const View& Session::step(std::vector<Event> line) {
    const std::size_t first_new = case_.readings.size();
    lines_.push_back(std::move(line));
    const Facts facts = fold(lines_);
    View view = look(facts, &view_, first_new);
    case_ = facts.the_case;
    view_ = std::move(view);
    settle();
    return view_;
}

const View& Session::undo(const std::string& at) {
    std::vector<Reading> back;
    const bool nothing = lines_.empty() && start_.readings.empty();
    if (!lines_.empty()) {
        for (const Event& event : lines_.back())
            if (event.kind == Event::Kind::reading) back.push_back(event.reading);
        lines_.pop_back();
    } else if (!nothing) {
        if (!start_.readings.back().skipped) back.push_back(start_.readings.back());
        start_.readings.pop_back();
    }
    for (Reading& reading : back) {
        if (!at.empty()) reading.note += (reading.note.empty() ? "" : "; ") + ("taken back " + at);
        start_.withdrawn.push_back(reading);
    }
    const Facts facts = fold(lines_);
    View view = look(facts, &view_, facts.the_case.readings.size());
    case_ = facts.the_case;
    view.taken_open.clear();
    view.power_changed.clear();
    for (const Reading& reading : back) {
        Recorded recorded = session::recorded_alone(library(), reading, options_.units);
        recorded.taken_back = true;
        view.recorded.push_back(std::move(recorded));
    }
    view.nothing_to_undo = nothing;
    view_ = std::move(view);
    settle();
    return view_;
}

std::vector<ReportCaution> Session::tell(const std::vector<std::string>& cautions) {
    for (const std::string& id : cautions) add_once(told_, id);
    return session::caution_texts(library(), cautions);
}

View Session::what_if(const std::vector<Reading>& readings) const {
    std::vector<std::vector<Event>> lines = lines_;
    lines.emplace_back();
    for (const Reading& reading : readings) {
        Event event;
        event.kind = Event::Kind::reading;
        event.reading = reading;
        lines.back().push_back(std::move(event));
    }
    return look(fold(lines), &view_, case_.readings.size());
}

Report Session::report_on(const std::string& fault) const {
    return session::diagnose_session(compiled_, case_, fold(lines_).held, may(), options_, fault).report;
}

Recap Session::recap() const {
    return session::recap_of(compiled_, case_, fold(lines_).held, may(), options_);
}

}  // namespace frostread
