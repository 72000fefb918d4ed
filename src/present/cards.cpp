#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "frostread/review.hpp"
#include "present/card_blocks.hpp"
#include "present/writers.hpp"

namespace frostread::present {

namespace {

constexpr std::size_t kSigns = 12;
constexpr double kSignLeast = 2.0;  // decibans

class CardMaker {
public:
    explicit CardMaker(const CompiledLibrary& compiled, const UnitModel& model)
        : library_(compiled.library()), model_(model) {}

    Blocks of_fault(FaultIndex index) {
        const Fault& fault = library_.faults[index];
        title(fault.name,
              fmt::format("fault {} · {}{}", fault.id, system_name(fault.system), also_typed(fault.aliases)));
        std::vector<std::string> cautions = fault.cautions;
        append_system(fault.system, cautions);
        add_areas(fault.remedy.areas, cautions);
        cautions.insert(cautions.end(), fault.remedy.cautions.begin(), fault.remedy.cautions.end());
        add_cautions(cautions);
        paragraph(fault.what);
        paragraph(fault.recognise);
        paragraph(frequency_words(fault));
        grades(fault);
        const std::vector<Question> table = evidence_table(model_);
        signs("Signs for it", table, index, true);
        signs("Signs against it", table, index, false);
        confirm(fault);
        look_alikes(fault);
        remedy(fault);
        source(fault.source);
        return std::move(blocks_);
    }

    Blocks of_check(CheckIndex index) {
        const Check& check = library_.checks[index];
        title(check.name, fmt::format("check {}{}", check.id, also_typed(check.aliases)));
        std::vector<std::string> cautions;
        add_areas(check.areas, cautions);
        cautions.insert(cautions.end(), check.cautions.begin(), check.cautions.end());
        add_cautions(cautions);
        paragraph(check.question);
        paragraph(effort(check));
        conditions(check);
        heading("How");
        for (const std::string& text : check.steps) {
            step(text);
        }
        heading("Normal");
        paragraph(check.normal_looks);
        if (!check.often_mistaken.empty()) {
            paragraph("Often mistaken for a fault: " + check.often_mistaken);
        }
        answers(index);
        source(check.source);
        return std::move(blocks_);
    }

    Blocks of_caution(const Caution& caution) {
        title(caution.name, "caution " + caution.id);
        add_cautions({caution.id});
        static constexpr const char* kWords[] = {"low", "medium", "high"};
        paragraph(fmt::format("Hazard: {}.", kWords[static_cast<std::size_t>(caution.hazard)]));
        std::vector<std::string> checks;
        std::vector<std::string> faults;
        const auto has = [&](const std::vector<std::string>& ids) {
            return std::find(ids.begin(), ids.end(), caution.id) != ids.end();
        };
        for (const Check& check : library_.checks) {
            if (has(check.cautions) || std::any_of(check.areas.begin(), check.areas.end(), [&](const std::string& id) {
                    const Area* area = find_area(library_, id);
                    return area != nullptr && has(area->cautions);
                })) {
                checks.push_back(check.name);
            }
        }
        for (const Fault& fault : library_.faults) {
            const bool by_system =
                std::find(caution.systems.begin(), caution.systems.end(), fault.system) != caution.systems.end();
            if (has(fault.cautions) || has(fault.remedy.cautions) || by_system) {
                faults.push_back(fault.name);
            }
        }
        if (!checks.empty()) {
            heading("Printed before these checks");
            paragraph(join_words(checks));
        }
        if (!faults.empty()) {
            heading("Printed with these faults");
            paragraph(join_words(faults));
        }
        source(caution.source);
        return std::move(blocks_);
    }

private:
    void title(const std::string& name, const std::string& below) {
        blocks_.push_back({BlockKind::title, sentence_case(name), ""});
        blocks_.push_back({BlockKind::soft, below, ""});
    }
    void heading(const std::string& text) { blocks_.push_back({BlockKind::heading, text, ""}); }
    void paragraph(const std::string& text) {
        if (!text.empty()) {
            blocks_.push_back({BlockKind::paragraph, text, ""});
        }
    }
    void step(const std::string& text) { blocks_.push_back({BlockKind::step, text, ""}); }
    void row(const std::string& left, const std::string& right) { blocks_.push_back({BlockKind::row, right, left}); }
    void source(const std::string& text) { blocks_.push_back({BlockKind::soft, "Source: " + text, ""}); }

    static std::string also_typed(const std::vector<std::string>& aliases) {
        return aliases.empty() ? "" : " · typed " + join_words(aliases, "or");
    }

    [[nodiscard]] std::string system_name(const std::string& id) const {
        for (const System& system : library_.systems) {
            if (system.id == id) {
                return system.name;
            }
        }
        return id;
    }

    void add_areas(const std::vector<std::string>& areas, std::vector<std::string>& cautions) const {
        for (const std::string& id : areas) {
            if (const Area* area = find_area(library_, id)) {
                cautions.insert(cautions.end(), area->cautions.begin(), area->cautions.end());
            }
        }
    }

    void append_system(const std::string& system, std::vector<std::string>& cautions) const {
        for (const Caution& caution : library_.cautions) {
            if (std::find(caution.systems.begin(), caution.systems.end(), system) != caution.systems.end()) {
                cautions.push_back(caution.id);
            }
        }
    }

    /// Each once, most dangerous first.
    void add_cautions(const std::vector<std::string>& ids) {
        std::vector<const Caution*> list;
        for (const Caution& caution : library_.cautions) {
            if (std::find(ids.begin(), ids.end(), caution.id) != ids.end()) {
                list.push_back(&caution);
            }
        }
        std::stable_sort(list.begin(), list.end(),
                         [](const Caution* a, const Caution* b) { return a->hazard > b->hazard; });
        for (const Caution* caution : list) {
            blocks_.push_back({BlockKind::caution, caution->text, ""});
        }
    }

    [[nodiscard]] static std::string frequency_words(const Fault& fault) {
        return fmt::format("The cause of about {} in 1000 calls.", plain_number(fault.frequency));
    }

    void grades(const Fault& fault) {
        if (fault.grades.empty()) {
            return;
        }
        std::vector<std::string> words;
        for (const Grade& grade : fault.grades) {
            words.push_back(fmt::format("{} ({})", grade.name, percent_words(grade.share)));
        }
        paragraph(fmt::format("Grades: {}.", join_words(words)));
    }

    [[nodiscard]] std::string answer_words(const Question& question, const Answer& answer) const {
        const Check& check = library_.checks[question.check];
        if (answer.deviation) {
            if (std::abs(*answer.deviation) < 0.5 * check.normal.spread) {
                return "near normal";
            }
            const std::string side = *answer.deviation > 0.0 ? "above" : "below";
            const double size = std::round(std::abs(*answer.deviation));
            const Measure* measure = check.normal.percent ? nullptr : find_measure(check.unit);
            if (measure != nullptr && measure->dimension == Dimension::temperature) {
                return fmt::format("about {} K {} normal", plain_number(size), side);
            }
            return fmt::format("about {} {} {} normal", plain_number(size),
                               measure == nullptr ? "%" : std::string(measure->symbol), side);
        }
        const Outcome& outcome = check.outcomes[answer.outcome];
        return answer.absent ? "no: " + outcome.name : outcome.name;
    }

    static std::string weight_words(double decibans) { return fmt::format("{:+.1f} dB", decibans); }

    void signs(const char* name, const std::vector<Question>& table, FaultIndex fault, bool wanted_for) {
        std::size_t shown = 0;
        std::vector<std::string_view> told;
        for (const Sign& sign : signs_of_fault(model_, table, fault, kSignLeast)) {
            if ((sign.decibans > 0.0) != wanted_for || shown == kSigns) {
                continue;
            }
            if (shown++ == 0) {
                heading(fmt::format("{}, in decibans against a sound unit", name));
            }
            const Question& question = table[sign.question];
            std::string words = fmt::format("{}: {}", library_.checks[question.check].name,
                                            answer_words(question, question.answers[sign.answer]));
            const std::string_view because = wanted_for ? reason_of(model_, fault, question.check) : "";
            if (!because.empty() && std::find(told.begin(), told.end(), because) == told.end()) {
                told.push_back(because);
                words += fmt::format(". {}", because);
            }
            row(weight_words(sign.decibans), words);
        }
    }

    void confirm(const Fault& fault) {
        std::vector<std::string> names;
        for (const std::string& id : fault.confirm) {
            const Check* check = find_check(library_, id);
            names.push_back(check == nullptr ? id : check->name);
        }
        if (!names.empty()) {
            heading("Confirm it with");
            paragraph(sentence_case(join_words(names)) + ".");
        }
    }

    void look_alikes(const Fault& fault) {
        if (fault.look_alikes.empty()) {
            return;
        }
        heading("Looks like it, and how to tell");
        for (const LookAlike& other : fault.look_alikes) {
            const Fault* entry = find_fault(library_, other.fault);
            paragraph(fmt::format("{}: {}", sentence_case(entry == nullptr ? other.fault : entry->name), other.tell));
        }
    }

    void remedy(const Fault& fault) {
        const Remedy& remedy = fault.remedy;
        heading("Remedy: " + remedy.name);
        std::string effort =
            fmt::format("{} of work, parts {} to {} {}", minutes_words(remedy.minutes), plain_number(remedy.parts_low),
                        plain_number(remedy.parts_high), library_.economy.currency);
        paragraph(effort + who_words(remedy.who) + ".");
        for (const std::string& text : remedy.steps) {
            step(text);
        }
        if (!remedy.proof.empty()) {
            heading("Proof that it works");
            for (const Proof& proof : remedy.proof) {
                const Check* check = find_check(library_, proof.check);
                const Outcome* outcome = check == nullptr ? nullptr : find_outcome(*check, proof.expect);
                paragraph(fmt::format("{}: {}{}{}.", sentence_case(check == nullptr ? proof.check : check->name),
                                      outcome == nullptr ? proof.expect : outcome->name, proof.when.empty() ? "" : ", ",
                                      proof.when));
            }
        }
    }

    static std::string who_words(Who who) {
        switch (who) {
            case Who::anyone:
                return "";
            case Who::technician:
                return ", for a person trained in electrical work";
            case Who::licensed:
                return ", for a licensed refrigerant handler";
        }
        return "";
    }

    [[nodiscard]] std::string effort(const Check& check) const {
        std::string words = fmt::format("Takes {}", minutes_words(check.minutes));
        std::vector<std::string> areas;
        double open = 0.0;
        for (const std::string& id : check.areas) {
            if (const Area* area = find_area(library_, id)) {
                areas.push_back(area->name);
                open += area->open_minutes + area->close_minutes;
            }
        }
        if (!areas.empty()) {
            words += fmt::format(", and {} to open and close ({})", minutes_words(open), join_words(areas));
        }
        words += who_words(check.who);
        if (check.power != Power::either) {
            words += fmt::format("; power {}", to_word(check.power));
        }
        if (!check.tools.empty()) {
            words += "; tools: " + join_words(check.tools);
        }
        return words + ".";
    }

    void conditions(const Check& check) {
        for (const std::string& id : check.after) {
            if (const Condition* condition = find_condition(library_, id)) {
                paragraph(fmt::format("Only means something when this holds: {}.", condition->name));
            }
        }
    }

    /// The faults an answer speaks for most and against most.
    [[nodiscard]] std::string speaks(const std::vector<double>& probability, bool wanted_for) const {
        struct Voice {
            double decibans;
            std::string name;
        };
        std::vector<Voice> voices;
        const CompiledLibrary& compiled = model_.compiled();
        for (AlternativeIndex a = 0; a < compiled.alternative_count(); ++a) {
            const double weight =
                10.0 * std::log10(std::max(probability[a + 1], 1e-12) / std::max(probability[0], 1e-12));
            if (wanted_for ? weight >= kSignLeast : weight <= -kSignLeast) {
                const Fault& fault = library_.faults[compiled.alternative(a).fault];
                const std::string grade =
                    fault.grades.empty() ? "" : fmt::format(" ({})", fault.grades[compiled.alternative(a).grade].name);
                voices.push_back({weight, fault.name + grade});
            }
        }
        std::stable_sort(voices.begin(), voices.end(),
                         [](const Voice& a, const Voice& b) { return std::abs(a.decibans) > std::abs(b.decibans); });
        std::vector<std::string> words;
        for (std::size_t i = 0; i < voices.size() && i < 5; ++i) {
            words.push_back(fmt::format("{} {:+.0f}", voices[i].name, voices[i].decibans));
        }
        std::string out;
        for (const std::string& word : words) {
            out += (out.empty() ? "" : ", ") + word;
        }
        return voices.size() > 5 ? out + fmt::format(" and {} more", voices.size() - 5) : out;
    }

    void answers(CheckIndex index) {
        const Check& check = library_.checks[index];
        heading("What each answer speaks for, in decibans against a sound unit");
        for (const Question& question : evidence_table(model_)) {
            if (question.check != index) {
                continue;
            }
            for (std::size_t a = 0; a < question.answers.size(); ++a) {
                const Answer& answer = question.answers[a];
                if (answer.absent || (answer.deviation && !worth_a_row(question, a))) {
                    continue;
                }
                const Outcome* outcome = answer.deviation ? nullptr : &check.outcomes[answer.outcome];
                std::string words = answer_words(question, answer);
                if (outcome != nullptr && !outcome->looks.empty()) {
                    words += fmt::format(": {}", outcome->looks);
                }
                const std::string pro = speaks(question.probability[a], true);
                const std::string contra = speaks(question.probability[a], false);
                std::string voices = pro.empty() ? "" : "for " + pro;
                voices += contra.empty() ? "" : (pro.empty() ? "against " : "; against ") + contra;
                row(outcome == nullptr ? "" : outcome->id,
                    words + (voices.empty() ? "" : "\n" + sentence_case(voices) + "."));
            }
        }
    }

    /// A gauge is shown at normal and where some fault is likeliest to take it, not in every cell.
    [[nodiscard]] bool worth_a_row(const Question& question, std::size_t cell) const {
        const std::size_t cells = question.answers.size();
        return cell % std::max<std::size_t>(cells / 6, 1) == cells / 12;
    }

    const Library& library_;
    const UnitModel& model_;
    Blocks blocks_;
};

}  // namespace

Blocks make_card(const std::shared_ptr<const CompiledLibrary>& library, std::string_view id) {
    const CompiledLibrary& compiled = *library;
    const UnitModel model = fit_to_unit(library, {});
    CardMaker maker(compiled, model);
    if (const auto check = compiled.check_index(id)) {
        return maker.of_check(*check);
    }
    if (const auto fault = compiled.fault_index(id)) {
        return maker.of_fault(*fault);
    }
    const Caution* caution = find_caution(compiled.library(), id);
    return caution == nullptr ? Blocks{} : maker.of_caution(*caution);
}

}  // namespace frostread::present
