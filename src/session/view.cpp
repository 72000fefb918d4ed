#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "present/report_words.hpp"
#include "session/facts.hpp"

/// What one line did, in words and numbers: the echo, the ranking, what a reading spoke for.
namespace frostread::session {

namespace {

constexpr double kAsUsual = 1.5;       ///< spreads from normal that a gauge may be off without a remark
constexpr double kWorthNaming = 0.02;  ///< a fault below this before and after is not named
constexpr double kMoved = 1.0;         ///< decibans by which odds must change to be named
constexpr std::size_t kMostNamed = 3;

/// The quantity as the person wrote it, with its measure; none for a bare number or a word.
std::optional<Quantity> as_typed(const Check& check, const Reading& reading) {
    const Measure* own = find_measure(check.unit);
    if (own == nullptr || !reading.value || reading.typed.empty()) return std::nullopt;
    std::string typed = reading.typed;
    while (!typed.empty() && (typed.back() == '?' || typed.back() == ' ')) typed.pop_back();
    if (Result<Quantity> quantity = parse_quantity(typed, own->dimension)) return *quantity;
    return std::nullopt;
}

/// In words, in the measure that was typed, or to three digits in the preferred one.
std::string quantity_words(const Check& check, const Reading& reading, UnitPreference units) {
    if (const auto typed = as_typed(check, reading)) return to_text(*typed, 4);
    const Measure* own = find_measure(check.unit);
    if (own == nullptr) return present::check_quantity(check, *reading.value, units);
    return to_text(convert({*reading.value, own}, preferred_measure(own->dimension, units)), 3);
}

/// A difference in the person's measure; a temperature difference has no offset.
std::string difference_words(const Check& check, double difference, bool fahrenheit) {
    const double size = std::abs(difference);
    if (check.normal.percent) return fmt::format("{:.0f} %", size);
    const Measure* measure = find_measure(check.unit);
    if (measure == nullptr) return fmt::format("{:.3g}", size);
    if (measure->dimension == Dimension::temperature) {
        if (fahrenheit) return fmt::format("{:.0f} °F", size * 1.8);
        return fmt::format("{:.0f} K", size);
    }
    return to_text({size, measure}, 3);
}

std::string gauge_remark(const Check& check, const Finding& finding, const Reading& reading, UnitPreference units) {
    const auto typed = as_typed(check, reading);
    const bool fahrenheit = typed ? typed->measure->symbol == "°F" : units == UnitPreference::us;
    if (std::abs(finding.deviation) <= kAsUsual * check.normal.spread) return "about normal";
    return fmt::format("{} {} normal", difference_words(check, finding.deviation, fahrenheit),
                       finding.deviation > 0 ? "above" : "below");
}

double odds_db(double p) {
    const double kept = std::clamp(p, 1e-12, 1.0 - 1e-12);
    return 10.0 * std::log10(kept / (1.0 - kept));
}

}  // namespace

Recorded recorded_alone(const Library& library, const Reading& reading, UnitPreference units) {
    Recorded out;
    out.check = reading.check;
    out.name = reading.check;
    out.skipped = reading.skipped.has_value();
    const Check* check = find_check(library, reading.check);
    if (check == nullptr) return out;
    out.name = check->name;
    if (reading.skipped) {
        out.words = *reading.skipped;
    } else if (reading.value && reading.outcomes.empty()) {
        out.words = quantity_words(*check, reading, units);
    } else {
        out.words = present::reading_words(*check, reading, units).words;
    }
    return out;
}

Recorded recorded_of(const Library& library, const Case& the_case, const Findings& findings, std::size_t reading,
                     UnitPreference units) {
    const Reading& source = the_case.readings[reading];
    Recorded out = recorded_alone(library, source, units);
    out.reading = reading;
    const Check* check = find_check(library, source.check);
    if (check == nullptr || source.skipped) return out;
    for (const Finding& finding : findings.items) {
        if (finding.reading != reading) continue;
        if (check->kind == CheckKind::gauge) out.remark = gauge_remark(*check, finding, source, units);
        if (check->kind == CheckKind::banded && source.value) {
            out.remark = check->outcomes[finding.outcome].name;
            if (!check->reference.empty() && !reference_value(library, check->reference, the_case))
                for (const std::string& id : traits_of_reference(library, check->reference))
                    if (the_case.unit.numbers.count(id) == 0 && the_case.unit.words.count(id) == 0)
                        out.unknown_traits.push_back(id);
        }
    }
    for (const std::string& id : out.unknown_traits)
        out.remark += fmt::format(", {} not known", find_trait(library, id)->name);
    if (!source.sure) out.remark += out.remark.empty() ? "not sure" : ", not sure";
    return out;
}

std::vector<std::string> warnings_of(const Diagnosis& now, const Case& the_case) {
    Findings kept;
    for (const FindingNote& note : now.findings.notes)
        if (note.kind != NoteKind::trust_lowered) kept.notes.push_back(note);
    std::vector<std::string> out = present::note_sentences(now.model.compiled().library(), the_case, kept);
    for (const ReportDoubt& doubt : now.report.doubtful)
        out.push_back(
            fmt::format("Does not fit the rest: {}: {}. Measure it again.", doubt.check_name, doubt.value_words));
    return out;
}

std::vector<Leader> leaders_of(const Report& report) {
    std::vector<Leader> out;
    for (const ReportFault& fault : report.faults)
        out.push_back({fault.id, fault.name, fault.probability, fault.probability});
    out.push_back({"nothing-wrong", "nothing wrong", report.nothing_wrong, report.nothing_wrong});
    out.push_back({"something-else", "something not listed", report.something_else, report.something_else});
    std::stable_sort(out.begin(), out.end(), [](const Leader& a, const Leader& b) { return a.now > b.now; });
    return out;
}

Spoke spoke_of(const Diagnosis& now, const Case& the_case, std::size_t reading, const InferOptions& options) {
    Spoke out;
    out.reading = reading;
    out.counts = std::any_of(now.findings.items.begin(), now.findings.items.end(),
                             [&](const Finding& f) { return f.reading == reading; });
    if (!out.counts) return out;
    // Everything else as it would stand without it: what it silenced speaks again.
    Case without = the_case;
    without.readings.erase(without.readings.begin() + static_cast<std::ptrdiff_t>(reading));
    const Posterior before = infer(now.model, gather(now.model, without), options);
    const Library& library = now.model.compiled().library();
    std::vector<std::pair<double, Leader>> moved;
    const auto weigh = [&](const std::string& id, const std::string& name, double was, double is) {
        if (std::max(was, is) < kWorthNaming) return;
        moved.emplace_back(odds_db(is) - odds_db(was), Leader{id, name, was, is});
    };
    for (std::size_t f = 0; f < library.faults.size(); ++f)
        weigh(library.faults[f].id, library.faults[f].name, before.fault[f], now.posterior.fault[f]);
    weigh("nothing-wrong", "nothing wrong", before.nothing_wrong, now.posterior.nothing_wrong);
    // By how much probability moved, so that what matters is named first.
    std::stable_sort(moved.begin(), moved.end(), [](const auto& a, const auto& b) {
        return std::abs(a.second.now - a.second.before) > std::abs(b.second.now - b.second.before);
    });
    for (auto& [db, leader] : moved) {
        if (db >= kMoved && out.for_these.size() < kMostNamed) out.for_these.push_back(leader);
        if (db <= -kMoved && out.against.size() < kMostNamed) out.against.push_back(leader);
    }
    if (out.for_these.empty()) return out;
    const CompiledLibrary& compiled = now.model.compiled();
    const auto check = compiled.check_index(the_case.readings[reading].check);
    const auto fault = compiled.fault_index(out.for_these.front().id);
    if (check && fault)
        out.behind = {out.for_these.front().name, std::string(reason_of(now.model, *fault, *check)), ""};
    return out;
}

std::vector<ReportCaution> caution_texts(const Library& library, const std::vector<std::string>& ids) {
    std::vector<ReportCaution> out;
    for (const std::string& id : ids)
        if (const Caution* caution = find_caution(library, id)) out.push_back({id, caution->text});
    return out;
}

}  // namespace frostread::session
