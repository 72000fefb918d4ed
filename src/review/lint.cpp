#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "frostread/review.hpp"

/// One small function per thing that an author can forget and that loading does not refuse already. Errors make the
/// library unfit to ship; warnings are weak spots that may have their reason; notes are worth knowing.
namespace frostread {

namespace {

constexpr double kTellApart = 3.0;  // decibans: below, two faults are as good as the same
constexpr double kConfirmed = 0.9;

class Linter {
public:
    explicit Linter(const std::shared_ptr<const CompiledLibrary>& library)
        : shared_(library), library_(library->library()) {}

    Diagnostics run() {
        check_texts();
        fault_texts();
        area_and_caution_texts();
        uses();
        gates();
        superseders();
        aliases();
        confirmations();
        pairs();
        return std::move(found_);
    }

private:
    void say(Severity severity, const char* id, const std::string& entry, std::string what, std::string cure = "") {
        Diagnostic diagnostic;
        diagnostic.severity = severity;
        diagnostic.id = id;
        diagnostic.place.pointer = entry;
        diagnostic.what = std::move(what);
        diagnostic.suggestion = std::move(cure);
        found_.push_back(std::move(diagnostic));
    }
    void error(const char* id, const std::string& entry, std::string what, std::string cure = "") {
        say(Severity::error, id, entry, std::move(what), std::move(cure));
    }
    void warning(const char* id, const std::string& entry, std::string what, std::string cure = "") {
        say(Severity::warning, id, entry, std::move(what), std::move(cure));
    }

    /// Work that can hurt: power is off or on for a reason, or it is not for everyone.
    [[nodiscard]] bool has_caution(const Check& check) const {
        if (!check.cautions.empty()) {
            return true;
        }
        return std::any_of(check.areas.begin(), check.areas.end(), [&](const std::string& id) {
            const Area* area = find_area(library_, id);
            return area != nullptr && !area->cautions.empty();
        });
    }

    void check_texts() {
        for (const Check& check : library_.checks) {
            const std::string entry = "check:" + check.id;
            if (check.steps.empty()) {
                error("no-steps", entry, fmt::format("check {} does not say how it is done", check.id));
            }
            if ((check.power == Power::off || check.who != Who::anyone) && !has_caution(check)) {
                error("no-caution", entry,
                      fmt::format("check {} is done with the power off or by a trained person, and has no caution",
                                  check.id));
            }
            if (check.who == Who::licensed && check.cautions.empty()) {
                error("no-caution", entry,
                      fmt::format("check {} opens the refrigerant circuit and has no caution", check.id));
            }
        }
    }

    void fault_texts() {
        for (const Fault& fault : library_.faults) {
            const std::string entry = "fault:" + fault.id;
            if (fault.remedy.id.empty() || fault.remedy.steps.empty()) {
                error("no-remedy", entry, fmt::format("fault {} has no remedy with steps", fault.id));
            }
            if (fault.remedy.proof.empty()) {
                error("no-proof", entry, fmt::format("fault {} does not say how the cure is proved", fault.id));
            }
            if (fault.confirm.empty()) {
                error("no-confirm", entry, fmt::format("fault {} names no check that confirms it", fault.id));
            }
            if (fault.rules.empty()) {
                error("no-rules", entry, fmt::format("fault {} touches no check", fault.id));
            }
            const bool risky = fault.remedy.who != Who::anyone || fault.system == "sealed-system";
            const bool area_caution =
                std::any_of(fault.remedy.areas.begin(), fault.remedy.areas.end(), [&](const std::string& id) {
                    const Area* area = find_area(library_, id);
                    return area != nullptr && !area->cautions.empty();
                });
            if (risky && fault.cautions.empty() && fault.remedy.cautions.empty() && !area_caution) {
                error("no-caution", entry, fmt::format("the remedy of {} can hurt and has no caution", fault.id));
            }
        }
    }

    void area_and_caution_texts() {
        for (const Area& area : library_.areas) {
            if (area.power == Power::off && area.cautions.empty()) {
                error("no-caution", "area:" + area.id,
                      fmt::format("area {} is opened with the power off and has no caution", area.id));
            }
        }
        for (const Caution& caution : library_.cautions) {
            if (caution.alarm.empty() && !caution.on_live_panel && !used_cautions().contains(caution.id)) {
                warning("unused-caution", "caution:" + caution.id,
                        fmt::format("nothing refers to caution {}", caution.id));
            }
        }
    }

    [[nodiscard]] std::set<std::string> used_cautions() const {
        std::set<std::string> used;
        const auto add = [&](const std::vector<std::string>& ids) { used.insert(ids.begin(), ids.end()); };
        for (const Area& area : library_.areas) {
            add(area.cautions);
        }
        for (const Check& check : library_.checks) {
            add(check.cautions);
            for (const Outcome& outcome : check.outcomes) used.insert(outcome.keep_off);
        }
        for (const Fault& fault : library_.faults) {
            add(fault.cautions);
            add(fault.remedy.cautions);
        }
        for (const Caution& caution : library_.cautions) {
            if (!caution.systems.empty() || caution.on_retire) {
                used.insert(caution.id);
            }
        }
        return used;
    }

    /// Checks that others lean on are of use without a rule of their own.
    [[nodiscard]] std::set<std::string> leaned_on() const {
        std::set<std::string> ids;
        for (const Condition& condition : library_.conditions) {
            ids.insert({condition.known_by, condition.ruled_out_by});
        }
        for (const Check& check : library_.checks) {
            ids.insert(
                {check.reference, check.normal.relative_to, check.low_limit.relative_to, check.high_limit.relative_to});
        }
        // Derived quantities read these.
        ids.insert({"room-temp"});
        return ids;
    }

    void uses() {
        std::map<std::string, std::set<std::string>> produced;
        const auto note = [&](const Rule& rule, const Effect& effect) {
            std::set<std::string>& outcomes = produced[rule.check];
            for (const auto& [outcome, probability] : effect.outcomes) {
                if (probability > 0.0) {
                    outcomes.insert(outcome);
                }
            }
        };
        for (const Fault& fault : library_.faults) {
            for (const Rule& rule : fault.rules) {
                produced[rule.check];
                if (rule.all_grades) {
                    note(rule, *rule.all_grades);
                }
                for (const auto& [grade, effect] : rule.by_grade) {
                    note(rule, effect);
                }
            }
        }
        const std::set<std::string> leaned = leaned_on();
        for (const Check& check : library_.checks) {
            const auto found = produced.find(check.id);
            if (found == produced.end()) {
                if (!leaned.contains(check.id)) {
                    warning("unused-check", "check:" + check.id, fmt::format("no rule uses check {}", check.id));
                }
                continue;
            }
            for (const Outcome& outcome : check.outcomes) {
                if (!outcome.normal && !outcome.no_evidence && outcome.means.empty() &&
                    !found->second.contains(outcome.id)) {
                    warning("dead-outcome", "check:" + check.id,
                            fmt::format("no fault makes {} read {}", check.id, outcome.id));
                }
            }
        }
    }

    /// Whether some unit fulfils all the conditions at once.
    [[nodiscard]] bool possible(const std::vector<const TraitCondition*>& conditions) const {
        TraitCondition all;
        for (const TraitCondition* condition : conditions) {
            all.all.insert(all.all.end(), condition->all.begin(), condition->all.end());
        }
        return share_holding(library_, all, {}) > 0.0;
    }

    void gates() {
        for (const Check& check : library_.checks) {
            if (!possible({&check.where})) {
                error("unreachable-gate", "check:" + check.id,
                      fmt::format("no unit of the library's mix has check {}", check.id));
            }
        }
        for (const Fault& fault : library_.faults) {
            const std::string entry = "fault:" + fault.id;
            if (!possible({&fault.where})) {
                error("unreachable-gate", entry, fmt::format("no unit of the library's mix can have {}", fault.id));
                continue;
            }
            for (const Multiplier& multiplier : fault.multipliers) {
                if (!possible({&fault.where, &multiplier.where})) {
                    error("unreachable-gate", entry, fmt::format("a multiplier of {} can never apply", fault.id));
                }
            }
            for (const Grade& grade : fault.grades) {
                if (!possible({&fault.where, &grade.where})) {
                    error("unreachable-gate", entry,
                          fmt::format("no unit of the library's mix can have grade {} of {}", grade.id, fault.id));
                }
            }
            for (const Rule& rule : fault.rules) {
                const Check* check = find_check(library_, rule.check);
                if (check != nullptr && !possible({&fault.where, &rule.where, &check->where})) {
                    error("unreachable-gate", entry,
                          fmt::format("the rule of {} on {} can never apply: no unit has both", fault.id, rule.check));
                }
            }
        }
    }

    void superseders() {
        for (const Check& check : library_.checks) {
            const auto look_at = [&](const std::string& id) {
                const Check* better = find_check(library_, id);
                const std::string entry = "check:" + check.id;
                if (better != nullptr && !possible({&check.where, &better->where})) {
                    error("dead-superseded-by", entry,
                          fmt::format("{} is superseded by {}, and no unit has both", check.id, id));
                } else if (better != nullptr && std::find(better->superseded_by.begin(), better->superseded_by.end(),
                                                          check.id) != better->superseded_by.end()) {
                    error("dead-superseded-by", entry, fmt::format("{} and {} supersede each other", check.id, id));
                }
            };
            for (const std::string& id : check.superseded_by) {
                look_at(id);
            }
            for (const Outcome& outcome : check.outcomes) {
                for (const std::string& id : outcome.superseded_by) {
                    look_at(id);
                }
            }
        }
    }

    /// Aliases of one kind must not clash with each other nor with an id.
    template <class Entries>
    void alias_clashes(const char* kind, const Entries& entries) {
        std::map<std::string, std::string> owner;
        for (const auto& entry : entries) {
            owner[entry.id] = entry.id;
        }
        for (const auto& entry : entries) {
            for (const std::string& alias : entry.aliases) {
                const auto [at, fresh] = owner.emplace(alias, entry.id);
                if (!fresh) {
                    error("alias-clash", std::string(kind) + ":" + entry.id,
                          fmt::format("alias {} of {} already means {}", alias, entry.id, at->second));
                }
            }
        }
    }

    void aliases() {
        alias_clashes("check", library_.checks);
        alias_clashes("fault", library_.faults);
        for (const Check& check : library_.checks) {
            std::map<std::string, std::string> owner;
            for (const Outcome& outcome : check.outcomes) {
                owner[outcome.id] = outcome.id;
            }
            for (const Outcome& outcome : check.outcomes) {
                for (const std::string& alias : outcome.aliases) {
                    const auto [at, fresh] = owner.emplace(alias, outcome.id);
                    if (!fresh) {
                        error("alias-clash", "check:" + check.id,
                              fmt::format("in {}, alias {} of {} already means {}", check.id, alias, outcome.id,
                                          at->second));
                    }
                }
            }
        }
    }

    void confirmations() {
        for (FaultIndex fault = 0; fault < library_.faults.size(); ++fault) {
            const Fault& entry = library_.faults[fault];
            if (entry.confirm.empty()) {
                continue;
            }
            const double reached = confirmed_probability(shared_, fault);
            if (reached < kConfirmed) {
                // Often enough the complaint and the temperatures do the rest: a note, not a warning.
                say(Severity::note, "weak-confirm", "fault:" + entry.id,
                    fmt::format("the confirming checks of {} bring it from its prior to {:.2f}, not past {:.1f}",
                                entry.id, reached, kConfirmed));
            }
        }
    }

    void pairs() {
        const UnitModel model = fit_to_unit(shared_, {});
        for (const PairSeparation& pair : separations(model, evidence_table(model))) {
            if (pair.all_db >= kTellApart || pair.same_remedy) {
                continue;
            }
            const Fault& first = library_.faults[pair.first];
            const Fault& second = library_.faults[pair.second];
            if (!possible({&first.where, &second.where})) {
                continue;
            }
            const std::string what =
                fmt::format("{} and {} are not told apart: all checks together weigh {:.1f} decibans", first.id,
                            second.id, pair.all_db);
            error("not-told-apart", "fault:" + first.id, what,
                  "give one of them a rule that the other has not, or the same remedy");
        }
    }

    const std::shared_ptr<const CompiledLibrary>& shared_;
    const Library& library_;
    Diagnostics found_;
};

}  // namespace

Diagnostics lint(const std::shared_ptr<const CompiledLibrary>& library) {
    return Linter(library).run();
}

}  // namespace frostread
