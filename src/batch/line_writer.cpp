#include "batch/line_writer.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "batch/json_numbers.hpp"
#include "engine/order_by_count.hpp"
#include "frostread/present.hpp"
#include "frostread/version.hpp"
#include "frostread/why.hpp"
#include "present/report_words.hpp"

namespace frostread::batch {

namespace {

constexpr int kProbability = 9, kAmount = 3;  ///< decimals
constexpr std::size_t kMostSentences = 4096;

std::string quoted(const std::string& text) {
    std::string out;
    append_quoted(out, text);
    return out;
}

/// Cautions that a fault brings: its own and those of its system, as add_fault_cautions of the report has it.
std::vector<std::size_t> cautions_of(const Library& library, const Fault& fault) {
    std::vector<std::size_t> out;
    for (std::size_t i = 0; i < library.cautions.size(); ++i) {
        const Caution& caution = library.cautions[i];
        const auto has = [](const std::vector<std::string>& list, const std::string& word) {
            return std::find(list.begin(), list.end(), word) != list.end();
        };
        if (has(fault.cautions, caution.id) || has(caution.systems, fault.system)) out.push_back(i);
    }
    return out;
}

}  // namespace

LineWriter::LineWriter(std::shared_ptr<const CompiledLibrary> library, const BatchOptions& options)
    : library_(std::move(library)), options_(options) {
    const Library& rules = library_->library();
    nlohmann::ordered_json head = {{"name", rules.name}, {"version", rules.version}, {"overlays", rules.overlays}};
    head_ = fmt::format("{{\"frostread_result\":{},\"case\":", kResultFormat);
    library_text_ = fmt::format(",\"library\":{},\"cautions\":[",
                                head.dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace));
    for (const Check& check : rules.checks)
        checks_.push_back(fmt::format(",{{\"check\":{},\"value\":", quoted(check.id)));
    for (const std::string& overlay : rules.overlays)
        overlay_warnings_ += (overlay_warnings_.empty() ? "" : ",") +
                             quoted(fmt::format("Your shop's own rules were used: {}.", overlay));
    for (const Fault& fault : rules.faults) {
        FaultText text;
        text.head = fmt::format(",{{\"fault\":{},\"name\":{},\"system\":{},\"probability\":", quoted(fault.id),
                                quoted(fault.name), quoted(fault.system));
        for (const Grade& grade : fault.grades) text.grades.push_back("," + quoted(grade.id) + ":");
        if (!text.grades.empty()) text.grades.front().replace(0, 1, ",\"grades\":{");
        text.cautions = cautions_of(rules, fault);
        faults_.push_back(std::move(text));
    }
    for (const Alternative& alternative : library_->alternatives()) {
        const Fault& fault = rules.faults[alternative.fault];
        alternatives_.push_back(
            quoted(fault.grades.empty() ? fault.id : fault.id + ":" + fault.grades[alternative.grade].id));
    }
    for (std::size_t i = 0; i < rules.cautions.size(); ++i) {
        caution_order_.push_back(i);
        caution_text_.push_back(
            fmt::format("{{\"id\":{},\"text\":{}}}", quoted(rules.cautions[i].id), quoted(rules.cautions[i].text)));
    }
    std::stable_sort(caution_order_.begin(), caution_order_.end(),
                     [&](std::size_t a, std::size_t b) { return rules.cautions[a].hazard > rules.cautions[b].hazard; });
}

void LineWriter::put_in_order(const std::vector<double>& probability) {
    ordered_ = ranked_;
    places_.resize(ranked_.size());
    probabilities_.clear();
    for (const FaultIndex fault : ranked_) probabilities_.push_back(probability[fault]);
    places_by_count(probabilities_.data(), ranked_.size(), places_.data());
    for (std::size_t i = 0; i < ordered_.size(); ++i) ranked_[places_[i]] = ordered_[i];
}

/// Faults that this unit can have, likeliest first, ties in library order; those that are listed suffice.
void LineWriter::rank(const Diagnosed& diagnosed) {
    const auto prior = diagnosed.model.prior();
    const auto& probability = diagnosed.posterior.fault;
    const auto possible = [&](FaultIndex fault) {
        const AlternativeIndex first = library_->first_alternative(fault);
        const std::size_t grades = std::max<std::size_t>(1, faults_[fault].grades.size());
        return std::any_of(prior.begin() + first, prior.begin() + static_cast<std::ptrdiff_t>(first + grades),
                           [](double one) { return one > 0.0; });
    };
    // Only what is above the floor is written, but the first two always count for the conclusion.
    const auto collect = [&](double floor) {
        ranked_.clear();
        for (FaultIndex fault = 0; fault < probability.size(); ++fault)
            if (probability[fault] >= floor && possible(fault)) ranked_.push_back(fault);
    };
    collect(options_.floor);
    if (ranked_.size() < 2) collect(0.0);
    put_in_order(probability);
}

std::string LineWriter::conclusion(const Diagnosed& diagnosed) const {
    Report report;
    report.nothing_wrong = diagnosed.posterior.nothing_wrong;
    report.something_else = diagnosed.posterior.something_else;
    for (std::size_t i = 0; i < ranked_.size() && i < 2; ++i) {
        report.faults.emplace_back();
        report.faults.back().name = library_->library().faults[ranked_[i]].name;
        report.faults.back().probability = diagnosed.posterior.fault[ranked_[i]];
    }
    if (const auto& sets = diagnosed.posterior.sets; !sets.empty() && sets.front().set.size > 1)
        report.sets.push_back({present::set_ids(*library_, sets.front().set), sets.front().probability});
    return present::conclusion_sentence(report, options_.plan.economy.confidence);
}

void LineWriter::append_cautions(const Diagnosed& diagnosed) {
    const Library& rules = library_->library();
    marked_.assign(rules.cautions.size(), 0);
    const auto mark = [&](FaultIndex fault) {
        for (const std::size_t caution : faults_[fault].cautions) marked_[caution] = 1;
    };
    for (const std::string& id : keep_off_cautions(diagnosed.model, diagnosed.findings))
        marked_[static_cast<std::size_t>(find_caution(rules, id) - rules.cautions.data())] = 1;
    if (!ranked_.empty()) mark(ranked_.front());
    if (!diagnosed.posterior.sets.empty()) {
        const FaultSet& best = diagnosed.posterior.sets.front().set;
        for (std::size_t i = 0; best.kind == HypothesisKind::faults && i < best.size; ++i)
            mark(library_->alternative(best.members.at(i)).fault);
    }
    bool any = false;
    for (const std::size_t caution : caution_order_) {
        if (marked_[caution] == 0 || holds(rules.cautions[caution].where, diagnosed.the_case.unit) == Truth::no)
            continue;
        if (any) line_ << ',';
        line_ << caution_text_[caution];
        any = true;
    }
}

/// What was read, as present::finding_words has it.
void LineWriter::append_value(const Check& check, const Finding& finding, const Reading& reading) {
    if (check.kind == CheckKind::several && !finding.absent)
        line_.add_quoted(check.outcomes[finding.outcome].id);
    else if (check.kind != CheckKind::several && reading.outcomes.size() == 1 && !reading.value)
        line_.add_quoted(reading.outcomes.front());
    else if (check.kind != CheckKind::several && reading.outcomes.empty() && reading.value && !reading.typed.empty())
        line_.add_quoted(reading.typed);
    else
        line_.add_quoted(present::finding_words(check, finding, reading, options_.units).value);
}

/// The reasons of the leading fault, and what they are against.
void LineWriter::append_why(const Diagnosed& diagnosed, FaultIndex fault) {
    const Library& rules = library_->library();
    const Ledger ledger = explain(diagnosed.model, diagnosed.findings, diagnosed.posterior, fault);
    line_ << '[';
    for (std::size_t i = 0; i < ledger.weights.size(); ++i) {
        const ReadingWeight& weight = ledger.weights[i];
        const Finding& finding = diagnosed.findings.items[weight.finding];
        line_ << (i == 0 ? std::string_view(checks_[finding.check]).substr(1) : checks_[finding.check]);
        append_value(rules.checks[finding.check], finding, diagnosed.the_case.readings[finding.reading]);
        line_ << ",\"weight_db\":";
        line_.add_rounded(weight.decibans, kAmount);
        line_ << '}';
    }
    std::string_view rival;
    if (ledger.rival.kind == HypothesisKind::nothing_wrong) rival = "nothing-wrong";
    if (ledger.rival.kind == HypothesisKind::something_else) rival = "something-else";
    for (std::size_t i = ledger.rival.size; i-- > 0;) {  // the first member that is not in the favoured set
        const AlternativeIndex member = ledger.rival.members.at(i);
        if (!ledger.favoured.contains(member)) rival = rules.faults[library_->alternative(member).fault].id;
    }
    if (rival.empty() && ledger.rival.size > 0)
        rival = rules.faults[library_->alternative(ledger.rival.members[0]).fault].id;
    line_ << "],\"rival\":\"" << rival << "\",\"prior_db\":";
    line_.add_rounded(ledger.prior_db, kAmount);
    line_ << ",\"margin_db\":";
    line_.add_rounded(ledger.margin_db, kAmount);
}

void LineWriter::append_faults(const Diagnosed& diagnosed) {
    constexpr std::string_view kNoReasons = "},\"why\":[],\"rival\":\"\",\"prior_db\":0.0,\"margin_db\":0.0}";
    const auto prior = diagnosed.model.prior();
    for (std::size_t place = 0; place < ranked_.size(); ++place) {
        const FaultIndex fault = ranked_[place];
        if (place > 0 && diagnosed.posterior.fault[fault] < options_.floor) break;
        const FaultText& text = faults_[fault];
        line_ << std::string_view(text.head).substr(place == 0 ? 1 : 0);
        line_.add_rounded(diagnosed.posterior.fault[fault], kProbability);
        if (text.grades.empty()) line_ << ",\"grades\":{";
        std::size_t alternative = library_->first_alternative(fault);
        for (const std::string& grade : text.grades) {
            line_ << grade;
            line_.add_rounded(prior[alternative] > 0.0 ? diagnosed.posterior.alternative[alternative] : 0.0,
                              kProbability);
            ++alternative;
        }
        if (place > 0) {
            line_ << kNoReasons;
            continue;
        }
        line_ << "},\"why\":";
        append_why(diagnosed, fault);
        line_ << '}';
    }
}

void LineWriter::append_sets(const Diagnosed& diagnosed) {
    const auto& sets = diagnosed.posterior.sets;
    for (std::size_t i = 0; i < sets.size() && i < kListedSets; ++i) {
        line_ << (i == 0 ? "{\"faults\":[" : ",{\"faults\":[");
        const FaultSet& set = sets[i].set;
        if (set.kind == HypothesisKind::something_else) line_ << "\"something-else\"";
        for (std::size_t m = 0; set.kind == HypothesisKind::faults && m < set.size; ++m) {
            if (m > 0) line_ << ',';
            line_ << alternatives_[set.members.at(m)];
        }
        line_ << "],\"probability\":";
        line_.add_rounded(sets[i].probability, kProbability);
        line_ << '}';
    }
}

void LineWriter::append_doubtful(const Diagnosed& diagnosed) {
    bool any = false;
    for (const DoubtfulReading& doubt : doubtful_readings(diagnosed.model, diagnosed.findings, diagnosed.posterior)) {
        const Finding& finding = diagnosed.findings.items[doubt.finding];
        line_ << std::string_view(checks_[finding.check]).substr(any ? 0 : 1);
        append_value(library_->library().checks[finding.check], finding, diagnosed.the_case.readings[finding.reading]);
        line_ << ",\"probability_bad\":";
        line_.add_rounded(doubt.probability_wrong, kProbability);
        line_ << ",\"surprise\":";
        line_.add_rounded(doubt.surprise, kProbability);
        line_ << '}';
        any = true;
    }
}

/// Notes about one reading of one kind make one sentence; equal notes make equal sentences, so each is
/// worded once.
void LineWriter::append_warnings(const Diagnosed& diagnosed) {
    line_ << overlay_warnings_;
    bool any = !overlay_warnings_.empty();
    const auto& notes = diagnosed.findings.notes;
    for (std::size_t i = 0; i < notes.size(); ++i) {
        const auto same_group = [&](const FindingNote& other) {
            return other.reading == notes[i].reading && other.kind == notes[i].kind;
        };
        if (std::any_of(notes.begin(), notes.begin() + static_cast<std::ptrdiff_t>(i), same_group)) continue;
        std::string key = diagnosed.the_case.readings[notes[i].reading].check;
        key += static_cast<char>('0' + static_cast<int>(notes[i].kind));
        Findings group;
        for (std::size_t j = i; j < notes.size(); ++j)
            if (same_group(notes[j])) {
                group.notes.push_back(notes[j]);
                key.append(1, '\n').append(notes[j].about);
            }
        auto known = sentences_.find(key);
        if (known == sentences_.end()) {
            if (sentences_.size() >= kMostSentences) sentences_.clear();
            const auto words = present::note_sentences(library_->library(), diagnosed.the_case, group);
            known = sentences_.emplace(std::move(key), quoted(words.front())).first;
        }
        if (any) line_ << ',';
        line_ << known->second;
        any = true;
    }
    for (const Diagnostic& warning : diagnosed.input) {
        if (any) line_ << ',';
        line_ << quoted(present::input_warning(warning));
        any = true;
    }
}

void LineWriter::append(std::string& out, const Diagnosed& diagnosed) {
    rank(diagnosed);
    line_.clear();
    line_ << head_;
    if (diagnosed.the_case.id.empty())
        line_ << "null";
    else
        line_.add_quoted(diagnosed.the_case.id);
    line_ << library_text_;
    append_cautions(diagnosed);
    line_ << "],\"conclusion\":";
    line_.add_quoted(conclusion(diagnosed));
    line_ << ",\"faults\":[";
    append_faults(diagnosed);
    line_ << "],\"nothing_wrong\":";
    line_.add_rounded(diagnosed.posterior.nothing_wrong, kProbability);
    line_ << ",\"something_else\":";
    line_.add_rounded(diagnosed.posterior.something_else, kProbability);
    line_ << ",\"sets\":[";
    append_sets(diagnosed);
    line_ << "],\"doubtful\":[";
    append_doubtful(diagnosed);
    line_ << "],\"pivotal\":[],\"next\":null,\"alternatives\":[],\"repairs\":[],\"warnings\":[";
    append_warnings(diagnosed);
    line_ << "]}";
    out += line_.text();
}

}  // namespace frostread::batch
