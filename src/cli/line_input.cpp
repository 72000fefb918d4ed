#include "cli/line_input.hpp"

#include <poll.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <csignal>
#include <iostream>
#include <istream>
#include <ostream>

namespace frostread::cli {

namespace {

/// A line longer than this is no line that a person typed.
constexpr std::size_t kLongestLine = std::size_t{64} * 1024;

volatile std::sig_atomic_t caught_signal = 0;  // NOLINT(cppcoreguidelines-avoid-non-const-global-variables)

extern "C" void remember_signal(int signal) {
    caught_signal = signal;
}

struct OldSignals {
    sigset_t mask{};
    struct sigaction interrupt {};
    struct sigaction hangup {};
    struct sigaction terminate {};
    struct sigaction pipe {};
    struct sigaction file_size {};
};
OldSignals old_signals;  // NOLINT(cppcoreguidelines-avoid-non-const-global-variables): one session at a time

sigset_t ending_signals() {
    sigset_t set;
    sigemptyset(&set);
    sigaddset(&set, SIGINT);
    sigaddset(&set, SIGHUP);
    sigaddset(&set, SIGTERM);
    return set;
}

/// Standard input by its descriptor.
class DescriptorInput : public LineInput {
public:
    DescriptorInput(std::ostream& out, bool echo) : out_(out), echo_(echo) {}

    Line read(const std::string& prompt) override {
        out_ << prompt << std::flush;
        for (;;) {
            if (const std::size_t end = pending_.find('\n'); end != std::string::npos) {
                std::string text = pending_.substr(0, end);
                pending_.erase(0, end + 1);
                return echoed(std::move(text));
            }
            if (SessionSignals::caught() != 0 || !SessionSignals::wait_readable(STDIN_FILENO))
                return {"", End::interrupted};
            std::array<char, 4096> block{};
            const ssize_t count = ::read(STDIN_FILENO, block.data(), block.size());
            if (count < 0 && errno == EINTR) continue;
            if (count <= 0) {
                // The end of a terminal that is gone may be seen before its signal is.
                const bool gone = SessionSignals::caught() != 0 || (!echo_ && SessionSignals::hung_up(STDIN_FILENO));
                if (pending_.empty()) return {"", gone ? End::interrupted : End::closed};
                return echoed(std::exchange(pending_, ""));
            }
            pending_.append(block.data(), static_cast<std::size_t>(count));
            if (pending_.size() > kLongestLine && pending_.find('\n') == std::string::npos) pending_ += '\n';
        }
    }

private:
    Line echoed(std::string text) {
        if (!text.empty() && text.back() == '\r') text.pop_back();
        if (echo_) out_ << text << "\n";
        return {std::move(text), End::none};
    }

    std::ostream& out_;
    bool echo_;
    std::string pending_;
};

/// Any stream; for tests.
class StreamInput : public LineInput {
public:
    StreamInput(std::istream& in, std::ostream& out) : in_(in), out_(out) {}

    Line read(const std::string& prompt) override {
        out_ << prompt << std::flush;
        Line line;
        if (!std::getline(in_, line.text)) return {"", End::closed};
        out_ << line.text << "\n";
        return line;
    }

private:
    std::istream& in_;
    std::ostream& out_;
};

}  // namespace

SessionSignals::SessionSignals() {
    caught_signal = 0;
    const sigset_t set = ending_signals();
    sigprocmask(SIG_BLOCK, &set, &old_signals.mask);
    struct sigaction action {};
    action.sa_handler = remember_signal;
    sigemptyset(&action.sa_mask);
    sigaction(SIGINT, &action, &old_signals.interrupt);
    sigaction(SIGHUP, &action, &old_signals.hangup);
    sigaction(SIGTERM, &action, &old_signals.terminate);
    action.sa_handler = SIG_IGN;
    sigaction(SIGPIPE, &action, &old_signals.pipe);
    sigaction(SIGXFSZ, &action, &old_signals.file_size);
}

SessionSignals::~SessionSignals() {
    // A hangup comes twice, to the leader and to its group. Once one was heard, the process is on its way
    // out with everything kept: another one shall not end it on the last metres with the wrong code.
    const bool leaving = caught_signal != 0;
    for (const int signal : {SIGINT, SIGHUP, SIGTERM})
        if (leaving) std::signal(signal, SIG_IGN);
    sigprocmask(SIG_SETMASK, &old_signals.mask, nullptr);
    if (!leaving) {
        sigaction(SIGINT, &old_signals.interrupt, nullptr);
        sigaction(SIGHUP, &old_signals.hangup, nullptr);
        sigaction(SIGTERM, &old_signals.terminate, nullptr);
    }
    sigaction(SIGPIPE, &old_signals.pipe, nullptr);
    sigaction(SIGXFSZ, &old_signals.file_size, nullptr);
}

int SessionSignals::caught() {
    return caught_signal;
}

bool SessionSignals::wait_readable(int descriptor) {
    sigset_t while_waiting;
    sigprocmask(SIG_BLOCK, nullptr, &while_waiting);
    const sigset_t ending = ending_signals();
    for (const int signal : {SIGINT, SIGHUP, SIGTERM})
        if (sigismember(&ending, signal) == 1) sigdelset(&while_waiting, signal);
    for (;;) {
        struct pollfd wanted {
            descriptor, POLLIN, 0
        };
        const int ready = ppoll(&wanted, 1, nullptr, &while_waiting);
        if (caught_signal != 0) return false;
        if (ready >= 0 || errno != EINTR) return true;  // an error shows itself in the read that follows
    }
}

bool SessionSignals::hung_up(int descriptor) {
    struct pollfd wanted {
        descriptor, POLLIN, 0
    };
    return ::poll(&wanted, 1, 0) > 0 && (wanted.revents & (POLLHUP | POLLERR | POLLNVAL)) != 0;
}

std::unique_ptr<LineInput> make_line_input(Context& context, const Completer& completer) {
    if (&context.in != &std::cin) return std::make_unique<StreamInput>(context.in, context.out);
    if (context.in_is_terminal && context.out_is_terminal && context.environment) {
        const std::string kind = context.environment("TERM").value_or("dumb");
        if (!kind.empty() && kind != "dumb")
            if (auto editor = make_edit_input(completer)) return editor;
    }
    return std::make_unique<DescriptorInput>(context.out, !context.in_is_terminal);
}

}  // namespace frostread::cli
