#pragma once

#include <exception>
#include <functional>
#include <iosfwd>
#include <optional>
#include <string>
#include <utility>

#include "cli/exit_codes.hpp"
#include "frostread/diagnostic.hpp"
#include "frostread/present.hpp"

/// What a command is given of the world. Tests pass fakes, so no command asks the system itself.
namespace frostread::cli {

struct Context {
    std::istream& in;
    std::ostream& out;  ///< results only
    std::ostream& err;  ///< everything else
    bool in_is_terminal = false;
    bool out_is_terminal = false;
    bool err_is_terminal = false;
    TextStyle out_style;
    TextStyle err_style;
    std::function<std::string()> now;  ///< ISO 8601, UTC, whole seconds
    std::function<std::optional<std::string>(const std::string&)> environment;
    int in_descriptor = -1;  ///< of `in`, when it is the real standard input
};

/// Ends a command with a code. Either diagnostics (printed as file:line:column: error: …) or one
/// plain sentence, and an optional last line such as "nothing was diagnosed".
class Stop : public std::exception {
public:
    Stop(ExitCode code, std::string sentence) : code_(code), sentence_(std::move(sentence)) {}
    Stop(ExitCode code, Diagnostics diagnostics, std::string outcome = "")
        : code_(code), diagnostics_(std::move(diagnostics)), outcome_(std::move(outcome)) {}

    [[nodiscard]] const char* what() const noexcept override { return sentence_.c_str(); }
    [[nodiscard]] ExitCode code() const { return code_; }
    [[nodiscard]] const std::string& sentence() const { return sentence_; }
    [[nodiscard]] const Diagnostics& diagnostics() const { return diagnostics_; }
    /// What came of it, said after the errors: "nothing was diagnosed".
    [[nodiscard]] const std::string& outcome() const { return outcome_; }

private:
    ExitCode code_;
    std::string sentence_;
    Diagnostics diagnostics_;
    std::string outcome_;
};

/// Prints warnings and errors on `context.err` as file:line:column lines.
void print_diagnostics(Context& context, const Diagnostics& diagnostics);

}  // namespace frostread::cli
