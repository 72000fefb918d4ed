#pragma once

#include <memory>
#include <string>
#include <vector>

#include "cli/case_store.hpp"
#include "cli/context.hpp"
#include "cli/io.hpp"
#include "cli/line_input.hpp"
#include "cli/plan_choice.hpp"
#include "frostread/session.hpp"

namespace CLI {
class App;
}

/// What call and guide share: options, opening, keeping and ending. A prompt turns words into events
/// and prints views; it knows nothing of how a view comes about.
namespace frostread::cli {

struct SessionChoice {
    std::string file;
    std::vector<std::string> traits;  ///< TRAIT=VALUE
    std::string units;                ///< empty: as the case has it, else si
    std::string may;
    LibraryChoice library;
    PlanChoice plan;
};

void add_session_options(CLI::App& command, SessionChoice& choice);

/// A session at work on its file. Everything that step() and undo() accept is on disk when they return,
/// or it was said that it is not.
class Desk {
public:
    Desk(Context& context, const SessionChoice& choice, Mode mode, const std::vector<std::string>& commands);

    [[nodiscard]] Session& session() { return *session_; }
    [[nodiscard]] CaseStore& store() { return store_; }
    [[nodiscard]] Context& context() { return context_; }
    [[nodiscard]] const TextStyle& style() const { return context_.out_style; }
    [[nodiscard]] UnitPreference units() const;

    /// The next line of the person.
    [[nodiscard]] LineInput::Line ask();
    const View& step(std::vector<Event> line);
    const View& undo();
    /// Tells at once what to do where a line speaks of gas, smoke or a shock, whatever else it says, and keeps the line
    /// as a note. From then on remind() says what still stands, until declare_safe(). True when it does.
    bool heed(const std::string& typed);
    void remind();
    /// False when there was nothing to declare.
    bool declare_safe();
    /// "save" and "save FILE": what to tell.
    [[nodiscard]] std::string save(const std::string& file);
    /// Text to the person, wrapped.
    void say(const std::string& text);
    void print(const std::string& text) { context_.out << text; }

    /// Whether the session may end now; the first time with unkept readings it says so and means no.
    [[nodiscard]] bool may_leave();
    /// The last words and the exit code.
    [[nodiscard]] ExitCode leave(LineInput::End end);

private:
    void keep();
    [[nodiscard]] static std::string path_for(Context& context, const SessionChoice& choice);

    Context& context_;
    SessionSignals signals_;
    CaseStore store_;
    std::unique_ptr<Session> session_;
    std::unique_ptr<LineInput> input_;
    /// What an earlier session on this case left standing.
    void recall_dangers();

    bool warned_ = false;
    bool touched_ = false;              ///< something was accepted in this session
    std::vector<std::string> dangers_;  ///< ids of cautions that the person called up
};

[[nodiscard]] ExitCode run_call(Context& context, const SessionChoice& choice);
[[nodiscard]] ExitCode run_guide(Context& context, const SessionChoice& choice);

}  // namespace frostread::cli
