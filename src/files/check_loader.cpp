#include <fmt/format.h>

#include <cmath>

#include "base/text.hpp"
#include "files/library_draft.hpp"
#include "frostread/quantity.hpp"

namespace frostread {

namespace {

using json::Fields;
using json::Problems;
using json::Value;

constexpr json::NumberDemand kAtLeastZero{0.0, std::nullopt, false};
constexpr json::NumberDemand kAboveZero{0.0, std::nullopt, true};
constexpr double kUsualBackground = 0.01;
constexpr json::Word<CheckKind> kKindWords[] = {{"look", CheckKind::look},
                                                {"several", CheckKind::several},
                                                {"banded", CheckKind::banded},
                                                {"gauge", CheckKind::gauge}};

Outcome read_outcome(LibraryDraft& draft, const Check& check, const Value& value, Problems& problems) {
    Fields fields(value, problems, "outcome");
    Outcome outcome;
    outcome.id = fields.id();
    outcome.name = fields.text("name");
    outcome.looks = fields.optional_text("looks");
    outcome.normal = fields.flag("normal");
    outcome.no_evidence = fields.flag("no_evidence");
    outcome.aliases = fields.texts("aliases");
    for (std::string& former : fields.texts("was")) outcome.aliases.push_back(std::move(former));
    outcome.superseded_by = draft.references(fields, "superseded_by", Thing::check);
    outcome.keep_off = draft.optional_reference(fields, "keep_off", Thing::caution);
    outcome.keep_off_until = draft.references(fields, "keep_off_until", Thing::check);
    outcome.where = draft.trait_condition(fields, "where");
    outcome.tells_little_on = draft.trait_condition(fields, "tells_little_on");
    if (const auto background = fields.take("background")) {
        const double p = draft.probability(*background, problems).value_or(0.0);
        if (outcome.normal) {
            problems.error(*background, "wrong-key", "a normal outcome has no background",
                           "\"background\" on outcomes that are not normal");
        } else if (p >= 1.0) {
            problems.error(*background, "out-of-range", "the background is 1", "a probability below 1");
        } else {
            outcome.background = p;
        }
    } else if (!outcome.normal) {
        outcome.background = kUsualBackground;
    }
    if (check.kind == CheckKind::several) outcome.means = fields.texts("means");
    if (check.kind == CheckKind::banded) {
        outcome.upto = fields.maybe_number("upto");
        if (!check.reference.empty()) outcome.upto_absolute = fields.maybe_number("upto_absolute");
    }
    fields.finish();
    return outcome;
}

/// Exactly one normal outcome; ids and aliases of their own; backgrounds that leave room for normal.
void demand_sound_outcomes(const Check& check, const Value& list, Problems& problems) {
    std::size_t normal = 0;
    double background = 0.0;
    for (const Outcome& outcome : check.outcomes) {
        if (outcome.normal) ++normal;
        background += outcome.background;
    }
    if (normal != 1) {
        problems.error(list, "normal-outcome", fmt::format("{} has {} normal outcomes", check.id, normal),
                       "exactly one outcome with \"normal\": true");
    }
    if (check.outcomes.size() < 2) {
        problems.error(list, "empty-list", fmt::format("{} has fewer than two outcomes", check.id), "at least two");
    }
    if (check.kind != CheckKind::several && background >= 1.0) {
        problems.error(list, "wrong-sum", fmt::format("the backgrounds of {} sum to {:.4g}", check.id, background),
                       "less than 1");
    }
    std::unordered_map<std::string, std::size_t> owners;
    std::size_t position = 0;
    std::vector<Value> elements;
    for (const Value element : list) elements.push_back(element);
    for (const Outcome& outcome : check.outcomes) {
        if (!owners.emplace(outcome.id, position).second && !outcome.id.empty()) {
            problems.error(elements[position], "duplicate-id",
                           fmt::format("{} has the outcome {} already", check.id, text::quoted(outcome.id)),
                           "a name of its own");
        }
        ++position;
    }
    position = 0;
    for (const Outcome& outcome : check.outcomes) {
        for (const std::string& alias : outcome.aliases) {
            const auto [owner, is_new] = owners.emplace(alias, position);
            if (is_new) continue;
            problems.error(elements[position], "alias-clash",
                           fmt::format("the alias {} of {} is taken by {}", text::quoted(alias), outcome.id,
                                       check.outcomes[owner->second].id),
                           "an alias of its own");
        }
        for (const std::string& meant : outcome.means) {
            const Outcome* other = find_outcome(check, meant);
            if (other == nullptr || other->normal || other == &outcome || !other->means.empty()) {
                problems.error(elements[position], "unknown-outcome",
                               fmt::format("{} cannot mean {}", outcome.id, text::quoted(meant)),
                               "other outcomes of this check that stand for themselves",
                               match_outcome(check, meant).nearest);
            }
        }
        ++position;
    }
}

/// Bands rise, lie in the range and cover it: every one but the last reaches up to a number.
void demand_sound_bands(const Check& check, const Value& list, Problems& problems) {
    std::vector<Value> elements;
    for (const Value element : list) elements.push_back(element);
    const bool by_factor = !check.reference.empty();
    const auto walk = [&](std::optional<double> Outcome::*end, std::string_view key, bool in_range) {
        std::optional<double> before;
        for (std::size_t i = 0; i < check.outcomes.size(); ++i) {
            const std::optional<double> upto = check.outcomes[i].*end;
            const bool last = i + 1 == check.outcomes.size();
            if (last == upto.has_value()) {
                problems.error(elements[i], "bad-band",
                               fmt::format("the band {} has {} \"{}\"", check.outcomes[i].id, last ? "an" : "no", key),
                               last ? "none, so that the last band covers the rest" : "a number where the band ends");
            } else if (upto && before && *upto <= *before) {
                problems.error(
                    elements[i], "bad-band",
                    fmt::format("the band {} ends at {}, below its start at {}", check.outcomes[i].id, *upto, *before),
                    "bands in rising order");
            } else if (upto && in_range && (*upto <= *check.range.min || *upto >= *check.range.max)) {
                problems.error(elements[i], "bad-band",
                               fmt::format("the band {} ends at {}, outside the range", check.outcomes[i].id, *upto),
                               fmt::format("a number between {} and {}", *check.range.min, *check.range.max));
            }
            if (upto) before = upto;
        }
    };
    if (!check.range.min || !check.range.max) return;
    walk(&Outcome::upto, "upto", !by_factor);
    bool any_absolute = false;
    for (const Outcome& outcome : check.outcomes) any_absolute = any_absolute || outcome.upto_absolute.has_value();
    if (any_absolute) walk(&Outcome::upto_absolute, "upto_absolute", true);
}

/// A name of something that has a number: a gauge check, a number trait or a derived quantity.
std::string read_quantity_reference(LibraryDraft& draft, Fields& fields, std::string_view key) {
    const auto member = fields.take(key);
    if (!member || !fields.demand_kind(*member, json::Kind::string, key)) return "";
    std::string id(member->string());
    const Site site{*member, &fields.problems()};
    draft.later([&draft, site, id] { draft.demand_quantity(id, site); });
    return id;
}

GaugeLimit read_limit(LibraryDraft& draft, Fields& limits, std::string_view key, Problems& problems) {
    GaugeLimit limit;
    const auto member = limits.take(key);
    if (!member) return limit;
    if (member->is(json::Kind::number)) {
        limit.number = member->number();
        return limit;
    }
    Fields fields(*member, problems, "limit");
    limit.relative_to = draft.reference(fields, "check", Thing::check);
    limit.offset = fields.optional_number("offset", 0.0);
    limit.number = fields.maybe_number("assumed");
    fields.finish();
    const Site site{*member, &problems};
    draft.later([&draft, site, id = limit.relative_to] {
        const Check* other = draft.check(id);
        if (other == nullptr || other->kind == CheckKind::gauge) return;
        site.error("wrong-rule",
                   fmt::format("{} is a {} check and has no number to limit by", id, to_word(other->kind)),
                   "a gauge check");
    });
    return limit;
}

void read_gauge_words(Check& check, const Value& words, Problems& problems) {
    for (const Value word : words) {
        const bool fits = word.is(json::Kind::number) && word.number() >= check.range.min.value_or(word.number()) &&
                          word.number() <= check.range.max.value_or(word.number());
        if (!fits) {
            problems.error(word, "out-of-range",
                           fmt::format("the word {} means {}", text::quoted(word.key()), word.raw().substr(0, 40)),
                           "a number in the range of the check");
            continue;
        }
        check.words.emplace_back(word.key(), word.number());
    }
}

void read_gauge(LibraryDraft& draft, Check& check, Fields& fields) {
    Problems& problems = fields.problems();
    if (const auto normal = fields.need_object("normal")) {
        Fields n(*normal, problems, "normal of a gauge");
        check.normal.mean = n.number("mean");
        check.normal.spread = n.number("spread", kAboveZero);
        check.normal.relative_to = read_quantity_reference(draft, n, "relative_to");
        check.normal.assumed = n.maybe_number("assumed");
        check.normal.percent = n.flag("percent");
        check.normal.settles_at = n.maybe_number("settles_at");
        if (check.normal.settles_at && *check.normal.settles_at < check.normal.mean)
            problems.error(*normal, "bad-range", "readings settle below the normal one", "settles_at at or above mean");
        if (check.normal.percent && check.normal.relative_to.empty()) {
            problems.error(*normal, "missing-key", "a percentage of nothing", "\"relative_to\" with \"percent\"");
        }
        n.finish();
    }
    if (const auto limits = fields.object("limits")) {
        Fields l(*limits, problems, "list of limits");
        check.low_limit = read_limit(draft, l, "low", problems);
        check.high_limit = read_limit(draft, l, "high", problems);
        l.finish();
        if (check.low_limit.number && check.high_limit.number && *check.low_limit.number >= *check.high_limit.number) {
            problems.error(*limits, "bad-range", "the low limit is not below the high one", "low below high");
        }
    }
    if (const auto words = fields.object("words")) read_gauge_words(check, *words, problems);
}

void read_unit_and_range(LibraryDraft& draft, Check& check, Fields& fields) {
    if (const auto unit = fields.need("unit", "a unit such as \"degC\"")) {
        if (fields.demand_kind(*unit, json::Kind::string, "unit")) check.unit = unit->string();
        if (unit->is(json::Kind::string) && find_measure(check.unit) == nullptr) {
            fields.problems().error(*unit, "unknown-unit", fmt::format("no unit is named {}", text::quoted(check.unit)),
                                    "a unit such as \"degC\", \"K\", \"ohm\", \"W\", \"kPa\", \"%\", \"h\" or \"V\"");
        }
    }
    if (const auto range = draft.range(fields, "range", true)) check.range = *range;
    check.worked_out = fields.optional_text("worked_out");
}

void read_by_kind(LibraryDraft& draft, Check& check, Fields& fields) {
    Problems& problems = fields.problems();
    if (check.kind == CheckKind::banded || check.kind == CheckKind::gauge) read_unit_and_range(draft, check, fields);
    if (check.kind == CheckKind::gauge) return read_gauge(draft, check, fields);
    if (check.kind == CheckKind::banded) check.reference = read_quantity_reference(draft, fields, "reference");
    const auto list = fields.need_array("outcomes");
    if (!list) return;
    for (const Value element : *list) check.outcomes.push_back(read_outcome(draft, check, element, problems));
    demand_sound_outcomes(check, *list, problems);
    if (check.kind == CheckKind::banded) demand_sound_bands(check, *list, problems);
}

void read_check(LibraryDraft& draft, const Site& site, const std::string& file_place) {
    Problems& problems = *site.problems;
    Fields fields(site.value, problems, "check");
    Check check;
    check.id = fields.id();
    check.name = fields.text("name");
    check.question = fields.text("question");
    check.place = draft.optional_reference(fields, "place", Thing::place);
    if (check.place.empty()) check.place = file_place;
    if (check.place.empty()) fields.need("place", "the id of a place");
    check.kind = fields.word<CheckKind>("kind", kKindWords);
    check.steps = fields.texts("steps");
    if (check.steps.empty() && fields.valid()) {
        problems.error(site.value, "missing-key", fmt::format("{} has no steps", check.id),
                       "\"steps\": [ … ] that a trainee can follow");
    }
    check.normal_looks = fields.text("normal_looks");
    check.often_mistaken = fields.optional_text("often_mistaken");
    check.minutes = fields.number("minutes", kAtLeastZero);
    check.areas = draft.references(fields, "areas", Thing::area);
    check.power = fields.word<Power>("power", kPowerWords, Power::either);
    check.after = draft.references(fields, "after", Thing::condition);
    check.tools = fields.texts("tools");
    check.cautions = draft.references(fields, "cautions", Thing::caution);
    check.aliases = fields.texts("aliases");
    for (const std::string& alias : check.aliases) {
        constexpr std::size_t kLongestAlias = 8;
        if (alias.size() <= kLongestAlias) continue;
        problems.error(*site.value.find("aliases"), "alias-too-long",
                       fmt::format("the alias {} is longer than {} letters", text::quoted(alias), kLongestAlias),
                       "a short word for quick typing");
    }
    for (std::string& former : fields.texts("was")) check.aliases.push_back(std::move(former));
    check.where = draft.trait_condition(fields, "where");
    check.who = fields.word<Who>("who", kWhoWords, Who::anyone);
    check.superseded_by = draft.references(fields, "superseded_by", Thing::check);
    for (const std::string& other : check.superseded_by) {
        if (other != check.id) continue;
        problems.error(site.value, "names-itself", fmt::format("{} supersedes itself", check.id), "another check");
    }
    check.second_look_of = draft.references(fields, "second_look_of", Thing::check);
    for (const std::string& other : check.second_look_of) {
        if (other != check.id) continue;
        problems.error(site.value, "names-itself", fmt::format("{} is a second look of itself", check.id),
                       "another check");
    }
    check.tells_little_on = draft.trait_condition(fields, "tells_little_on");
    check.plain = fields.flag("plain");
    check.source = fields.text("source");
    read_by_kind(draft, check, fields);
    fields.finish();
    draft.define(Thing::check, check.id, site);
    draft.remember_check(check.id, draft.library.checks.size());
    draft.library.checks.push_back(std::move(check));
}

}  // namespace

void read_checks_file(LibraryDraft& draft, const Value& root, Problems& problems) {
    Fields fields(root, problems, "file of checks");
    fields.take("$schema");
    const std::string place = fields.id("place");
    const std::string name = fields.text("name");
    draft.define(Thing::place, place, {root, &problems});
    draft.library.places.push_back({place, name});
    if (const auto list = fields.need_array("checks")) {
        draft.each_entry(Thing::check, *list, problems, [&](const Site& site) { read_check(draft, site, place); });
    }
    fields.finish();
}

void read_new_checks(LibraryDraft& draft) {
    draft.each_new_entry(Thing::check, [&](const Site& site) { read_check(draft, site, ""); });
}

}  // namespace frostread
