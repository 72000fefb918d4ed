#include <fmt/format.h>

#include <cmath>
#include <memory>

#include "base/text.hpp"
#include "files/library_draft.hpp"
#include "frostread/files.hpp"
#include "frostread/version.hpp"

namespace frostread {

namespace {

using json::Fields;
using json::Problems;
using json::Value;

constexpr json::NumberDemand kAtLeastZero{0.0, std::nullopt, false};
constexpr json::NumberDemand kAboveZero{0.0, std::nullopt, true};
constexpr json::NumberDemand kShare{0.0, 1.0, false};
constexpr double kShareSlack = 0.005;  // shares are written with two digits
constexpr json::Word<Hazard> kHazardWords[] = {
    {"low", Hazard::low}, {"medium", Hazard::medium}, {"high", Hazard::high}};

void demand_sum_of_one(double sum, const Value& list, Problems& problems, std::string_view what) {
    if (std::abs(sum - 1.0) <= kShareSlack) return;
    problems.error(list, "wrong-sum", fmt::format("the shares of {} sum to {:.4g}", what, sum), "a sum of 1");
}

void read_scale(LibraryDraft& draft, Fields& parent) {
    const auto scale = parent.object("scale");
    if (!scale) return;
    Fields fields(*scale, parent.problems(), "scale");
    draft.library.scale_source = fields.text("source");
    if (const auto words = fields.need_object("words")) {
        for (const Value word : *words) {
            if (!word.is(json::Kind::number) || !(word.number() > 0.0) || !(word.number() < 1.0)) {
                parent.problems().error(word, "out-of-range",
                                        fmt::format("the word {} means {}", text::quoted(word.key()), word.raw()),
                                        "a number between 0 and 1, both left out");
            }
            draft.library.scale.emplace_back(word.key(), word.number());
        }
    }
    fields.finish();
}

void read_prior(LibraryDraft& draft, const Value& value, Problems& problems, bool all) {
    Fields fields(value, problems, "prior");
    Library& library = draft.library;
    if (all || value.find("nothing_wrong")) library.nothing_wrong = fields.number("nothing_wrong", kAboveZero);
    if (all || value.find("something_else")) library.something_else = fields.number("something_else", kAboveZero);
    if (all || value.find("second_fault")) library.second_fault = fields.number("second_fault", kAtLeastZero);
    fields.text("source");
    fields.finish();
}

void read_reliability(LibraryDraft& draft, const Value& value, Problems& problems) {
    Fields fields(value, problems, "reliability");
    Reliability& r = draft.library.reliability;
    r.usual = fields.optional_number("usual", r.usual, kShare);
    if (value.find("plain")) r.plain = fields.number("plain", kShare);
    r.tells_little = fields.optional_number("tells_little", r.tells_little, kShare);
    r.unsure = fields.optional_number("unsure", r.unsure, kShare);
    r.condition_unknown = fields.optional_number("condition_unknown", r.condition_unknown, kShare);
    fields.optional_text("source");
    fields.finish();
}

void read_economy(LibraryDraft& draft, const Value& value, Problems& problems) {
    Fields fields(value, problems, "economy");
    Economy& e = draft.library.economy;
    if (value.find("currency")) e.currency = fields.text("currency");
    e.labour_per_hour = fields.optional_number("labour_per_hour", e.labour_per_hour, kAtLeastZero);
    e.part_factor = fields.optional_number("part_factor", e.part_factor, kAtLeastZero);
    e.worth = fields.optional_number("worth", e.worth, kAtLeastZero);
    e.patience = fields.optional_number("patience", e.patience, kAtLeastZero);
    e.confidence = fields.optional_number("confidence", e.confidence, {0.0, 1.0, true});
    if (const auto risk = fields.object("risk_minutes")) {
        Fields minutes(*risk, problems, "list of risk minutes");
        e.risk_minutes_medium = minutes.optional_number("medium", e.risk_minutes_medium, kAtLeastZero);
        e.risk_minutes_high = minutes.optional_number("high", e.risk_minutes_high, kAtLeastZero);
        minutes.finish();
    }
    e.power_switch_minutes = fields.optional_number("power_switch_minutes", e.power_switch_minutes, kAtLeastZero);
    e.refer_cost = fields.optional_number("refer_cost", e.refer_cost, kAtLeastZero);
    e.failed_repair_minutes = fields.optional_number("failed_repair_minutes", e.failed_repair_minutes, kAtLeastZero);
    fields.text("source");
    fields.finish();
}

void read_system(LibraryDraft& draft, const Site& site) {
    Fields fields(site.value, *site.problems, "system");
    System system{fields.id(), fields.text("name")};
    fields.finish();
    draft.define(Thing::system, system.id, site);
    draft.library.systems.push_back(std::move(system));
}

void read_trait_values(Trait& trait, const Value& list, Problems& problems) {
    double sum = 0.0;
    for (const Value element : list) {
        Fields fields(element, problems, "trait value");
        TraitValue value;
        value.id = fields.id();
        value.name = fields.text("name");
        value.share = fields.number("share", kShare);
        value.aliases = fields.texts("aliases");
        fields.finish();
        sum += value.share;
        for (const TraitValue& before : trait.values) {
            if (before.id != value.id) continue;
            problems.error(element, "duplicate-id",
                           fmt::format("{} has the value {} already", trait.id, text::quoted(value.id)),
                           "a name of its own");
        }
        trait.values.push_back(std::move(value));
    }
    if (trait.values.size() < 2) {
        problems.error(list, "empty-list", fmt::format("{} has fewer than two values", trait.id), "at least two");
    }
    demand_sum_of_one(sum, list, problems, trait.id);
}

void read_trait_mix(Trait& trait, const Value& list, Problems& problems) {
    double sum = 0.0;
    for (const Value element : list) {
        Fields fields(element, problems, "entry of the mix");
        const double value = fields.number("value", {trait.range.min, trait.range.max, false});
        const double share = fields.number("share", kShare);
        fields.finish();
        sum += share;
        trait.mix.emplace_back(value, share);
    }
    demand_sum_of_one(sum, list, problems, trait.id);
}

void read_trait(LibraryDraft& draft, const Site& site) {
    Problems& problems = *site.problems;
    Fields fields(site.value, problems, "trait");
    Trait trait;
    trait.id = fields.id();
    trait.name = fields.text("name");
    trait.question = fields.text("question");
    trait.how = fields.optional_text("how");
    trait.minutes = fields.optional_number("minutes", 0.5, kAtLeastZero);
    trait.aliases = fields.texts("aliases");
    trait.source = fields.text("source");
    if (const auto values = fields.array("values")) {
        read_trait_values(trait, *values, problems);
    } else if (fields.valid() && !site.value.find("values")) {
        trait.is_number = true;
        trait.unit = fields.optional_text("unit");
        if (find_measure(trait.unit) == nullptr) {
            problems.error(*site.value.find("unit"), "unknown-unit",
                           fmt::format("no unit is named {}", text::quoted(trait.unit)),
                           "a unit such as \"g\" or \"\"");
            trait.unit.clear();
        }
        if (const auto range = draft.range(fields, "range", true)) trait.range = *range;
        if (const auto mix = fields.array("mix")) read_trait_mix(trait, *mix, problems);
        if (site.value.find("example")) trait.example = fields.number("example", kAtLeastZero);
    }
    fields.finish();
    draft.define(Thing::trait, trait.id, site);
    draft.library.traits.push_back(std::move(trait));
}

void read_area(LibraryDraft& draft, const Site& site) {
    Fields fields(site.value, *site.problems, "area");
    Area area;
    area.id = fields.id();
    area.name = fields.text("name");
    area.how_to_open = fields.text("how_to_open");
    area.open_minutes = fields.number("open_minutes", kAtLeastZero);
    area.close_minutes = fields.number("close_minutes", kAtLeastZero);
    area.power = fields.word<Power>("power", kPowerWords, Power::either);
    area.who = fields.word<Who>("who", kWhoWords, Who::anyone);
    area.tools = fields.texts("tools");
    area.cautions = draft.references(fields, "cautions", Thing::caution);
    area.look_first = draft.references(fields, "look_first", Thing::check);
    area.source = fields.text("source");
    fields.finish();
    draft.define(Thing::area, area.id, site);
    draft.library.areas.push_back(std::move(area));
}

void demand_outcomes(const Check& check, const std::vector<std::string>& outcomes, const Site& site) {
    for (const std::string& outcome : outcomes) {
        if (find_outcome(check, outcome) != nullptr) continue;
        site.error("unknown-outcome", fmt::format("{} has no outcome {}", check.id, text::quoted(outcome)), "",
                   match_outcome(check, outcome).nearest);
    }
}

/// The reading that settles a condition has to be of a kind that can.
void read_known_by(LibraryDraft& draft, Condition& condition, const Value& value, Problems& problems) {
    Fields fields(value, problems, "known_by");
    condition.known_by = draft.reference(fields, "check", Thing::check);
    condition.known_range.min = fields.maybe_number("min");
    condition.known_range.max = fields.maybe_number("max");
    condition.known_outcomes = fields.texts("outcomes");
    fields.finish();
    const bool by_range = condition.known_range.min || condition.known_range.max;
    const auto outcomes = condition.known_outcomes;
    const Site site{value, &problems};
    draft.later([&draft, site, by_range, outcomes, id = condition.known_by] {
        const Check* check = draft.check(id);
        if (check == nullptr) return;
        const bool is_gauge = check->kind == CheckKind::gauge;
        if (is_gauge != by_range || is_gauge == !outcomes.empty()) {
            site.error("wrong-rule", fmt::format("{} is a {} check", id, to_word(check->kind)),
                       is_gauge ? "\"min\" or \"max\"" : "\"outcomes\"");
        }
        if (!is_gauge) demand_outcomes(*check, outcomes, site);
    });
}

/// What stands against a condition is seen: a reading of a look check.
void read_ruled_out_by(LibraryDraft& draft, Condition& condition, const Value& value, Problems& problems) {
    Fields fields(value, problems, "ruled_out_by");
    condition.ruled_out_by = draft.reference(fields, "check", Thing::check);
    condition.ruled_out_outcomes = fields.texts("outcomes");
    fields.finish();
    const Site site{value, &problems};
    draft.later([&draft, site, id = condition.ruled_out_by, outcomes = condition.ruled_out_outcomes] {
        const Check* check = draft.check(id);
        if (check == nullptr) return;
        if (check->kind != CheckKind::look)
            site.error("wrong-rule", fmt::format("{} is a {} check", id, to_word(check->kind)), "a look check");
        else if (outcomes.empty())
            site.error("wrong-rule", fmt::format("nothing that {} reads rules it out", id), "\"outcomes\"");
        else
            demand_outcomes(*check, outcomes, site);
    });
}

void read_condition(LibraryDraft& draft, const Site& site) {
    Fields fields(site.value, *site.problems, "condition");
    Condition condition;
    condition.id = fields.id();
    condition.name = fields.text("name");
    condition.wait_minutes = fields.number("wait_minutes", kAtLeastZero);
    condition.meanwhile = fields.optional_text("meanwhile");
    condition.source = fields.text("source");
    if (const auto known = fields.take("known_by")) read_known_by(draft, condition, *known, *site.problems);
    if (const auto ruled = fields.take("ruled_out_by")) read_ruled_out_by(draft, condition, *ruled, *site.problems);
    fields.finish();
    draft.define(Thing::condition, condition.id, site);
    draft.library.conditions.push_back(std::move(condition));
}

void read_caution(LibraryDraft& draft, const Site& site) {
    Fields fields(site.value, *site.problems, "caution");
    Caution caution;
    caution.id = fields.id();
    caution.name = fields.text("name");
    caution.text = fields.text("text");
    caution.hazard = fields.word<Hazard>("hazard", kHazardWords);
    caution.where = draft.trait_condition(fields, "where");
    caution.systems = draft.references(fields, "systems", Thing::system);
    caution.on_retire = fields.flag("on_retire");
    caution.plug_stays_out = fields.flag("plug_stays_out");
    caution.on_live_panel = fields.flag("on_live_panel");
    for (const std::string& word : fields.texts("alarm")) caution.alarm.push_back(text::to_lower(word));
    caution.source = fields.text("source");
    fields.finish();
    draft.define(Thing::caution, caution.id, site);
    draft.library.cautions.push_back(std::move(caution));
}

using Reader = void (*)(LibraryDraft&, const Site&);

void read_list(LibraryDraft& draft, Fields& fields, std::string_view key, Thing thing, Reader read) {
    const auto each = [&](const Site& site) { read(draft, site); };
    if (const auto list = fields.array(key)) draft.each_entry(thing, *list, fields.problems(), each);
    draft.each_new_entry(thing, each);
}

}  // namespace

void read_library_file(LibraryDraft& draft, const Value& root, Problems& problems) {
    Fields fields(root, problems, "library");
    Library& library = draft.library;
    fields.take("$schema");
    if (const auto format = fields.need("frostread_rules", std::to_string(kRulesFormat))) {
        if (!format->is(json::Kind::number) || format->number() < 1 ||
            std::floor(format->number()) != format->number()) {
            problems.error(*format, "bad-format", fmt::format("\"frostread_rules\" is {}", format->raw()),
                           std::to_string(kRulesFormat));
        } else if (format->number() > kRulesFormat) {
            problems.error(*format, "format-too-new", fmt::format("these rules have format {}", format->raw()),
                           fmt::format("at most format {}, which this program reads", kRulesFormat),
                           "use a newer program");
        } else {
            library.format = static_cast<int>(format->number());
        }
    }
    library.name = fields.text("name");
    library.version = fields.text("version");
    read_scale(draft, fields);
    if (const auto prior = fields.need("prior", "{ … }")) read_prior(draft, *prior, problems, true);
    if (const auto reliability = fields.take("reliability")) read_reliability(draft, *reliability, problems);
    if (const auto economy = fields.take("economy")) read_economy(draft, *economy, problems);
    read_list(draft, fields, "systems", Thing::system, read_system);
    read_list(draft, fields, "traits", Thing::trait, read_trait);
    read_list(draft, fields, "areas", Thing::area, read_area);
    read_list(draft, fields, "conditions", Thing::condition, read_condition);
    fields.finish();
}

void read_cautions_file(LibraryDraft& draft, const Value& root, Problems& problems) {
    Fields fields(root, problems, "file of cautions");
    fields.take("$schema");
    if (const auto list = fields.need_array("cautions")) {
        draft.each_entry(Thing::caution, *list, problems, [&](const Site& site) { read_caution(draft, site); });
    }
    read_new_cautions(draft);
    fields.finish();
}

void read_new_cautions(LibraryDraft& draft) {
    draft.each_new_entry(Thing::caution, [&](const Site& site) { read_caution(draft, site); });
}

void register_overlay(LibraryDraft& draft, const Value& root, Problems& problems) {
    Fields fields(root, problems, "file of additions");
    fields.take("$schema");
    const std::string name = fields.optional_text("overlay");
    draft.library.overlays.push_back(name.empty() ? problems.file_name() : name);
    constexpr std::pair<std::string_view, Thing> kLists[] = {
        {"systems", Thing::system},       {"traits", Thing::trait},     {"areas", Thing::area},
        {"conditions", Thing::condition}, {"cautions", Thing::caution}, {"checks", Thing::check},
        {"faults", Thing::fault}};
    for (const auto& [key, thing] : kLists) {
        const auto list = fields.array(key);
        if (!list) continue;
        for (const Value element : *list) draft.add_overlay_entry(thing, {element, &problems});
    }
    for (const std::string_view key : {"prior", "reliability", "economy"}) fields.take(key);
    fields.finish();
}

void read_overlay_figures(LibraryDraft& draft, const Value& root, Problems& problems) {
    if (const auto prior = root.find("prior")) read_prior(draft, *prior, problems, false);
    if (const auto reliability = root.find("reliability")) read_reliability(draft, *reliability, problems);
    if (const auto economy = root.find("economy")) read_economy(draft, *economy, problems);
}

}  // namespace frostread
