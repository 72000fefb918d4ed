#include "rules/shipped.hpp"

#include <algorithm>
#include <cstdio>
#include <fstream>
#include <iterator>
#include <stdexcept>

#include "support/builders.hpp"
#include "support/paths.hpp"

namespace frostread::test {

namespace {

std::pair<std::string, std::string> split(const std::string& typed) {
    const std::size_t equals = typed.find('=');
    if (equals == std::string::npos) {
        throw std::runtime_error("no '=' in " + typed);
    }
    return {typed.substr(0, equals), typed.substr(equals + 1)};
}

}  // namespace

std::shared_ptr<const CompiledLibrary> shipped() {
    static const std::shared_ptr<const CompiledLibrary> compiled = [] {
        Result<Library> library = load_library(embedded_library_sources());
        if (!library) {
            throw std::runtime_error(to_lines(library.diagnostics()));
        }
        return compile(std::make_shared<const Library>(std::move(library).value()));
    }();
    return compiled;
}

Case typed_case(const std::vector<std::string>& unit, const std::vector<std::string>& readings) {
    const Library& library = shipped()->library();
    Case the_case;
    for (const std::string& typed : unit) {
        const auto [trait, value] = split(typed);
        const Diagnostics refused = parse_trait(trait, value, library, the_case.unit);
        if (!refused.empty()) {
            throw std::runtime_error(typed + "\n" + to_lines(refused));
        }
    }
    for (const std::string& typed : readings) {
        const auto [check, value] = split(typed);
        Result<Reading> reading = parse_reading(check, value, library, UnitPreference::si);
        if (!reading) {
            throw std::runtime_error(typed + "\n" + to_lines(reading.diagnostics()));
        }
        the_case.readings.push_back(std::move(reading).value());
    }
    return the_case;
}

double Ranking::of(std::string_view fault) const {
    const std::size_t at = place(fault);
    return at == 0 ? 0.0 : faults[at - 1].second;
}

double Ranking::of_grade(std::string_view fault, std::string_view grade) const {
    const std::string wanted = std::string(fault) + ":" + std::string(grade);
    for (const auto& [name, probability] : grades) {
        if (name == wanted) {
            return probability;
        }
    }
    return 0.0;
}

std::size_t Ranking::place(std::string_view fault) const {
    for (std::size_t at = 0; at < faults.size(); ++at) {
        if (faults[at].first == fault) {
            return at + 1;
        }
    }
    return 0;
}

std::string Ranking::leader() const {
    const double best = faults.empty() ? 0.0 : faults.front().second;
    if (nothing_wrong >= best && nothing_wrong >= something_else) {
        return "nothing-wrong";
    }
    return something_else >= best ? "something-else" : faults.front().first;
}

std::string Ranking::first(std::size_t count) const {
    std::string text;
    for (std::size_t at = 0; at < std::min(count, faults.size()); ++at) {
        char number[16];
        std::snprintf(number, sizeof number, " %.3f", faults[at].second);
        text += (at == 0 ? "" : ", ") + faults[at].first + number;
    }
    return text;
}

Ranking diagnose(const Case& the_case) {
    const UnitModel model = fit_to_unit(shipped(), the_case.unit);
    const Posterior posterior = infer(model, gather(model, the_case));
    const Library& library = shipped()->library();
    Ranking ranking;
    ranking.nothing_wrong = posterior.nothing_wrong;
    ranking.something_else = posterior.something_else;
    for (const RankedFault& ranked : rank(model, posterior)) {
        const Fault& fault = library.faults[ranked.fault];
        ranking.faults.emplace_back(fault.id, ranked.probability);
        for (std::size_t grade = 0; grade < fault.grades.size(); ++grade) {
            ranking.grades.emplace_back(fault.id + ":" + fault.grades[grade].id, ranked.grades[grade]);
        }
    }
    return ranking;
}

Ranking diagnose(const std::vector<std::string>& unit, const std::vector<std::string>& readings) {
    return diagnose(typed_case(unit, readings));
}

std::string rules_test_file(const std::string& name) {
    const std::string path = source_dir() + "/tests/rules/" + name;
    std::ifstream in(path, std::ios::binary);
    if (!in) {
        throw std::runtime_error("cannot read " + path);
    }
    return {std::istreambuf_iterator<char>(in), {}};
}

}  // namespace frostread::test
