// The engine beside two general-purpose solvers, on models small or simple enough for them:
//   posterior of every fault:     the join tree of dlib
//   most probable set of faults:  toulbar2 (run as a program, when it is installed)
// Prints times and whether the answers agree; nothing here fails.
#include <fmt/format.h>
#include <sys/resource.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <memory>
#include <random>
#include <string>
#include <vector>

#include "engine/case_sums.hpp"
#include "frostread/engine.hpp"
#include "support/join_tree.hpp"
#include "support/random_library.hpp"
#include "support/two_outcome_library.hpp"

namespace {

using namespace frostread;
using namespace frostread::test;
using Clock = std::chrono::steady_clock;

double seconds_since(Clock::time_point start) {
    return std::chrono::duration<double>(Clock::now() - start).count();
}

/// Faults that each touch about `touch` of the checks; one or two faults are present and make findings.
TwoOutcomeNetwork random_network(std::mt19937_64& random, std::size_t faults, std::size_t checks, double touch) {
    TwoOutcomeNetwork network;
    for (std::size_t f = 0; f < faults; ++f) network.odds.push_back(0.005 + 0.03 * uniform(random));
    network.second_factor = 1.0;
    const auto first = static_cast<std::size_t>(uniform(random) * static_cast<double>(faults));
    const auto second = static_cast<std::size_t>(uniform(random) * static_cast<double>(faults));
    const bool both = uniform(random) < 0.3;
    for (std::size_t i = 0; i < checks; ++i) {
        TwoOutcomeNetwork::Finding finding;
        finding.background = 0.01 + 0.04 * uniform(random);
        double away = 1.0 - finding.background;
        for (std::size_t f = 0; f < faults; ++f) {
            const double link = uniform(random) < touch ? 0.3 + 0.65 * uniform(random) : 0.0;
            finding.link.push_back(link);
            if (f == first || (both && f == second)) away *= 1.0 - link;
        }
        finding.shows = uniform(random) >= away;
        finding.trust = 0.98;
        network.findings.push_back(finding);
    }
    return network;
}

/// Best of many, in seconds: from nothing but the compiled library, and with what is kept of single readings
/// once they were seen (as in a batch), but never with the sums of the case itself.
struct EngineTime {
    double from_nothing = 1e9, with_rows = 1e9;
};

EngineTime time_engine(const UnitModel& model, const Findings& findings, int repeats, Posterior& posterior) {
    EngineTime time;
    for (const bool rows : {true, false})
        for (int block = 0; block < 5; ++block) {
            double seconds = 0.0;
            for (int repeat = 0; repeat < repeats / 5; ++repeat) {
                forget_latest_case(rows);
                const auto start = Clock::now();
                posterior = infer(model, findings);
                seconds += seconds_since(start);
            }
            double& best = rows ? time.from_nothing : time.with_rows;
            best = std::min(best, seconds / (repeats / 5));
        }
    return time;
}

// ---------------------------------------------------------------- dlib

void against_join_tree() {
    fmt::print("posterior of every fault, against the join tree of dlib\n");
    fmt::print("{:>7}{:>8}{:>14}{:>14}{:>10}{:>14}{:>13}\n", "faults", "checks", "dlib, µs", "engine, µs", "times",
               "rows kept, µs", "difference");
    for (const std::size_t faults : {4U, 6U, 8U, 9U}) {
        std::mt19937_64 random(7 + faults);
        constexpr int kNetworks = 5, kRepeats = 2000;
        double dlib_best = 1e9, ours_best = 1e9, kept_best = 1e9, difference = 0.0;
        for (int n = 0; n < kNetworks; ++n) {
            TwoOutcomeNetwork network = random_network(random, faults, 12, 0.6);
            network.second_factor = 0.5;
            double solve = 0.0;
            std::vector<double> theirs;
            for (int repeat = 0; repeat < 3; ++repeat) {
                theirs = join_tree_posterior(network, &solve);
                dlib_best = std::min(dlib_best, solve);
            }
            const UnitModel model = fit_to_unit(compile(std::make_shared<const Library>(as_library(network, 1.0))), {});
            const Findings findings = as_findings(network);
            Posterior posterior;
            const EngineTime time = time_engine(model, findings, kRepeats, posterior);
            ours_best = std::min(ours_best, time.from_nothing);
            kept_best = std::min(kept_best, time.with_rows);
            for (std::size_t f = 0; f < faults; ++f)
                difference = std::max(difference, std::abs(theirs[f] - posterior.fault[f]));
        }
        fmt::print("{:>7}{:>8}{:>14.1f}{:>14.2f}{:>10.0f}{:>14.2f}{:>13.1e}\n", faults, 12, dlib_best * 1e6,
                   ours_best * 1e6, dlib_best / ours_best, kept_best * 1e6, difference);
    }
    fmt::print("dlib: making the join tree and asking for every fault, without setting up the network\n\n");
}

// ---------------------------------------------------------------- toulbar2

/// The same model as a product of tables (UAI format): one table per fault, one per finding over the faults
/// that touch it.
void write_uai(const TwoOutcomeNetwork& network, const std::string& path) {
    std::ofstream out(path);
    out.precision(17);
    const std::size_t faults = network.odds.size();
    out << "MARKOV\n" << faults << "\n";
    for (std::size_t f = 0; f < faults; ++f) out << "2 ";
    out << "\n" << faults + network.findings.size() << "\n";
    for (std::size_t f = 0; f < faults; ++f) out << "1 " << f << "\n";
    std::vector<std::vector<std::size_t>> touching;
    for (const auto& finding : network.findings) {
        std::vector<std::size_t> who;
        for (std::size_t f = 0; f < faults; ++f)
            if (finding.link[f] > 0.0) who.push_back(f);
        if (who.empty()) who.push_back(0);
        out << who.size();
        for (const std::size_t f : who) out << " " << f;
        out << "\n";
        touching.push_back(std::move(who));
    }
    for (std::size_t f = 0; f < faults; ++f) out << "2\n1 " << network.odds[f] << "\n";
    for (std::size_t i = 0; i < network.findings.size(); ++i) {
        const auto& finding = network.findings[i];
        const auto& who = touching[i];
        out << (std::size_t{1} << who.size()) << "\n";
        for (std::size_t bits = 0; bits < (std::size_t{1} << who.size()); ++bits) {
            double away = 1.0 - finding.background;
            for (std::size_t k = 0; k < who.size(); ++k)  // the last variable of a table changes fastest
                if ((bits >> (who.size() - 1 - k)) & 1U) away *= 1.0 - finding.link[who[k]];
            out << finding.trust * (finding.shows ? 1.0 - away : away) + (1.0 - finding.trust) * 0.5 << " ";
        }
        out << "\n";
    }
}

struct Solved {
    bool ok = false;
    std::vector<std::size_t> present;
    double said_seconds = 0.0, cpu_seconds = 0.0;
};

double children_seconds() {
    rusage usage{};
    getrusage(RUSAGE_CHILDREN, &usage);
    const auto seconds = [](const timeval& t) {
        return static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_usec);
    };
    return seconds(usage.ru_utime) + seconds(usage.ru_stime);
}

Solved run_toulbar2(const std::string& path) {
    Solved out;
    const double before = children_seconds();
    FILE* pipe = popen(fmt::format("timeout 60 toulbar2 {} -s 2>/dev/null", path).c_str(), "r");
    if (pipe == nullptr) return out;
    std::string text, solution;
    char buffer[4096];
    while (std::fgets(buffer, sizeof buffer, pipe) != nullptr) {
        const std::string line = buffer;
        // After "New solution:" the next line gives the values; the last one is the optimum.
        if (text.find("New solution") != std::string::npos) solution = line;
        text = line;
        if (const std::size_t at = line.find(") and "); line.rfind("Optimum:", 0) == 0 && at != std::string::npos) {
            out.ok = true;
            out.said_seconds = std::stod(line.substr(at + 6));
        }
    }
    pclose(pipe);
    out.cpu_seconds = children_seconds() - before;
    std::size_t fault = 0;
    for (const char c : solution) {
        if (c == '1') out.present.push_back(fault);
        if (c == '0' || c == '1') ++fault;
    }
    return out;
}

void against_toulbar2() {
    if (std::system("command -v toulbar2 >/dev/null 2>&1") != 0) {
        fmt::print("toulbar2 is not installed (Debian package: toulbar2): not compared\n");
        return;
    }
    fmt::print("most probable set of faults, 80 faults and 120 checks of two outcomes, against toulbar2\n");
    const std::string path = fmt::format("/tmp/frostread-map-{}.uai", static_cast<long>(getpid()));
    std::mt19937_64 random(80);
    constexpr int kNetworks = 12;
    int solved = 0, small = 0, same = 0;
    double said = 0.0, cpu = 0.0, ours = 0.0, kept = 0.0;
    for (int n = 0; n < kNetworks; ++n) {
        const TwoOutcomeNetwork network = random_network(random, 80, 120, 0.05);
        write_uai(network, path);
        const Solved theirs = run_toulbar2(path);
        if (!theirs.ok) continue;
        ++solved;
        said += theirs.said_seconds;
        cpu += theirs.cpu_seconds;
        Library library = as_library(network, 1.0);
        const UnitModel model = fit_to_unit(compile(std::make_shared<const Library>(std::move(library))), {});
        const Findings findings = as_findings(network);
        Posterior posterior;
        const EngineTime time = time_engine(model, findings, 100, posterior);
        ours += time.from_nothing;
        kept += time.with_rows;
        if (theirs.present.size() > 2) continue;
        ++small;
        std::vector<std::size_t> mine;
        const FaultSet& first = posterior.sets.front().set;
        for (std::size_t i = 0; i < first.size; ++i) mine.push_back(first.members.at(i));
        same += mine == theirs.present ? 1 : 0;
    }
    std::remove(path.c_str());
    if (solved == 0) {
        fmt::print("toulbar2 solved none within 60 s\n");
        return;
    }
    fmt::print("solved {} of {}; at most two faults in {}, the same set in {}\n", solved, kNetworks, small, same);
    fmt::print("mean time: toulbar2 {:.1f} ms as it says itself, {:.1f} ms of processor time with reading the file;\n",
               1e3 * said / solved, 1e3 * cpu / solved);
    fmt::print("           engine {:.1f} µs: {:.0f} and {:.0f} times faster ({:.1f} µs with rows kept)\n",
               1e6 * ours / solved, said / ours, cpu / ours, 1e6 * kept / solved);
}

}  // namespace

int main() {
    against_join_tree();
    against_toulbar2();
}
