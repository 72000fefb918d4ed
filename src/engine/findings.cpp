#include <algorithm>
#include <cmath>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "engine/stages.hpp"

namespace frostread {

namespace {

/// The reading that counts for each check, and what is already known of it.
struct Candidate {
    CheckIndex check = 0;
    std::size_t reading = 0;
    double trust = 1.0;
    bool live = true;  ///< exists on the unit and is not void
};

/// The ids that checks refer to, looked up once per library and thread.
struct References {
    struct OneCheck {
        std::vector<CheckIndex> superseded_by;
        std::vector<std::vector<CheckIndex>> outcome_superseded_by;
        std::vector<const Condition*> after;  ///< null: no such condition
    };
    std::weak_ptr<const CompiledLibrary> library;
    std::vector<OneCheck> checks;

    void prepare(const std::shared_ptr<const CompiledLibrary>& compiled) {
        if (!library.owner_before(compiled) && !compiled.owner_before(library)) return;
        library = compiled;
        checks.clear();
        const auto indices = [&](const std::vector<std::string>& ids) {
            std::vector<CheckIndex> out;
            for (const std::string& id : ids)
                if (const auto index = compiled->check_index(id)) out.push_back(*index);
            return out;
        };
        for (const Check& check : compiled->library().checks) {
            OneCheck one;
            one.superseded_by = indices(check.superseded_by);
            for (const Outcome& outcome : check.outcomes)
                one.outcome_superseded_by.push_back(indices(outcome.superseded_by));
            for (const std::string& id : check.after) one.after.push_back(find_condition(compiled->library(), id));
            checks.push_back(std::move(one));
        }
    }
};

const References& references_of(const UnitModel& model) {
    thread_local References references;
    references.prepare(model.shared_library());
    return references;
}

class Gatherer {
public:
    Gatherer(const UnitModel& model, const Case& the_case, std::span<const CheckIndex> checks, Findings& findings)
        : model_(model),
          case_(the_case),
          checks_(checks),
          findings_(findings),
          compiled_(model.compiled()),
          library_(compiled_.library()),
          references_(references_of(model)) {}

    void run() {
        findings_.items.clear();
        findings_.notes.clear();
        collect_latest();
        stands_.assign(compiled_.check_count(), 0);
        for (Candidate& candidate : candidates_) {
            judge(candidate);
            stands_[candidate.check] = candidate.live ? 1 : 0;
        }
        findings_.items.reserve(candidates_.size() + 4);
        for (const Candidate& candidate : candidates_)
            if (candidate.live) admit(candidate);
    }

private:
    void collect_latest() {
        std::vector<std::int64_t> latest(compiled_.check_count(), -1);
        std::vector<CheckIndex> order;
        for (std::size_t i = 0; i < case_.readings.size(); ++i) {
            const Reading& reading = case_.readings[i];
            if (reading.skipped) continue;
            const auto check = checks_.empty() ? compiled_.check_index(reading.check) : checks_[i];
            if (!check) continue;
            if (latest[*check] >= 0)
                note(NoteKind::replaced, static_cast<std::size_t>(latest[*check]), reading.check);
            else
                order.push_back(*check);
            latest[*check] = static_cast<std::int64_t>(i);
        }
        // Library order, so that the order in which readings were typed changes no number.
        std::sort(order.begin(), order.end());
        for (const CheckIndex check : order)
            candidates_.push_back({check, static_cast<std::size_t>(latest[check]), 1.0, true});
    }

    /// Existence, conditions, references: what keeps a reading from being evidence or weakens it.
    void judge(Candidate& candidate) {
        const Check& check = library_.checks[candidate.check];
        const Reading& reading = case_.readings[candidate.reading];
        if (!model_.exists(candidate.check)) {
            note(NoteKind::not_on_this_unit, candidate.reading, check.id);
            candidate.live = false;
            return;
        }
        candidate.trust = reading.sure ? trust_in(library_.reliability, check) : library_.reliability.unsure;
        for (std::size_t i = 0; i < check.after.size(); ++i) {
            const std::string& id = check.after[i];
            const std::optional<bool> known =
                condition_known(id, references_.checks[candidate.check].after[i], reading);
            if (!known) {
                candidate.trust *= library_.reliability.condition_unknown;
                note(NoteKind::trust_lowered, candidate.reading, id);
            } else if (!*known) {
                note(NoteKind::void_condition, candidate.reading, id);
                candidate.live = false;
            }
        }
        candidate.trust = std::clamp(believed(candidate.trust, check.tells_little_on), 0.0, 1.0);
        if (check.kind == CheckKind::gauge && !check.normal.relative_to.empty() && !check.normal.assumed &&
            !reference_value(library_, check.normal.relative_to, case_)) {
            note(NoteKind::no_reference, candidate.reading, check.normal.relative_to);
            candidate.live = false;
        }
    }

    /// A variable-speed compressor that never stops says little, whatever it says of another.
    [[nodiscard]] double believed(double trust, const TraitCondition& tells_little_on) const {
        const bool little = !tells_little_on.empty() && holds(tells_little_on, case_.unit) == Truth::yes;
        return little ? std::min(trust, library_.reliability.tells_little) : trust;
    }

    [[nodiscard]] std::optional<bool> condition_known(const std::string& id, const Condition* condition,
                                                      const Reading& reading) const {
        if (const auto said = reading.after.find(id); said != reading.after.end()) return said->second;
        if (condition == nullptr || condition->known_by.empty()) return std::nullopt;
        const auto index = latest_reading(case_, condition->known_by);
        if (!index) return std::nullopt;
        const Reading& other = case_.readings[*index];
        if (other.value)
            return (!condition->known_range.min || *other.value >= *condition->known_range.min) &&
                   (!condition->known_range.max || *other.value <= *condition->known_range.max);
        if (other.outcomes.empty()) return std::nullopt;
        const auto& good = condition->known_outcomes;
        return std::find(good.begin(), good.end(), other.outcomes.front()) != good.end();
    }

    /// The first check in the list that has been read and stands.
    [[nodiscard]] const std::string* silencer(const std::vector<CheckIndex>& superseded_by) const {
        for (const CheckIndex check : superseded_by)
            if (stands_[check] != 0) return &library_.checks[check].id;
        return nullptr;
    }

    void admit(const Candidate& candidate) {
        const Check& check = library_.checks[candidate.check];
        if (const std::string* better = silencer(references_.checks[candidate.check].superseded_by)) {
            note(NoteKind::superseded, candidate.reading, *better);
            return;
        }
        switch (check.kind) {
            case CheckKind::look:
                admit_look(candidate, named_outcome(candidate));
                break;
            case CheckKind::banded:
                admit_look(candidate, band(candidate, check));
                break;
            case CheckKind::several:
                admit_several(candidate, check);
                break;
            case CheckKind::gauge:
                admit_gauge(candidate, check);
                break;
        }
    }

    [[nodiscard]] std::optional<OutcomeIndex> named_outcome(const Candidate& candidate) const {
        const Reading& reading = case_.readings[candidate.reading];
        if (reading.outcomes.empty()) return std::nullopt;
        return compiled_.outcome_index(candidate.check, reading.outcomes.front());
    }

    /// The band a quantity falls into, against the reference when it is known.
    [[nodiscard]] std::optional<OutcomeIndex> band(const Candidate& candidate, const Check& check) const {
        const Reading& reading = case_.readings[candidate.reading];
        if (!reading.value) return named_outcome(candidate);
        const auto reference =
            check.reference.empty() ? std::optional<double>(1.0) : reference_value(library_, check.reference, case_);
        for (std::size_t i = 0; i < check.outcomes.size(); ++i) {
            const Outcome& outcome = check.outcomes[i];
            const auto upto = reference ? outcome.upto : outcome.upto_absolute;
            if (!upto || *reading.value < *upto * reference.value_or(1.0)) return static_cast<OutcomeIndex>(i);
        }
        return static_cast<OutcomeIndex>(check.outcomes.size() - 1);
    }

    void admit_look(const Candidate& candidate, std::optional<OutcomeIndex> outcome) {
        if (!outcome || library_.checks[candidate.check].outcomes[*outcome].no_evidence) return;
        if (const std::string* better = silencer(references_.checks[candidate.check].outcome_superseded_by[*outcome])) {
            note(NoteKind::superseded, candidate.reading, *better);
            return;
        }
        Finding finding;
        finding.check = candidate.check;
        finding.outcome = *outcome;
        finding.trust = believed(candidate.trust, library_.checks[candidate.check].outcomes[*outcome].tells_little_on);
        finding.reading = candidate.reading;
        findings_.items.push_back(finding);
    }

    void admit_several(const Candidate& candidate, const Check& check) {
        std::vector<bool> said(check.outcomes.size(), false);
        bool denied = false;
        for (const std::string& id : case_.readings[candidate.reading].outcomes) {
            const auto index = compiled_.outcome_index(candidate.check, id);
            if (!index) continue;
            const Outcome& outcome = check.outcomes[*index];
            if (outcome.normal) denied = true;
            if (!outcome.normal && outcome.means.empty()) said[*index] = true;
            for (const std::string& meant : outcome.means)
                if (const auto other = compiled_.outcome_index(candidate.check, meant)) said[*other] = true;
        }
        const bool any = std::find(said.begin(), said.end(), true) != said.end();
        for (OutcomeIndex item = 0; item < check.outcomes.size(); ++item) {
            const Outcome& outcome = check.outcomes[item];
            const bool absent = denied && !any && !outcome.normal && outcome.means.empty();
            if (!said[item] && !absent) continue;
            if (const std::string* better = silencer(references_.checks[candidate.check].outcome_superseded_by[item])) {
                if (!absent) note(NoteKind::superseded, candidate.reading, *better);
                continue;
            }
            Finding finding;
            finding.check = candidate.check;
            finding.outcome = item;
            finding.absent = absent;
            finding.trust = believed(candidate.trust, outcome.tells_little_on);
            finding.reading = candidate.reading;
            findings_.items.push_back(finding);
        }
    }

    void admit_gauge(const Candidate& candidate, const Check& check) {
        const Reading& reading = case_.readings[candidate.reading];
        if (!reading.value) return;
        Finding finding;
        finding.check = candidate.check;
        finding.trust = candidate.trust;
        finding.reading = candidate.reading;
        double reference = 0.0;
        if (!check.normal.relative_to.empty()) {
            const auto known = reference_value(library_, check.normal.relative_to, case_);
            finding.reference_known = known.has_value();
            reference = known.value_or(check.normal.assumed.value_or(0.0));
        }
        double normal = check.normal.mean + reference;
        double value = std::min(*reading.value, check.normal.settles_at.value_or(*reading.value));
        finding.width = compiled_.check(candidate.check).width;
        if (check.normal.percent) {
            const double per_unit = std::abs(reference) > 0.0 ? 100.0 / std::abs(reference) : 1.0;
            normal = check.normal.mean;
            value *= per_unit;
            finding.width *= per_unit;
        }
        finding.deviation = value - normal;
        // A limit on the wrong side of normal (a room colder than the set temperature) bounds nothing below zero.
        finding.low = std::min(0.0, limit(check.low_limit, -1e9) - normal);
        finding.high = std::max(0.0, limit(check.high_limit, 1e9) - normal);
        findings_.items.push_back(finding);
    }

    [[nodiscard]] double limit(const GaugeLimit& limit, double none) const {
        if (!limit.relative_to.empty())
            if (const auto known = reference_value(library_, limit.relative_to, case_)) return *known + limit.offset;
        return limit.number ? *limit.number + limit.offset : none;
    }

    void note(NoteKind kind, std::size_t reading, std::string about) {
        findings_.notes.push_back({kind, reading, std::move(about)});
    }

    const UnitModel& model_;
    const Case& case_;
    std::span<const CheckIndex> checks_;  ///< by reading, or empty
    Findings& findings_;
    const CompiledLibrary& compiled_;
    const Library& library_;
    const References& references_;
    std::vector<Candidate> candidates_;
    std::vector<std::uint8_t> stands_;  ///< per check: read and not void
};

}  // namespace

Findings gather(const UnitModel& model, const Case& the_case) {
    Findings findings;
    gather(model, the_case, {}, findings);
    return findings;
}

void gather(const UnitModel& model, const Case& the_case, std::span<const CheckIndex> checks, Findings& out) {
    Gatherer(model, the_case, checks, out).run();
}

}  // namespace frostread
