#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <optional>
#include <utility>

#include "base/text.hpp"
#include "cli/prompt.hpp"
#include "cli/prompt_words.hpp"
#include "frostread/files.hpp"
#include "present/text_session.hpp"

/// The guide: one question, one answer, until there is nothing more worth asking.
namespace frostread::cli {

namespace {

constexpr const char* kHelp =
    R"(Answer with the number in front of an answer, with its words, or with what
you measured (-18 C, 4 C, 85 W). Several numbers where more than one may hold.
A "?" behind the answer means that you are not sure: 2?

how          how to do it, and how to tell the answers apart
why          what the question separates, and what each answer would mean
don't know   goes on without it
can't        cannot be done here; no meter: nothing that needs a meter
back         takes the last answer back and asks again
show         everything that was put down so far
note TEXT    goes with the last answer
save FILE    keeps the case in another file from now on
safe         the gas, smoke or shock you spoke of is over
stop         ends with a summary; start again later and it goes on here
)";

/// So many questions in a row without an answer, and the person is told that the guide can end here too.
constexpr std::size_t kManyUnanswered = 4;

/// Lower case, one kind of apostrophe, no blanks around.
std::string plain(const std::string& typed) {
    std::string out = text::to_lower(text::trim(typed));
    for (std::size_t at = out.find("’"); at != std::string::npos; at = out.find("’")) out.replace(at, 3, "'");
    return out;
}

bool is_one_of(const std::string& word, std::initializer_list<std::string_view> list) {
    return std::find(list.begin(), list.end(), word) != list.end();
}

std::optional<std::size_t> whole_number(std::string_view typed) {
    std::size_t number = 0;
    const auto [end, error] = std::from_chars(typed.data(), typed.data() + typed.size(), number);
    if (error != std::errc{} || end != typed.data() + typed.size()) return std::nullopt;
    return number;
}

class GuidePrompt {
public:
    GuidePrompt(Context& context, const SessionChoice& choice) : desk_(context, choice, Mode::guide, {}) {}

    ExitCode run() {
        begin();
        for (;;) {
            const LineInput::Line line = desk_.ask();
            if (line.end != LineInput::End::none) return desk_.leave(line.end);
            if (text::first_invalid_utf8(line.text)) {
                desk_.say("That line is not text in UTF-8. Please type it again.");
                continue;
            }
            if (desk_.heed(line.text)) {
                desk_.say("Put down as a note. Answer once that is over, and say: safe.");
                continue;
            }
            if (!take(std::string(text::trim(line.text)))) return desk_.leave(LineInput::End::none);
        }
    }

private:
    [[nodiscard]] const GuideQuestion& question() { return *desk_.session().view().question; }

    void begin() {
        const std::size_t count = desk_.session().the_case().readings.size();
        if (!desk_.store().existed()) {
            desk_.say(
                fmt::format("A guided case, kept in {} after each answer. Type the number of an answer, or "
                            "\"how\" for how to find out. \"help\" shows the rest.",
                            desk_.store().path()));
        } else {
            const std::vector<Reading>& readings = desk_.session().the_case().readings;
            const auto skipped = static_cast<std::size_t>(std::count_if(
                readings.begin(), readings.end(), [](const Reading& r) { return r.skipped.has_value(); }));
            desk_.say(
                fmt::format("{}: {} reading{} so far{}; going on. \"help\" shows how to answer, \"show\" what was "
                            "put down.",
                            desk_.store().path(), count - skipped, count - skipped == 1 ? "" : "s",
                            skipped == 0 ? "" : fmt::format(" and {} skipped", skipped)));
        }
        desk_.print(present::caution_block(desk_.session().view().new_cautions, desk_.style()));
        ask();
    }

    void ask() {
        desk_.print("\n");
        if (question().about != GuideQuestion::About::none) {
            desk_.remind();
            desk_.print(present::question_text(question(), desk_.style()));
            return;
        }
        desk_.print(present::recap_text(desk_.session().recap(), desk_.style()));
        desk_.print("\n");
        desk_.say("That is the end. Press Enter to finish, or say: back, show, note TEXT.");
    }

    void after(const View& view) {
        desk_.print(present::answer_text(view, desk_.style()));
        ask();
    }

    void put(Event event) {
        std::vector<Event> line;
        line.push_back(std::move(event));
        after(desk_.step(std::move(line)));
    }

    /// False: the session ends.
    bool take(const std::string& typed) {
        const std::string word = plain(typed);
        const bool ended = question().about == GuideQuestion::About::none;
        if (is_one_of(word, {"stop", "quit", "exit", "q"})) return !stop();
        if (is_one_of(word, {"back", "b", "undo"})) {
            after(desk_.undo());
            return true;
        }
        if (word == "safe") {
            desk_.say(desk_.declare_safe() ? "Good. Going on." : "No danger was spoken of.");
            ask();
            return true;
        }
        if (is_one_of(word, {"help", "?"})) {
            desk_.print(kHelp);
            return true;
        }
        if (word == "show") {
            const Session& session = desk_.session();
            desk_.print(present::case_overview(session.library(), session.the_case(), desk_.units(), desk_.style()));
            return true;
        }
        if (word == "save" || word.starts_with("save ")) {
            desk_.say(desk_.save(std::string(text::trim(typed.substr(4)))));
            return true;
        }
        if (word.starts_with("note ")) {
            note(std::string(text::trim(typed.substr(5))));
            return true;
        }
        if (ended) {
            if (word.empty()) return !desk_.may_leave();
            desk_.say("There is no question open. Press Enter to finish, or say: back, show, note TEXT.");
            return true;
        }
        if (word.empty()) {
            desk_.say("Type a number or a word of an answer; \"don't know\" goes on without one.");
            return true;
        }
        if (is_one_of(word, {"how", "h"})) {
            desk_.print(present::how_text(question(), desk_.style()));
            return true;
        }
        if (is_one_of(word, {"why", "w"})) {
            desk_.print(present::why_text(question(), desk_.style()));
            return true;
        }
        if (is_one_of(word, {"don't know", "dont know", "do not know", "dk", "unknown", "not known", "no idea",
                             "i don't know", "i dont know", "i do not know", "dunno", "not sure", "idk", "no clue"})) {
            unknown("not known");
            return true;
        }
        if (word.starts_with("no ") && no(word.substr(3))) return true;
        if (is_one_of(word, {"can't", "cant", "cannot", "can not", "skip"})) {
            unknown("cannot be done here");
            return true;
        }
        answer(typed, word);
        return true;
    }

    /// True when the session may end.
    bool stop() {
        if (!desk_.may_leave()) return false;
        if (question().about != GuideQuestion::About::none) {
            desk_.print("\n");
            desk_.print(present::recap_text(desk_.session().recap(), desk_.style()));
        }
        return true;
    }

    void note(const std::string& words) {
        Event event;
        event.kind = Event::Kind::note;
        event.text = words;
        std::vector<Event> line;
        line.push_back(std::move(event));
        static_cast<void>(desk_.step(std::move(line)));
        desk_.say("Noted.");
    }

    bool no(const std::string& what) {
        const NameMatch match = match_missing(desk_.session().library(), what);
        if (!match.unique() || find_check(desk_.session().library(), match.matches.front()) != nullptr) return false;
        Event event;
        event.kind = Event::Kind::cannot;
        event.name = match.matches.front();
        desk_.say(fmt::format("Without {}: nothing that needs one will be asked.", event.name));
        put(std::move(event));
        return true;
    }

    void unknown(const char* reason) {
        if (++unanswered_ % kManyUnanswered == 0)
            desk_.say(fmt::format(
                "That makes {} in a row without an answer. \"stop\" ends with what can be said so far.", unanswered_));
        Event event;
        if (question().about == GuideQuestion::About::may) {
            desk_.say("Taken as no work on mains or refrigerant.");
            event.kind = Event::Kind::may;
            event.who = Who::anyone;
        } else if (question().about == GuideQuestion::About::check) {
            event.kind = Event::Kind::skip;
            event.reading.check = question().id;
            event.reading.skipped = reason;
        } else {
            event.kind = Event::Kind::pass;
            event.name = question().id;
        }
        put(std::move(event));
    }

    void refuse(std::string problem) {
        // People know a thing by its name.
        const Library& library = desk_.session().library();
        std::string name;
        if (const Trait* trait = find_trait(library, question().id)) name = trait->name;
        if (const Check* check = find_check(library, question().id)) name = check->name;
        if (const std::size_t at = problem.find(question().id); at != std::string::npos && !name.empty())
            problem.replace(at, question().id.size(), name);
        problem = sentence(std::move(problem));
        std::string hint;
        const std::size_t count = question().choices.size();
        if (count > 0) hint = fmt::format(" Type a number from 1 to {}, or its words.", count);
        if (question().quantity)
            hint += fmt::format(" {} an amount, such as {}.", count > 0 ? "Or type" : "Type", question().example);
        desk_.say(problem + hint);
    }

    /// The choice that was meant, or none. Words fit by id, by their beginning, or whole.
    [[nodiscard]] std::optional<std::size_t> choice_of(const std::string& word) {
        const std::vector<Choice>& choices = question().choices;
        if (const auto number = whole_number(word)) {
            if (*number >= 1 && *number <= choices.size()) return *number - 1;
            return std::nullopt;
        }
        std::optional<std::size_t> found;
        const bool denies = is_one_of(word, {"n", "no", "not"});  // not the beginning of "normal"
        for (std::size_t i = 0; i < choices.size(); ++i) {
            if (plain(choices[i].words) == word || choices[i].id == word) return i;
            if (!denies && plain(choices[i].words).starts_with(word)) {
                if (found) return std::nullopt;
                found = i;
            }
        }
        return found;
    }

    void answer(const std::string& typed, const std::string& word) {
        const std::size_t asked = question().number;
        switch (question().about) {
            case GuideQuestion::About::may:
                answer_may(word);
                break;
            case GuideQuestion::About::trait:
                answer_trait(typed, word);
                break;
            case GuideQuestion::About::condition:
                answer_condition(word);
                break;
            case GuideQuestion::About::check:
                answer_check(typed, word);
                break;
            case GuideQuestion::About::none:
                break;
        }
        if (question().number != asked) unanswered_ = 0;
    }

    void answer_may(const std::string& word) {
        const auto choice = choice_of(word);
        if (!choice) return refuse("That is none of the answers.");
        constexpr std::array<Who, 3> kWho = {Who::anyone, Who::technician, Who::licensed};
        Event event;
        event.kind = Event::Kind::may;
        event.who = kWho.at(*choice);
        put(std::move(event));
    }

    void answer_trait(const std::string& typed, const std::string& word) {
        Event event;
        event.kind = Event::Kind::trait;
        std::string value = typed;
        if (!question().quantity)
            if (const auto choice = choice_of(word)) value = question().choices[*choice].id;
        const Diagnostics problems = parse_trait(question().id, value, desk_.session().library(), event.unit);
        if (has_errors(problems) && whole_number(word) && !question().quantity)
            return refuse(fmt::format("There is no answer {}.", word));
        if (has_errors(problems))
            return refuse(question().quantity ? in_one_sentence(problems)
                                              : none_of_them(typed, problems.front().suggestion));
        put(std::move(event));
    }

    void answer_condition(const std::string& word) {
        const bool yes = is_one_of(word, {"1", "yes", "y"});
        if (!yes && !is_one_of(word, {"2", "no", "n"})) return refuse("That is neither yes nor no.");
        Event event;
        event.kind = Event::Kind::held;
        event.name = question().id;
        event.yes = yes;
        put(std::move(event));
    }

    /// Numbers and words of a list become ids; what is neither stays as it was typed.
    [[nodiscard]] std::string ids_of(const std::string& word) {
        std::string out;
        const auto add = [&](const std::string& id) { out += (out.empty() ? "" : ",") + id; };
        const auto each = [](const std::string& list, std::string_view separators, const auto& take) {
            std::string part;
            for (const char c : list + std::string(1, separators.front())) {
                if (separators.find(c) == std::string_view::npos) {
                    part += c;
                } else if (const std::string trimmed = plain(part); !trimmed.empty()) {
                    take(trimmed);
                    part.clear();
                }
            }
        };
        // "freezer too warm, 4": what stands between commas may be words of one answer, or several numbers.
        each(word, ",;", [&](const std::string& part) {
            if (const auto whole = choice_of(part)) return add(question().choices[*whole].id);
            each(part, " ", [&](const std::string& piece) {
                const auto choice = choice_of(piece);
                add(choice ? question().choices[*choice].id : piece);
            });
        });
        return out;
    }

    void answer_check(const std::string& typed, std::string word) {
        const Library& library = desk_.session().library();
        bool sure = true;
        if (word.ends_with('?')) {
            sure = false;
            word = plain(word.substr(0, word.size() - 1));
        }
        std::string value = typed;
        if (question().several) {
            value = ids_of(word);
        } else if (const auto choice = choice_of(word)) {
            value = question().choices[*choice].id;
        }
        Result<Reading> reading = parse_reading(question().id, value, library, desk_.units());
        if (reading) {
            reading->sure = reading->sure && sure;
            Event event;
            event.kind = Event::Kind::reading;
            event.reading = *reading;
            return put(std::move(event));
        }
        // Something else that was seen on the way is taken too.
        const Understood others = read_words(typed, library, desk_.units());
        if (!others.readings.empty() && others.problems.empty()) {
            std::vector<Event> events;
            for (const Reading& other : others.readings) {
                Event event;
                event.kind = Event::Kind::reading;
                event.reading = other;
                events.push_back(std::move(event));
            }
            return after(desk_.step(std::move(events)));
        }
        if (whole_number(word)) return refuse(fmt::format("There is no answer {}.", word));
        if (question().quantity || reading.diagnostics().empty()) return refuse(in_one_sentence(reading.diagnostics()));
        refuse(none_of_them(typed, reading.diagnostics().front().suggestion));
    }

    /// In the words of the question; ids mean nothing to a beginner.
    [[nodiscard]] std::string none_of_them(const std::string& typed, const std::string& nearest) {
        std::string out = fmt::format("{} is none of the answers.", text::quoted(typed));
        for (const Choice& choice : question().choices)
            if (choice.id == nearest) out += fmt::format(" Did you mean: {}?", choice.words);
        return out;
    }

    static std::string sentence(std::string words) {
        if (!words.empty() && words.front() >= 'a' && words.front() <= 'z')
            words.front() = static_cast<char>(words.front() - 'a' + 'A');
        return words;
    }

    Desk desk_;
    std::size_t unanswered_ = 0;  ///< questions in a row
};

}  // namespace

ExitCode run_guide(Context& context, const SessionChoice& choice) {
    return GuidePrompt(context, choice).run();
}

}  // namespace frostread::cli
