#include "cli/prompt_practice.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <memory>
#include <ostream>
#include <random>
#include <utility>

#include "base/text.hpp"
#include "cli/case_input.hpp"
#include "cli/case_store.hpp"
#include "cli/line_input.hpp"
#include "cli/options.hpp"
#include "cli/practice_choice.hpp"
#include "cli/prompt_words.hpp"
#include "frostread/files.hpp"
#include "frostread/practice.hpp"
#include "present/text_practice.hpp"
#include "present/text_session.hpp"
#include "present/writers.hpp"

/// The practice: a line is a command when it begins with one of the words below, else it names checks.
namespace frostread::cli {

namespace {

constexpr double kLongWait = 60.0;  ///< minutes from which a wait has to be meant
constexpr std::uint64_t kSeeds = 1000000;

constexpr const char* kHelp =
    R"(Name a check to do it, several on a line: fan    fz, fr    frost
A check goes by its name, its alias or its first letters. You are told what is
found; minutes, opened panels and waiting are counted.

checks [PLACE]       what can be checked, by place
how CHECK            how it is done, what is normal, what it costs
unit                 the unit and the complaint once more
readings             what was found so far, and the minutes
faults [SYSTEM]      what can be wrong with such a unit, to name it
card NAME            all about a fault, a check or a caution
ranking              a hint: the likely causes now. 5 points
next                 a hint: what the planner would do now. 5 points

repair FAULT         your verdict; of two faults: repair FAULT and FAULT
refer [FAULT]        your verdict: not yours to do, hand it over
retire               your verdict: not worth its repair
finish               your verdict: nothing is wrong
give up              be told what it is
quit                 end without being told; also Ctrl-D and Ctrl-C
)";

/// With --json the talk goes to where everything else but results goes.
Context talk_of(Context& context, bool json) {
    if (!json) return context;
    return {context.in,        context.err,       context.err, context.in_is_terminal, false, context.err_is_terminal,
            context.err_style, context.err_style, context.now, context.environment};
}

class PracticePrompt {
public:
    PracticePrompt(Context& context, const PracticeChoice& choice, Practice practice, CaseStore* store)
        : context_(context),
          talk_(talk_of(context, choice.json)),
          choice_(choice),
          practice_(std::move(practice)),
          store_(store) {
        const auto library = practice_.shared_library();
        std::vector<std::string> words;
        for (const Command& command : commands())
            if (command.name.size() > 1) words.emplace_back(command.name);
        input_ = make_line_input(talk_, [library, words](std::string_view before) {
            return completions(before, library->library(), words);
        });
    }

    ExitCode run() {
        begin();
        for (;;) {
            talk_.err.flush();
            const LineInput::Line line = input_->read("> ");
            if (line.end != LineInput::End::none) return leave(line.end);
            if (text::first_invalid_utf8(line.text)) {
                say("that line is not text in UTF-8. nothing was done.");
                continue;
            }
            take(std::string(text::trim(line.text)));
            if (left_) return leave(LineInput::End::none);
            if (verdict_) return end();
        }
    }

private:
    struct Command {
        std::string_view name;
        void (PracticePrompt::*run)(const std::string& rest);
    };
    static constexpr std::array<Command, 19> commands();

    void say(const std::string& words) { talk_.out << present::wrapped(words, style().width, "", "  "); }
    void print(const std::string& words) { talk_.out << words; }
    [[nodiscard]] const TextStyle& style() const { return talk_.out_style; }

    [[nodiscard]] bool can_have(const Fault& fault) const {
        const std::span<const double> prior = practice_.model().prior();
        for (AlternativeIndex a = 0; a < prior.size(); ++a)
            if (prior[a] > 0.0 &&
                practice_.library().faults[practice_.model().compiled().alternative(a).fault].id == fault.id)
                return true;
        return false;
    }

    void begin() {
        say(fmt::format("Practice, seed {}: an invented unit with something hidden in it.", practice_.options().seed));
        say("Such cases test the arithmetic and your method, not whether the rules are true. \"checks\" lists what can "
            "be checked, \"help\" the rest.");
        print("\n" + present::practice_scene(practice_, style()));
    }

    void take(const std::string& line) {
        if (line.empty()) return;
        const std::size_t blank = line.find_first_of(" \t");
        const std::string word = text::to_lower(line.substr(0, blank));
        const std::string rest(blank == std::string::npos ? std::string_view{} : text::trim(line.substr(blank)));
        for (const Command& command : commands())
            if (command.name == word) return (this->*command.run)(rest);
        checks_done(line);
    }

    // ------------------------------------------------------------ checks

    void checks_done(const std::string& line) {
        const NamedChecks named = checks_named(line, practice_.library(), on_unit());
        for (const std::string& problem : named.problems)
            say(problem.ends_with("is named so.") ? problem + " \"checks\" lists them, \"help\" the rest." : problem);
        for (const std::string& id : named.ids)
            if (!one_check(id)) break;
    }

    [[nodiscard]] std::function<bool(const Check&)> on_unit() const {
        return [this](const Check& check) {
            return practice_.exists(*practice_.model().compiled().check_index(check.id));
        };
    }

    /// False: the rest of the line waits for the person.
    bool one_check(const std::string& id) {
        const CheckIndex check = *practice_.model().compiled().check_index(id);
        const PracticeStep step = practice_.prepare(check);
        if (!step.refused.empty()) {
            say(step.refused + ". nothing was done.");
            return true;
        }
        if (step.wait_minutes >= kLongWait && meant_wait_ != id) {
            meant_wait_ = id;
            say(fmt::format("{}: that means waiting {} for: {}. Say it again to wait, or do something else.", step.name,
                            present::minutes_words(step.wait_minutes), present::join_words(step.waits)));
            return false;
        }
        meant_wait_.clear();
        meant_verdict_ = false;
        print(present::practice_before(shown(step), style()));
        static_cast<void>(practice_.take(check));
        print(present::practice_answer(practice_, style()));
        return true;
    }

    /// A caution is printed in full before the first step it belongs to, by its name before later ones.
    PracticeStep shown(PracticeStep step) {
        std::string names;
        std::vector<ReportCaution> full;
        for (ReportCaution& caution : step.cautions) {
            if (std::find(told_.begin(), told_.end(), caution.id) == told_.end()) {
                told_.push_back(caution.id);
                full.push_back(std::move(caution));
            } else if (const Caution* known = find_caution(practice_.library(), caution.id)) {
                names += (names.empty() ? "" : " · ") + known->name;
            }
        }
        if (!names.empty()) full.push_back({"", names});
        step.cautions = std::move(full);
        return step;
    }

    // ------------------------------------------------------------ looking up

    void checks(const std::string& rest) {
        if (rest.empty()) return print(present::practice_checks(practice_, style()));
        std::vector<std::string> known, fits;
        for (const System& place : practice_.library().places) {
            known.push_back(place.id);
            if (text::equal_ignoring_case(place.id, rest)) fits.assign(1, place.id);
            if (text::equal_ignoring_case(place.id, rest)) break;
            if (text::starts_with_ignoring_case(place.id, rest)) fits.push_back(place.id);
        }
        if (fits.size() == 1) return print(present::practice_place(practice_, fits.front(), style()));
        say(fits.empty() ? fmt::format("{}? no place is named so; say {}.", rest, text::join_or(known))
                         : fmt::format("{}? that fits {}.", rest, text::join_or(fits)));
    }

    void how(const std::string& rest) {
        if (rest.empty()) return say("how is what done? such as: how frost");
        const NamedChecks named = checks_named(rest, practice_.library(), on_unit());
        for (const std::string& problem : named.problems) say(problem);
        for (const std::string& id : named.ids) {
            print(card_text(practice_.shared_library(), id, style()));
            const PracticeStep step = practice_.prepare(*practice_.model().compiled().check_index(id));
            if (!step.refused.empty()) {
                say("Here: " + step.refused + ".");
                continue;
            }
            std::string cost = fmt::format("Here and now: {} of work", present::minutes_words(step.minutes));
            if (step.wait_minutes > 0.0)
                cost += fmt::format(", {} of waiting", present::minutes_words(step.wait_minutes));
            say(cost + ".");
        }
    }

    void unit(const std::string& /*rest*/) { print(present::practice_scene(practice_, style())); }
    void readings(const std::string& /*rest*/) { print(present::practice_readings(practice_, style())); }

    void faults(const std::string& rest) {
        std::string system;
        for (const System& known : practice_.library().systems)
            if (!rest.empty() && text::starts_with_ignoring_case(known.id, rest) && system.empty()) system = known.id;
        if (!rest.empty() && system.empty()) {
            std::vector<std::string> all;
            for (const System& known : practice_.library().systems) all.push_back(known.id);
            return say(fmt::format("{}? no system is named so; say {}.", rest, text::join_or(all)));
        }
        print(present::practice_faults(practice_, system, style()));
    }

    void card(const std::string& rest) {
        if (rest.empty()) return say("card of what? such as: card gasket");
        const Library& library = practice_.library();
        std::string id;
        if (const NameMatch check = match_check(library, rest); check.unique()) id = check.matches.front();
        if (id.empty() && find_caution(library, rest) != nullptr) id = rest;
        const Meant fault =
            meant_fault(library, rest, std::function<bool(const Fault&)>([](const Fault&) { return true; }));
        if (id.empty()) id = fault.id;
        if (id.empty()) return say(fault.problem);
        print(card_text(practice_.shared_library(), id, style()));
    }

    void help(const std::string& /*rest*/) { print(kHelp); }

    // ------------------------------------------------------------ hints

    Report hint() {
        const std::size_t before = practice_.hints();
        Report report = practice_.hint();
        if (practice_.hints() > before) say(fmt::format("(hint {}, noted: it costs 5 points)", practice_.hints()));
        return report;
    }

    void ranking(const std::string& /*rest*/) { print(present::practice_ranking(hint(), style())); }
    void next(const std::string& /*rest*/) { print(present::next_step(hint(), style())); }

    // ------------------------------------------------------------ the end

    void settle(PracticeVerdict::Kind kind, std::vector<std::string> faults) {
        if (practice_.rows().size() <= 1 && kind != PracticeVerdict::Kind::give_up && !meant_verdict_) {
            meant_verdict_ = true;
            return say("Without one check of your own? Say it again if you mean it.");
        }
        verdict_ = PracticeVerdict{kind, std::move(faults)};
    }

    void repair(const std::string& rest) {
        if (rest.empty()) return say("repair what? such as: repair charge; \"faults\" lists the names");
        fault_verdict(PracticeVerdict::Kind::repair, rest);
    }
    void refer(const std::string& rest) {
        if (rest.empty()) return settle(PracticeVerdict::Kind::refer, {});
        fault_verdict(PracticeVerdict::Kind::refer, rest);
    }

    void fault_verdict(PracticeVerdict::Kind kind, const std::string& rest) {
        std::vector<std::string> ids;
        bool clear = true;
        for (const std::string& part : faults_of(rest)) {
            // A grade may be named and does not count: the cure is the same.
            const Meant meant = meant_fault(practice_.library(), std::string_view(part).substr(0, part.find(':')),
                                            [this](const Fault& fault) { return can_have(fault); });
            if (meant.id.empty()) say(meant.problem + " nothing was decided.");
            clear = clear && !meant.id.empty();
            ids.push_back(meant.id);
        }
        if (clear && !ids.empty()) settle(kind, std::move(ids));
    }

    /// "a and b", "a, b".
    static std::vector<std::string> faults_of(std::string rest) {
        for (const std::string_view word : {" and ", " + ", ";"})
            for (std::size_t at = rest.find(word); at != std::string::npos; at = rest.find(word))
                rest.replace(at, word.size(), ",");
        std::vector<std::string> out;
        for (const std::string_view part : text::split(rest, ','))
            if (!part.empty()) out.emplace_back(part);
        return out;
    }

    void retire(const std::string& /*rest*/) { settle(PracticeVerdict::Kind::retire, {}); }
    void finish(const std::string& /*rest*/) { settle(PracticeVerdict::Kind::finish, {}); }
    void give(const std::string& rest) {
        if (!rest.empty() && text::to_lower(rest) != "up") return say("give up? say: give up");
        settle(PracticeVerdict::Kind::give_up, {});
    }
    void quit(const std::string& /*rest*/) { left_ = true; }

    ExitCode leave(LineInput::End how) {
        if (how != LineInput::End::none) print("\n");
        print(present::practice_so_far(practice_, style()));
        say("No verdict, so nothing is told. The same unit again:");
        print("  " + same_again(choice_, practice_.options().seed) + "\n");
        if (store_ != nullptr) say(fmt::format("{} was not written: only an ended case is kept.", store_->path()));
        if (choice_.json) context_.out << present::practice_json(practice_.judge({}), practice_.library());
        return how == LineInput::End::interrupted ? ExitCode::interrupted : ExitCode::done;
    }

    ExitCode end() {
        PracticeResult result = practice_.judge(*verdict_);
        print("\n" + present::practice_result(result, style()));
        say("The same unit again:");
        print("  " + same_again(choice_, practice_.options().seed) + "\n");
        if (choice_.json) context_.out << present::practice_json(result, practice_.library());
        if (store_ == nullptr) return ExitCode::done;
        result.the_case.closed->at = context_.now();
        if (const std::string trouble = store_->save(result.the_case); !trouble.empty())
            throw Stop(ExitCode::not_written, fmt::format("the case was not kept: {}", trouble));
        say(fmt::format("kept in {}, closed and marked as invented", store_->path()));
        return ExitCode::done;
    }

    Context& context_;
    Context talk_;
    const PracticeChoice& choice_;
    Practice practice_;
    CaseStore* store_;
    std::unique_ptr<LineInput> input_;
    std::vector<std::string> told_;  ///< cautions printed in full
    std::string meant_wait_;         ///< check whose long wait was asked about
    bool meant_verdict_ = false;     ///< a verdict without a check was asked about
    bool left_ = false;
    std::optional<PracticeVerdict> verdict_;
};

constexpr std::array<PracticePrompt::Command, 19> PracticePrompt::commands() {
    return {{{"checks", &PracticePrompt::checks},
             {"how", &PracticePrompt::how},
             {"unit", &PracticePrompt::unit},
             {"show", &PracticePrompt::readings},
             {"readings", &PracticePrompt::readings},
             {"faults", &PracticePrompt::faults},
             {"card", &PracticePrompt::card},
             {"ranking", &PracticePrompt::ranking},
             {"next", &PracticePrompt::next},
             {"repair", &PracticePrompt::repair},
             {"refer", &PracticePrompt::refer},
             {"retire", &PracticePrompt::retire},
             {"finish", &PracticePrompt::finish},
             {"give", &PracticePrompt::give},
             {"quit", &PracticePrompt::quit},
             {"exit", &PracticePrompt::quit},
             {"stop", &PracticePrompt::quit},
             {"help", &PracticePrompt::help},
             {"?", &PracticePrompt::help}}};
}

}  // namespace

ExitCode run_practice(Context& context, const PracticeChoice& choice) {
    const auto library = std::make_shared<const Library>(load_chosen_library(context, choice.library));
    const std::uint64_t seed = choice.seed ? *choice.seed : std::random_device{}() % kSeeds;
    Result<Practice> practice = Practice::draw(compile(library), practice_options(choice, *library, seed));
    if (!practice) throw Stop(ExitCode::bad_input, std::move(practice.diagnostics()), "no case was drawn");
    const SessionSignals signals;
    std::unique_ptr<CaseStore> store;
    if (!choice.save.empty()) {
        const Stop there(ExitCode::not_written, choice.save + " is there already; choose another name");
        std::error_code error;
        if (std::filesystem::exists(choice.save, error)) throw there;
        store = std::make_unique<CaseStore>(choice.save, context);
        static_cast<void>(store->open(*library));
        if (store->existed()) throw there;
    }
    return PracticePrompt(context, choice, std::move(*practice), store.get()).run();
}

}  // namespace frostread::cli
