// Speed and memory of a temperature log of 30 days at one row a second (2.6 million rows of a time,
// two temperatures and the power): makes the log, then reads and analyses it as the command does.
// Prints figures; nothing here fails.
//   templog_bench           the log is made in memory and measured
//   templog_bench FILE.csv  only writes the log, for a run of the program itself under a clock
#include <fmt/format.h>

#include <chrono>
#include <fstream>
#include <string>

#include "frostread/templog.hpp"
#include "support/log_generator.hpp"

namespace {

using namespace frostread;
using Clock = std::chrono::steady_clock;

double seconds_since(Clock::time_point start) {
    return std::chrono::duration<double>(Clock::now() - start).count();
}

test::GeneratedLog month() {
    test::LogRecipe recipe;
    recipe.hours = 720.0;
    recipe.interval_s = 1.0;
    recipe.watts = true;
    recipe.noise = 0.1;
    recipe.defrost_run_h = 8.0;
    for (int day = 0; day < 30; ++day) {
        for (int opening = 0; opening < 12; ++opening) {
            recipe.door_hours.push_back(day * 24.0 + 8.0 + opening * 1.1);
        }
    }
    return test::generate_log(recipe);
}

std::size_t status_kilobytes(const std::string& key) {
    std::ifstream status("/proc/self/status");
    for (std::string line; std::getline(status, line);) {
        if (line.rfind(key + ":", 0) == 0) return static_cast<std::size_t>(std::stoul(line.substr(key.size() + 1)));
    }
    return 0;
}

}  // namespace

int main(int argc, char** argv) {
    std::string text;
    test::LogTruth truth;
    {
        const test::GeneratedLog made = month();
        text = test::to_csv(made.log);
        truth = made.truth;
    }
    if (argc > 1) {
        std::ofstream(argv[1], std::ios::binary) << text;
        fmt::print("wrote {} ({:.1f} MB)\n", argv[1], static_cast<double>(text.size()) / 1e6);
        return 0;
    }
    fmt::print("{:<28} {:>10.1f} MB\n", "text of the log", static_cast<double>(text.size()) / 1e6);
    auto start = Clock::now();
    Result<Log> log = parse_log(text, "month.csv");
    fmt::print("{:<28} {:>10.2f} s\n", "read", seconds_since(start));
    text = {};
    start = Clock::now();
    const LogFindings found = analyse_log(*log);
    fmt::print("{:<28} {:>10.2f} s\n", "analysed", seconds_since(start));
    start = Clock::now();
    const std::string shown = log_to_text(*log, found, readings_from_log(*log, found, "month.csv"));
    const std::string drawn = log_to_svg(*log, found);
    fmt::print("{:<28} {:>10.2f} s ({} and {} bytes)\n", "written as text and SVG", seconds_since(start), shown.size(),
               drawn.size());
    fmt::print("{:<28} {:>10}\n", "rows", log->seconds.size());
    fmt::print("{:<28} {:>10} of {}\n", "defrosts found", found.defrosts.size(), truth.defrost_starts.size());
    fmt::print("{:<28} {:>10.4f} of {:.4f}\n", "run share", found.run_share.value_or(-1.0), truth.run_share);
    fmt::print("{:<28} {:>10} kB (with the generator; the program alone needs less)\n", "peak memory",
               status_kilobytes("VmHWM"));
    return 0;
}
