#include "cli/prompt.hpp"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <ostream>
#include <streambuf>
#include <utility>

#include "base/text.hpp"
#include "cli/options.hpp"
#include "cli/prompt_words.hpp"
#include "frostread/files.hpp"
#include "present/text_session.hpp"
#include "present/writers.hpp"

namespace frostread::cli {

namespace {

Who who_of_word(const std::string& word) {
    if (word == "licensed") return Who::licensed;
    return word == "technician" ? Who::technician : Who::anyone;
}

/// Takes what nobody can read any more. It outlives the standard streams, which are flushed last of all.
class Nowhere : public std::streambuf {
protected:
    int_type overflow(int_type character) override { return traits_type::not_eof(character); }
    std::streamsize xsputn(const char* /*text*/, std::streamsize count) override { return count; }
};

std::streambuf& nowhere() {
    static auto* const buffer = new Nowhere;
    return *buffer;
}

constexpr std::string_view kDanger = "danger: ";
constexpr std::string_view kDangerOver = "danger over";

}  // namespace

void add_session_options(CLI::App& command, SessionChoice& choice) {
    command.add_option("CASE", choice.file,
                       "the case file: gone on with when it is there, else begun; without it a new file gets a name "
                       "by date and time");
    add_list_option(command, "-u,--unit", choice.traits, "TRAIT=VALUE",
                    "what is known of the unit: layout=freezer-top, refrigerant=R-600a, age_years=11", "Input");
    add_units_option(command, choice.units);
    command
        .add_option("--may", choice.may,
                    "the highest work you may do: anyone (no mains, no refrigerant), technician or licensed")
        ->type_name("WHO")
        ->check(one_of({"anyone", "technician", "licensed"}))
        ->group("Input");
    add_library_options(command, choice.library);
    add_plan_options(command, choice.plan);
}

std::string Desk::path_for(Context& context, const SessionChoice& choice) {
    if (choice.file == "-")
        throw Stop(ExitCode::usage,
                   "a session keeps its case in a file and reads what you type from standard "
                   "input: give a file name, not -");
    return choice.file.empty() ? new_case_path(context.now()) : choice.file;
}

Desk::Desk(Context& context, const SessionChoice& choice, Mode mode, const std::vector<std::string>& commands)
    : context_(context), store_(path_for(context, choice), context) {
    auto library = std::make_shared<const Library>(load_chosen_library(context, choice.library));
    Case the_case = store_.open(*library);
    Diagnostics problems;
    for (const std::string& typed : choice.traits) {
        const NameAndValue part = split_assignment(typed, "-u", "TRAIT=VALUE");
        append(problems, parse_trait(part.name, part.value, *library, the_case.unit));
    }
    if (has_errors(problems)) throw Stop(ExitCode::bad_input, std::move(problems), "no session was begun");
    std::vector<std::string>& cannot = the_case.job.cannot;
    for (const std::string& what : missing_things(*library, choice.plan.can_not))
        if (std::find(cannot.begin(), cannot.end(), what) == cannot.end()) cannot.push_back(what);

    if (choice.plan.worth) the_case.unit.numbers.emplace("worth", *choice.plan.worth);  // it goes with the case
    SessionOptions options;
    options.mode = mode;
    options.plan = plan_options(*library, choice.plan);
    if (!choice.units.empty()) the_case.job.units = choice.units;
    options.units = unit_preference(the_case.job.units);
    if (!choice.may.empty()) options.may = who_of_word(choice.may);
    input_ = make_line_input(
        context, [library, commands](std::string_view before) { return completions(before, *library, commands); });
    session_ = std::make_unique<Session>(compile(library), std::move(the_case), std::move(options));
    if (!store_.lock_trouble().empty())
        context_.err << present::wrapped(
            fmt::format("{} cannot be kept here: {}. Say: save FILE, to keep it elsewhere.", store_.path(),
                        store_.lock_trouble()),
            context_.err_style.width, "! ", "  ");
    recall_dangers();
    if (!choice.traits.empty() || !choice.plan.can_not.empty()) keep();
}

UnitPreference Desk::units() const {
    return session_->options().units;
}

LineInput::Line Desk::ask() {
    context_.err.flush();
    return input_->read(store_.saved() ? "> " : "(not kept) > ");
}

bool Desk::heed(const std::string& typed) {
    const std::vector<std::string> cautions = cautions_of_alarm(session_->library(), typed);
    if (cautions.empty()) return false;
    print(present::caution_block(session_->tell(cautions), style()));
    for (const std::string& id : cautions)
        if (std::find(dangers_.begin(), dangers_.end(), id) == dangers_.end()) dangers_.push_back(id);
    Event note;
    note.kind = Event::Kind::note;
    note.text = std::string(kDanger) + std::string(text::trim(typed));
    static_cast<void>(step({note}));
    return true;
}

void Desk::remind() {
    for (const std::string& id : dangers_)
        print(present::caution_block(
            {{id, fmt::format("You spoke of this: {}. What is proposed waits until it is over; then say: safe.",
                              find_caution(session_->library(), id)->name)}},
            style()));
}

bool Desk::declare_safe() {
    const bool was = !dangers_.empty();
    dangers_.clear();
    if (!was) return false;
    Event note;
    note.kind = Event::Kind::note;
    note.text = kDangerOver;
    static_cast<void>(step({note}));
    return true;
}

void Desk::recall_dangers() {
    std::string notes = session_->the_case().note;
    for (const Reading& reading : session_->the_case().readings) notes += "; " + reading.note;
    if (const std::size_t over = notes.rfind(kDangerOver); over != std::string::npos) notes.erase(0, over);
    if (const std::size_t danger = notes.find(kDanger); danger != std::string::npos)
        dangers_ = cautions_of_alarm(session_->library(), std::string_view(notes).substr(danger));
}

void Desk::keep() {
    touched_ = true;
    warned_ = false;
    const bool was_saved = store_.saved();
    if (const std::string trouble = store_.save(session_->the_case()); !trouble.empty()) {
        context_.out.flush();
        context_.err << present::wrapped(
            fmt::format("NOT KEPT ON DISK: {}. The session goes on and holds everything in memory; every line tries "
                        "again. Say: save FILE, to keep it elsewhere.",
                        trouble),
            context_.err_style.width, "! ", "  ");
    } else if (!was_saved) {
        context_.out << "kept again in " << store_.path() << "\n";
    }
}

const View& Desk::step(std::vector<Event> line) {
    for (Event& event : line)
        if ((event.kind == Event::Kind::reading || event.kind == Event::Kind::skip) && event.reading.at.empty())
            event.reading.at = context_.now();
    const View& view = session_->step(std::move(line));
    keep();
    return view;
}

const View& Desk::undo() {
    const View& view = session_->undo(context_.now());
    if (!view.nothing_to_undo) keep();
    return view;
}

std::string Desk::save(const std::string& file) {
    warned_ = false;
    if (file.empty() || file == store_.path()) {
        const std::string trouble = store_.save(session_->the_case());
        return trouble.empty() ? fmt::format("kept in {}", store_.path()) : fmt::format("not kept: {}", trouble);
    }
    const std::string old = store_.path();
    const bool old_is_good = store_.saved() && (touched_ || store_.existed());
    const std::string trouble = store_.move_to(file, session_->the_case());
    if (!trouble.empty()) return fmt::format("not kept: {}", trouble);
    touched_ = true;
    return fmt::format("kept in {} from now on{}", file, old_is_good ? fmt::format("; {} stays as it was", old) : "");
}

void Desk::say(const std::string& text) {
    context_.out << present::wrapped(text, style().width, "", "  ");
}

bool Desk::may_leave() {
    if (store_.saved() || warned_) return true;
    warned_ = true;
    say(
        fmt::format("Not everything is on disk: {} could not be written. Say: save FILE. Or quit again to leave "
                    "without it.",
                    store_.path()));
    return false;
}

ExitCode Desk::leave(LineInput::End end) {
    if (end != LineInput::End::none) context_.out << "\n";
    ExitCode code = end == LineInput::End::interrupted ? ExitCode::interrupted : ExitCode::done;
    if (!store_.saved() && !store_.save(session_->the_case()).empty()) {
        const std::string rescued = end == LineInput::End::none ? "" : store_.rescue(session_->the_case());
        context_.out.flush();
        context_.err << present::wrapped(
            rescued.empty() ? fmt::format("{} was not written; what was typed since is lost", store_.path())
                            : fmt::format("{} could not be written; the case was put into {}", store_.path(), rescued),
            context_.err_style.width, "! ", "  ");
        code = end == LineInput::End::interrupted ? code : ExitCode::not_written;
    } else if (touched_) {
        say(fmt::format("kept in {}", store_.path()));
    } else {
        say(store_.existed() ? "nothing new was said; the case is as it was"
                             : "nothing was said, and no file was made");
    }
    // A reader that went away is no failure of ours once the case is safe.
    context_.out.flush();
    if (!context_.out) {
        context_.out.rdbuf(&nowhere());
        context_.out.clear();
    }
    return code;
}

}  // namespace frostread::cli
