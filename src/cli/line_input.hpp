#pragma once

#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "cli/context.hpp"

/// Lines from a person or a pipe. Signals that end a session are held back and delivered only while
/// a line is awaited, so nothing is ever cut off half done: not a save, not a page of output.
namespace frostread::cli {

/// Words that may follow what stands before the cursor; each replaces the last word there.
using Completer = std::function<std::vector<std::string>(std::string_view before_cursor)>;

class LineInput {
public:
    enum class End {
        none,         ///< here is a line
        closed,       ///< end of input
        interrupted,  ///< Ctrl-C, hangup or a request to end
    };
    struct Line {
        std::string text;
        End end = End::none;
    };

    LineInput() = default;
    LineInput(const LineInput&) = delete;
    LineInput& operator=(const LineInput&) = delete;
    virtual ~LineInput() = default;
    /// Shows the prompt and waits.
    [[nodiscard]] virtual Line read(const std::string& prompt) = 0;
};

/// While it lives: Ctrl-C, hangup and termination wait for the next read; a closed pipe and a file
/// that grows beyond its limit are errors of the write and no longer end the process.
class SessionSignals {
public:
    SessionSignals();
    SessionSignals(const SessionSignals&) = delete;
    SessionSignals& operator=(const SessionSignals&) = delete;
    ~SessionSignals();

    /// The signal that came, or 0.
    [[nodiscard]] static int caught();
    /// Waits until `descriptor` can be read. False when a signal came instead.
    [[nodiscard]] static bool wait_readable(int descriptor);
    /// Whether the other side of a terminal is gone.
    [[nodiscard]] static bool hung_up(int descriptor);
};

/// Line editing when the input is a real terminal that can do it and the program was built with it;
/// else plain lines. What is read from a pipe is echoed, so that the output is a whole transcript.
[[nodiscard]] std::unique_ptr<LineInput> make_line_input(Context& context, const Completer& completer);

/// With libedit; null when it was not there at build time. line_input_edit.cpp
[[nodiscard]] std::unique_ptr<LineInput> make_edit_input(const Completer& completer);

/// Whether this program was built with line editing.
[[nodiscard]] bool has_line_editing();

}  // namespace frostread::cli
