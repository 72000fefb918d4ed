#include "cli/terminal.hpp"

#include <fcntl.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <csignal>
#include <cstdlib>
#include <ctime>
#include <iostream>
#include <string>
#include <utility>

namespace frostread::cli {

namespace {

constexpr std::size_t kDefaultWidth = 80;
constexpr std::size_t kNarrowest = 40;
constexpr std::size_t kWidest = 100;  // longer lines are hard to read

std::string utc_now() {
    const std::time_t seconds = std::time(nullptr);
    std::tm parts{};
    gmtime_r(&seconds, &parts);
    std::array<char, 32> text{};
    std::strftime(text.data(), text.size(), "%Y-%m-%dT%H:%M:%SZ", &parts);
    return text.data();
}

std::optional<std::string> environment_value(const std::string& name) {
    const char* value = std::getenv(name.c_str());  // NOLINT(concurrency-mt-unsafe): read before any thread starts
    return value == nullptr ? std::nullopt : std::optional<std::string>(value);
}

extern "C" void end_at_once(int /*signal*/) {
    // Only calls that are safe in a handler.
    const ssize_t unused = ::write(STDERR_FILENO, "\n", 1);
    static_cast<void>(unused);
    _exit(static_cast<int>(ExitCode::interrupted));
}

}  // namespace

TextStyle style_for(bool is_terminal, ColourChoice choice, const Context& context, std::size_t terminal_width) {
    const auto setting = [&](const char* name) {
        return context.environment ? context.environment(name).value_or("") : std::string();
    };
    TextStyle style;
    std::size_t width = terminal_width > 0 ? terminal_width : kDefaultWidth;
    if (const std::string columns = setting("COLUMNS"); !columns.empty()) {
        std::size_t asked = 0;
        const auto [end, error] = std::from_chars(columns.data(), columns.data() + columns.size(), asked);
        if (error == std::errc{} && end == columns.data() + columns.size() && asked > 0) {
            width = asked;
        }
    }
    style.width = std::clamp(width, kNarrowest, kWidest);
    style.colour = choice == ColourChoice::always || (choice == ColourChoice::automatic && is_terminal &&
                                                      setting("TERM") != "dumb" && setting("NO_COLOR").empty());
    return style;
}

std::size_t terminal_width(int descriptor) {
    winsize size{};
    if (isatty(descriptor) == 0 || ioctl(descriptor, TIOCGWINSZ, &size) != 0) {
        return 0;
    }
    return size.ws_col;
}

Context real_context(std::istream& in, std::ostream& out, std::ostream& err) {
    Context context{.in = in,
                    .out = out,
                    .err = err,
                    .out_style = {},
                    .err_style = {},
                    .now = utc_now,
                    .environment = environment_value};
    context.in_descriptor = &in == &std::cin ? STDIN_FILENO : -1;
    context.in_is_terminal = isatty(STDIN_FILENO) != 0;
    context.out_is_terminal = isatty(STDOUT_FILENO) != 0;
    context.err_is_terminal = isatty(STDERR_FILENO) != 0;
    context.out_style =
        style_for(context.out_is_terminal, ColourChoice::automatic, context, terminal_width(STDOUT_FILENO));
    context.err_style =
        style_for(context.err_is_terminal, ColourChoice::automatic, context, terminal_width(STDERR_FILENO));
    return context;
}

void hold_standard_streams() {
    // Opened the wrong way round, so that using them fails as it would have.
    for (const auto& [descriptor, way] :
         {std::pair{STDIN_FILENO, O_WRONLY}, {STDOUT_FILENO, O_RDONLY}, {STDERR_FILENO, O_RDONLY}})
        if (::fcntl(descriptor, F_GETFD) < 0) static_cast<void>(::open("/dev/null", way));
}

void exit_on_interrupt() {
    std::signal(SIGINT, end_at_once);
}

}  // namespace frostread::cli
