#include "present/report_words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "present/writers.hpp"

namespace frostread::present {

namespace {

std::string check_name(const Library& library, std::string_view id) {
    const Check* check = find_check(library, id);
    return check == nullptr ? std::string(id) : check->name;
}

/// The name of whatever a note is about: check, condition, trait or reference.
std::string about_name(const Library& library, const std::string& id) {
    if (const Condition* condition = find_condition(library, id)) {
        return condition->name;
    }
    if (const Trait* trait = find_trait(library, id)) {
        return trait->name;
    }
    return check_name(library, id);
}

/// Numbers that a person wants to see at the head of a page; "" for the others.
std::string number_trait_words(const Trait& trait, double value) {
    if (trait.id == "age_years") {
        return fmt::format("{} years old", plain_number(value));
    }
    if (trait.id == "worth") {
        return fmt::format("worth {}", plain_number(value));
    }
    if (trait.id == "charge_g") {
        return fmt::format("{} g of charge", plain_number(value));
    }
    return "";
}

/// The traits that tell one unit from another at a glance.
bool is_headline(const std::string& trait) {
    return trait == "layout" || trait == "defrost" || trait == "refrigerant";
}

/// Equal readings are one piece of evidence; one that differs takes the place of the other.
std::string replaced_sentence(const Library& library, const Case& the_case, std::size_t earlier) {
    const Reading& before = the_case.readings[earlier];
    const std::string name = check_name(library, before.check);
    const Check* check = find_check(library, before.check);
    const std::string was =
        check == nullptr ? "" : fmt::format(" ({})", reading_words(*check, before, UnitPreference::si).words);
    if (read_alike_again(the_case, earlier))
        return fmt::format("{}: read again with the same result{}; counts once, as the later one.", name, was);
    return fmt::format("{}: an earlier reading{} is replaced by a later one.", name, was);
}

std::string one_sentence(const Library& library, const Case& the_case, NoteKind kind, std::size_t reading,
                         const std::vector<std::string>& abouts) {
    std::string name = check_name(library, the_case.readings[reading].check);
    std::vector<std::string> names;
    for (const std::string& about : abouts) {
        names.push_back(about_name(library, about));
    }
    const std::string about = join_words(names);
    switch (kind) {
        case NoteKind::replaced:
            return replaced_sentence(library, the_case, reading);
        case NoteKind::superseded:
            if (const Check* check = find_check(library, the_case.readings[reading].check);
                check != nullptr && check->kind == CheckKind::several)
                return fmt::format("{}: what is better known from another reading no longer counts: {}.", name, about);
            return fmt::format("{}: no longer counted; better known from: {}.", name, about);
        case NoteKind::void_condition:
            return fmt::format("{}: not counted, since this did not hold: {}.", name, about);
        case NoteKind::trust_lowered:
            return fmt::format("{}: counts for a little less; nobody said whether this held: {}.", name, about);
        case NoteKind::not_on_this_unit:
            return fmt::format("{}: not counted, since this unit has no such thing.", name);
        case NoteKind::no_reference:
            return fmt::format("{}: not counted until this is known: {}.", name, about);
        case NoteKind::contradicts_trait:
            return fmt::format("{}: does not agree with what was stated of the unit ({}).", name, about);
    }
    return name;
}

std::string alternative_words(const CompiledLibrary& library, AlternativeIndex index) {
    const Alternative& alternative = library.alternative(index);
    const Fault& fault = library.library().faults[alternative.fault];
    if (fault.grades.empty()) {
        return fault.name;
    }
    return fmt::format("{} ({})", fault.name, fault.grades[alternative.grade].name);
}

}  // namespace

bool read_alike_again(const Case& the_case, std::size_t reading) {
    const Reading& before = the_case.readings[reading];
    const auto next =
        std::find_if(the_case.readings.begin() + static_cast<std::ptrdiff_t>(reading) + 1, the_case.readings.end(),
                     [&](const Reading& other) { return other.check == before.check && !other.skipped; });
    return next != the_case.readings.end() && next->value == before.value && next->outcomes == before.outcomes;
}

std::string unit_words(const Library& library, const UnitTraits& unit) {
    std::vector<std::string> parts;
    for (const Trait& trait : library.traits) {
        if (const auto word = unit.words.find(trait.id); word != unit.words.end() && is_headline(trait.id)) {
            const auto value = std::find_if(trait.values.begin(), trait.values.end(),
                                            [&](const TraitValue& v) { return v.id == word->second; });
            parts.push_back(value == trait.values.end() ? word->second : value->name);
        }
        if (const auto number = unit.numbers.find(trait.id); number != unit.numbers.end()) {
            if (std::string words = number_trait_words(trait, number->second); !words.empty()) {
                parts.push_back(std::move(words));
            }
        }
    }
    std::string out;
    for (const std::string& part : parts) {
        out += (out.empty() ? "" : ", ") + part;
    }
    return out;
}

std::string check_quantity(const Check& check, double canonical, UnitPreference units) {
    const Measure* measure = find_measure(check.unit);
    if (measure == nullptr) {
        return plain_number(canonical);
    }
    const Quantity quantity{canonical, measure};
    return to_text(convert(quantity, preferred_measure(measure->dimension, units)), 3);
}

ValueWords reading_words(const Check& check, const Reading& reading, UnitPreference units) {
    ValueWords out;
    std::vector<std::string> names;
    for (const std::string& id : reading.outcomes) {
        const Outcome* outcome = find_outcome(check, id);
        names.push_back(outcome == nullptr ? id : outcome->name);
        out.value += (out.value.empty() ? "" : ", ") + id;
    }
    out.words = join_words(names);
    if (reading.value) {
        // As the person wrote it when there is a unit in it, else in the preferred unit.
        const bool has_unit = std::any_of(reading.typed.begin(), reading.typed.end(), [](char letter) {
            return (letter >= 'A' && letter <= 'z') || letter == '%' || static_cast<unsigned char>(letter) >= 0x80U;
        });
        const std::string quantity = has_unit ? reading.typed : check_quantity(check, *reading.value, units);
        out.value = reading.typed.empty() ? quantity : reading.typed;
        out.words = out.words.empty() ? quantity : fmt::format("{} ({})", out.words, quantity);
    }
    return out;
}

ValueWords finding_words(const Check& check, const Finding& finding, const Reading& reading, UnitPreference units) {
    if (check.kind != CheckKind::several) {
        return reading_words(check, reading, units);
    }
    const Outcome& item = check.outcomes[finding.outcome];
    if (finding.absent) {
        return {"not " + item.id, "no: " + item.name};
    }
    return {item.id, item.name};
}

std::string set_words(const CompiledLibrary& library, const FaultSet& set) {
    if (set.kind == HypothesisKind::nothing_wrong) {
        return "nothing wrong";
    }
    if (set.kind == HypothesisKind::something_else) {
        return "something not listed";
    }
    std::vector<std::string> names;
    for (std::size_t i = 0; i < set.size; ++i) {
        names.push_back(alternative_words(library, set.members.at(i)));
    }
    return join_words(names, "with");
}

std::vector<std::string> set_ids(const CompiledLibrary& library, const FaultSet& set) {
    std::vector<std::string> ids;
    if (set.kind == HypothesisKind::something_else) {
        ids.emplace_back("something-else");
    }
    if (set.kind == HypothesisKind::faults) {
        for (std::size_t i = 0; i < set.size; ++i) {
            const Alternative& alternative = library.alternative(set.members.at(i));
            const Fault& fault = library.library().faults[alternative.fault];
            ids.push_back(fault.grades.empty() ? fault.id : fault.id + ":" + fault.grades[alternative.grade].id);
        }
    }
    return ids;
}

std::vector<std::string> note_sentences(const Library& library, const Case& the_case, const Findings& findings) {
    std::vector<std::string> sentences;
    std::map<std::pair<std::size_t, NoteKind>, std::vector<std::string>> abouts;
    std::vector<std::pair<std::size_t, NoteKind>> order;
    for (const FindingNote& note : findings.notes) {
        const auto key = std::make_pair(note.reading, note.kind);
        if (abouts.find(key) == abouts.end()) {
            order.push_back(key);
        }
        auto& list = abouts[key];
        if (!note.about.empty() && std::find(list.begin(), list.end(), note.about) == list.end()) {
            list.push_back(note.about);
        }
    }
    for (const auto& key : order) {
        std::string sentence = sentence_case(one_sentence(library, the_case, key.second, key.first, abouts[key]));
        // The same thing read three times alike is said once.
        if (std::find(sentences.begin(), sentences.end(), sentence) == sentences.end())
            sentences.push_back(std::move(sentence));
    }
    return sentences;
}

constexpr double kWorthNaming = 0.05;  ///< of the runner-up

std::string conclusion_sentence(const Report& report, double confidence) {
    const double first = report.faults.empty() ? 0.0 : report.faults.front().probability;
    if (report.nothing_wrong > first && report.nothing_wrong >= report.something_else) {
        return report.nothing_wrong >= confidence ? "Nothing seems to be broken."
                                                  : "Most likely nothing is broken, but it is not settled.";
    }
    if (report.something_else > first) {
        return "None of the faults in the library fits these readings well. Doubt the readings, then the library.";
    }
    if (report.faults.empty()) {
        return "The library holds no fault that this unit can have.";
    }
    const std::string leader = report.faults.front().name;
    // A second fault beside the leader, when they are likeliest together.
    std::string also;
    if (report.faults.size() > 1 && !report.sets.empty() && report.sets.front().faults.size() > 1 &&
        report.faults[1].probability >= 0.3) {
        also = fmt::format(" {}: {}.", report.faults[1].probability >= 0.7 ? "And" : "Perhaps also",
                           report.faults[1].name);
    }
    if (first >= confidence) {
        return fmt::format("Almost surely: {}.{}", leader, also);
    }
    if (first >= 0.5) {
        const bool has_rival = also.empty() && report.faults.size() > 1 && report.faults[1].probability >= kWorthNaming;
        const std::string rival = has_rival ? fmt::format("; next would be {} ({})", report.faults[1].name,
                                                          percent_words(report.faults[1].probability))
                                            : "";
        return fmt::format("Probably: {}.{} It is not certain{}.", leader, also, rival);
    }
    if (first >= 0.15 && report.faults.size() > 1) {
        return fmt::format("Not settled. First suspect: {}, then {}.", leader, report.faults[1].name);
    }
    return "These readings alone do not tell what is wrong.";
}

std::string input_warning(const Diagnostic& warning) {
    std::string words = warning.place.pointer.empty() ? "" : warning.place.pointer + ": ";
    words += warning.what;
    if (!warning.expected.empty()) words += "; expected " + warning.expected;
    const bool is_name = warning.suggestion.find(' ') == std::string::npos;
    if (warning.suggestion.empty()) return words + ".";
    return words + (is_name ? "; did you mean " + warning.suggestion + "?" : "; " + warning.suggestion + ".");
}

std::string question_words(const ReportQuestion& question) {
    constexpr std::size_t kShown = 3;
    std::string words = fmt::format("{} ({}) {}", question.question, minutes_words(question.minutes), question.how);
    std::vector<std::string> leads;
    bool differ = false;
    for (const ReportOutcome& outcome : question.outcomes) {
        if (outcome.leader.empty() && outcome.leader_probability < kWorthNaming) continue;  // nothing leads there
        differ = differ || outcome.leader != question.outcomes.front().leader;
        if (leads.size() < kShown) {
            leads.push_back(fmt::format("{} → {} {:.2f}", outcome.words,
                                        outcome.leader.empty() ? "nothing wrong" : outcome.leader_name,
                                        outcome.leader_probability));
        }
    }
    words += differ ? " What leads depends on it: " : " It moves the odds: ";
    for (std::size_t i = 0; i < leads.size(); ++i) {
        words += (i == 0 ? "" : "; ") + leads[i];
    }
    return words + ".";
}

}  // namespace frostread::present
