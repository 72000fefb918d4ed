#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <optional>
#include <ostream>
#include <utility>

#include "base/text.hpp"
#include "cli/prompt.hpp"
#include "cli/prompt_words.hpp"
#include "frostread/files.hpp"
#include "present/text_session.hpp"

/// The call: a line is a command when it begins with one of the words below, else it is readings.
namespace frostread::cli {

namespace {

constexpr const char* kHelp =
    R"(Type what you saw or measured, in any order, several on a line:
  fz 15F   frost inlet   ohm heater 22   fan blows, cond clean   fan blows?
The answer to the test that was just proposed needs no name: weak
A check goes by its name, its alias or its first letters; "?" behind a value
means that you are not sure. A later reading replaces the earlier one.

next                  the next test in full: cautions, steps, what it settles
why [FAULT]           what speaks for and against the leader, or that fault
if CHECK=VALUE        what that reading would change; nothing is recorded
skip [CHECK, REASON]  cannot be done here; alone: what was just proposed
held CONDITION [no]   it held (or not) for the readings: held ran-24h
undo                  take the last line back; it stays in the file as history
show                  unit, readings, what is open
open AREA, shut AREA  a panel came off or is on again: open panel
power on, power off   the plug is in or out
unit TRAIT=VALUE …    what the unit is: unit layout=freezer-top age_years=11
no meter              what is not here: meter, helper, licence or a tool
card NAME             how a check is done; all about a fault or a caution
note TEXT             goes with the last reading
safe                  the gas, smoke or shock you spoke of is over
save [FILE]           keep it now, or from now on in FILE
quit                  end; also Ctrl-D and Ctrl-C. Everything is kept
)";

class CallPrompt {
public:
    CallPrompt(Context& context, const SessionChoice& choice) : desk_(context, choice, Mode::call, names()) {}

    ExitCode run() {
        begin();
        for (;;) {
            const LineInput::Line line = desk_.ask();
            if (line.end != LineInput::End::none) return desk_.leave(line.end);
            if (!take(line.text)) return desk_.leave(LineInput::End::none);
        }
    }

private:
    struct Command {
        std::string_view name;
        bool (CallPrompt::*run)(const std::string& rest);  ///< false: the session ends
    };
    static constexpr std::array<Command, 19> commands();

    static std::vector<std::string> names() {
        std::vector<std::string> out;
        for (const Command& command : commands())
            if (command.name.size() > 1) out.emplace_back(command.name);
        return out;
    }

    void begin() {
        const Session& session = desk_.session();
        const std::size_t count = session.the_case().readings.size();
        if (!desk_.store().existed()) {
            desk_.say(fmt::format("New case, kept in {} from the first reading on. \"help\" shows what can be typed.",
                                  desk_.store().path()));
        } else {
            desk_.say(fmt::format("{}: {} reading{}. Every line is kept at once. \"help\" shows what can be typed.",
                                  desk_.store().path(), count, count == 1 ? "" : "s"));
            if (session.the_case().closed) desk_.say("This case was closed; what you add now comes after that.");
        }
        update(session.view());
    }

    bool take(const std::string& typed) {
        const std::string line(text::trim(typed));
        if (line.empty()) return true;
        if (text::first_invalid_utf8(line)) {
            desk_.say("that line is not text in UTF-8. nothing recorded.");
            return true;
        }
        const std::size_t blank = line.find_first_of(" \t");
        const std::string word = text::to_lower(line.substr(0, blank));
        // Who looks something up speaks of no danger at hand.
        const bool danger = word != "card" && word != "why" && desk_.heed(line);
        const std::string rest(blank == std::string::npos ? std::string_view{} : text::trim(line.substr(blank)));
        for (const Command& command : commands())
            if (command.name == word) return (this->*command.run)(rest);
        if (states_trait(line)) return unit(line);
        if (danger && read_words(line, desk_.session().library(), desk_.units()).readings.empty()) {
            desk_.say("Put down as a note. Say: safe, once that is over.");
            return true;
        }
        readings(line);
        return true;
    }

    void update(const View& view) {
        desk_.print(present::call_update(view, desk_.style()));
        desk_.remind();
    }

    bool safe(const std::string& /*rest*/) {
        desk_.say(desk_.declare_safe() ? "Good. Going on." : "No danger was spoken of.");
        return true;
    }

    void one(Event event) {
        std::vector<Event> line;
        line.push_back(std::move(event));
        update(desk_.step(std::move(line)));
    }

    void readings(const std::string& line) {
        const Understood understood = read_words(line, desk_.session().library(), desk_.units());
        if (!understood.readings.empty()) {
            std::vector<Event> events;
            for (const Reading& reading : understood.readings) {
                Event event;
                event.kind = Event::Kind::reading;
                event.reading = reading;
                events.push_back(std::move(event));
            }
            // Problems stand first, the update with the next action last.
            for (const std::string& problem : understood.problems) desk_.say(problem + " not recorded.");
            update(desk_.step(std::move(events)));
            return;
        }
        if (auto answer = answer_to_next(line)) return one(std::move(*answer));
        if (begins_with_trait(line)) return static_cast<void>(unit(line));
        std::string all;
        for (const std::string& problem : understood.problems) all += (all.empty() ? "" : " ") + problem;
        desk_.say(all + " nothing recorded.");
    }

    /// "weak", "4 C": an answer to the test that was just proposed, whose name nobody wants to type.
    [[nodiscard]] std::optional<Event> answer_to_next(const std::string& line) {
        const Report& report = desk_.session().view().report;
        if (report.action != Action::test || !report.test) return std::nullopt;
        const Library& library = desk_.session().library();
        auto reading = bare_answer(line, *find_check(library, report.test->check), library, desk_.units());
        if (!reading) return std::nullopt;
        Event event;
        event.kind = Event::Kind::reading;
        event.reading = std::move(*reading);
        return event;
    }

    bool trouble(const std::string& problem) {
        desk_.say(problem + (problem.ends_with('.') || problem.ends_with('?') ? "" : ".") + " nothing recorded.");
        return true;
    }

    bool next(const std::string& rest) {
        if (!rest.empty()) {  // "next to nothing"
            readings("next " + rest);
            return true;
        }
        desk_.remind();
        desk_.print(present::next_step(desk_.session().view().report, desk_.style()));
        return true;
    }

    bool why(const std::string& rest) {
        const Session& session = desk_.session();
        const Report& report = session.view().report;
        if (rest.empty() && report.faults.empty()) return trouble("this unit cannot have any of the faults");
        Meant fault{report.faults.empty() ? "" : report.faults.front().id, ""};
        if (!rest.empty()) fault = meant_fault(session.library(), rest, report);
        if (fault.id.empty()) {
            desk_.say(fault.problem);
        } else {
            desk_.print(present::reasons(session.report_on(fault.id), fault.id, desk_.style()));
        }
        return true;
    }

    bool what_if(const std::string& rest) {
        const Understood understood = read_words(rest, desk_.session().library(), desk_.units());
        if (rest.empty()) return trouble("if what? such as: if frost even");
        if (understood.readings.empty() || !understood.problems.empty())
            return trouble(understood.problems.empty() ? "if what? such as: if frost even"
                                                       : understood.problems.front());
        desk_.print(present::call_what_if(desk_.session().what_if(understood.readings), desk_.style()));
        return true;
    }

    bool skip(const std::string& rest) {
        const Report& report = desk_.session().view().report;
        if (rest.empty() && (report.action != Action::test || !report.test))
            return trouble("skip which check? such as: skip heater no meter");
        // Behind a comma stands the reason: "skip run capacitor, none fitted".
        const std::size_t comma = rest.find(',');
        const std::string name = rest.empty() ? report.test->check : rest.substr(0, comma);
        CheckAndRest split = split_check(desk_.session().library(), name);
        if (split.check.id.empty()) return trouble(split.check.problem);
        if (comma != std::string::npos) {
            if (!split.rest.empty())
                return trouble(
                    fmt::format("skip which check? \"{}\" names none; the reason stands behind a comma", name));
            split.rest = std::string(text::trim(std::string_view(rest).substr(comma + 1)));
        }
        Event event;
        event.kind = Event::Kind::skip;
        event.reading.check = split.check.id;
        event.reading.skipped = split.rest.empty() ? "cannot be done here" : split.rest;
        one(std::move(event));
        return true;
    }

    bool no(const std::string& rest) {
        if (answers_next(rest, "no")) return true;
        if (rest.empty()) return trouble("no what? such as: no meter");
        const Library& library = desk_.session().library();
        const NameMatch match = match_missing(library, rest);
        if (!match.unique()) return trouble(missing_problem(library, rest, match));
        Event event;
        event.kind = Event::Kind::cannot;
        event.name = match.matches.front();
        desk_.say(fmt::format("without {}: what needs one is no longer asked for", event.name));
        one(std::move(event));
        return true;
    }

    bool held(const std::string& rest) {
        std::string name = rest;
        bool yes = true;
        if (const std::size_t blank = rest.find_last_of(' '); blank != std::string::npos) {
            const std::string last = text::to_lower(rest.substr(blank + 1));
            if (last == "no" || last == "yes") {
                yes = last == "yes";
                name = rest.substr(0, blank);
            }
        }
        if (name.empty()) return trouble("held what? such as: held ran-24h");
        const Meant condition = meant_condition(desk_.session().library(), name);
        if (condition.id.empty()) return trouble(condition.problem);
        Event event;
        event.kind = Event::Kind::held;
        event.name = condition.id;
        event.yes = yes;
        const Condition* found = find_condition(desk_.session().library(), condition.id);
        desk_.say(fmt::format("{}: {}", found == nullptr ? condition.id : found->name, yes ? "held" : "did not hold"));
        one(std::move(event));
        return true;
    }

    bool undo(const std::string& /*rest*/) {
        update(desk_.undo());
        return true;
    }

    bool show(const std::string& /*rest*/) {
        const Session& session = desk_.session();
        desk_.print(present::case_overview(session.library(), session.the_case(), desk_.units(), desk_.style()));
        desk_.say(desk_.store().saved() ? fmt::format("kept in {}", desk_.store().path())
                                        : fmt::format("NOT kept in {}", desk_.store().path()));
        return true;
    }

    bool open(const std::string& rest) {
        return answers_next(rest, "open") || area(rest, Event::Kind::open, "open which area? such as: open panel");
    }
    bool shut(const std::string& rest) {
        return answers_next(rest, "shut") || area(rest, Event::Kind::shut, "shut which area? such as: shut panel");
    }

    /// The word alone is no command when it is an answer to the test that was just proposed.
    bool answers_next(const std::string& rest, const std::string& word) {
        if (!rest.empty()) return false;
        auto answer = answer_to_next(word);
        if (answer) one(std::move(*answer));
        return answer.has_value();
    }

    bool area(const std::string& rest, Event::Kind kind, const char* usage) {
        if (rest.empty()) return trouble(usage);
        const Library& library = desk_.session().library();
        const Meant meant = meant_area(library, rest);
        if (meant.id.empty()) return trouble(meant.problem);
        const Area* found = find_area(library, meant.id);
        Event event;
        event.kind = kind;
        event.name = meant.id;
        // What can hurt comes before the word that it is open.
        if (kind == Event::Kind::open && found != nullptr) {
            desk_.print(present::caution_block(desk_.session().tell(found->cautions), desk_.style()));
            desk_.say(fmt::format("open: {}{}", found->name,
                                  found->power == Power::off ? "; the plug is taken to be out" : ""));
        } else if (found != nullptr) {
            desk_.say(fmt::format("shut: {}{}", found->name,
                                  desk_.session().the_case().job.power == "off"
                                      ? "; the plug is still out, say: power on, when it is in"
                                      : ""));
        }
        one(std::move(event));
        return true;
    }

    bool power(const std::string& rest) {
        const std::string word = text::to_lower(rest);
        if (word != "on" && word != "off") {
            // "power 85 W" is a reading of something that begins like that.
            readings("power " + rest);
            return true;
        }
        Event event;
        event.kind = Event::Kind::power;
        event.yes = word == "on";
        const JobRecord& job = desk_.session().the_case().job;
        if (event.yes && !job.open_areas.empty())
            desk_.say("! Panels are off: mains parts and fans lie open. Hands, tools and cuffs clear first.");
        desk_.say(event.yes ? "plug in" : "plug out");
        one(std::move(event));
        return true;
    }

    bool card(const std::string& rest) {
        if (rest.empty()) return trouble("card of what? such as: card evaporator-frost");
        const Session& session = desk_.session();
        const Library& library = session.library();
        std::string id;
        if (const NameMatch check = match_check(library, rest); check.unique()) id = check.matches.front();
        if (id.empty() && find_caution(library, rest) != nullptr) id = rest;
        if (id.empty())
            if (const NameMatch fault = match_fault(library, rest); fault.unique()) id = fault.matches.front();
        if (id.empty()) {
            const Meant check = meant_check(library, rest);
            desk_.say(check.problem);
            return true;
        }
        desk_.print(card_text(session.shared_library(), id, desk_.style()));
        return true;
    }

    bool note(const std::string& rest) {
        if (rest.empty()) return trouble("note what?");
        Event event;
        event.kind = Event::Kind::note;
        event.text = rest;
        const Case& the_case = desk_.session().the_case();
        std::vector<Event> line;
        line.push_back(std::move(event));
        desk_.say(the_case.readings.empty() ? "noted for the case"
                                            : fmt::format("noted with {}", the_case.readings.back().check));
        static_cast<void>(desk_.step(std::move(line)));
        return true;
    }

    bool unit(const std::string& rest) {
        if (rest.find_first_of("= ") == std::string::npos)
            return trouble("unit what? such as: unit layout=freezer-top age_years=11");
        Event event;
        event.kind = Event::Kind::trait;
        std::string stated, problems;
        for (const std::string& part : split_traits(rest)) {
            const std::size_t name = std::min(part.find_first_of("= "), part.size());
            const std::size_t value = std::min(part.find_first_not_of("= ", name), part.size());
            const Diagnostics wrong =
                parse_trait(part.substr(0, name), part.substr(value), desk_.session().library(), event.unit);
            if (has_errors(wrong))
                problems += (problems.empty() ? "" : " ") + in_one_sentence(wrong);
            else
                stated += (stated.empty() ? "" : ", ") + part;
        }
        if (stated.empty()) return trouble(problems);
        if (!problems.empty()) desk_.say(problems + " not recorded.");
        desk_.say("unit: " + stated);
        one(std::move(event));
        return true;
    }

    /// "control=mechanical": a trait of the unit, and no check is called so.
    [[nodiscard]] bool states_trait(const std::string& line) {
        const std::size_t equals = line.find('=');
        return equals != std::string::npos && is_trait(std::string(text::trim(line.substr(0, equals))));
    }

    /// "control mechanical", with a value that the trait knows.
    [[nodiscard]] bool begins_with_trait(const std::string& line) {
        const std::size_t blank = line.find_first_of(" \t");
        if (blank == std::string::npos || !is_trait(line.substr(0, blank))) return false;
        UnitTraits unused;
        return !has_errors(
            parse_trait(line.substr(0, blank), text::trim(line.substr(blank)), desk_.session().library(), unused));
    }

    [[nodiscard]] bool is_trait(const std::string& name) {
        const Library& library = desk_.session().library();
        return find_trait(library, name) != nullptr && find_check(library, name) == nullptr;
    }

    bool save(const std::string& rest) {
        desk_.say(desk_.save(rest));
        return true;
    }

    bool help(const std::string& /*rest*/) {
        desk_.print(kHelp);
        return true;
    }

    bool quit(const std::string& /*rest*/) { return !desk_.may_leave(); }

    Desk desk_;
};

constexpr std::array<CallPrompt::Command, 19> CallPrompt::commands() {
    return {{{"next", &CallPrompt::next},
             {"why", &CallPrompt::why},
             {"if", &CallPrompt::what_if},
             {"skip", &CallPrompt::skip},
             {"no", &CallPrompt::no},
             {"held", &CallPrompt::held},
             {"undo", &CallPrompt::undo},
             {"show", &CallPrompt::show},
             {"open", &CallPrompt::open},
             {"shut", &CallPrompt::shut},
             {"power", &CallPrompt::power},
             {"card", &CallPrompt::card},
             {"note", &CallPrompt::note},
             {"unit", &CallPrompt::unit},
             {"safe", &CallPrompt::safe},
             {"save", &CallPrompt::save},
             {"help", &CallPrompt::help},
             {"quit", &CallPrompt::quit},
             {"?", &CallPrompt::help}}};
}

}  // namespace

ExitCode run_call(Context& context, const SessionChoice& choice) {
    return CallPrompt(context, choice).run();
}

}  // namespace frostread::cli
