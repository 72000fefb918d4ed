#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/text.hpp"
#include "files/json_fields.hpp"
#include "files/value_parser.hpp"
#include "frostread/files.hpp"
#include "frostread/version.hpp"

namespace frostread {

namespace {

using json::Fields;
using json::Kind;
using json::Problems;
using json::Value;

/// Members this version does not know, kept as one JSON object. A slip of a known key is said, since
/// what it holds counts for nothing.
std::string keep_unknown(Fields& fields, std::string_view subject) {
    std::string kept;
    for (const Value member : fields.unknown()) {
        kept += kept.empty() ? "{" : ",";
        json::append_string(kept, member.key());
        kept += ':';
        kept += member.raw();
        const std::string nearest = fields.nearest_key(member.key());
        if (nearest.empty()) continue;
        fields.problems().warning_at_key(member, "unknown-key",
                                         fmt::format("{} has no key {}; it is kept and not used",
                                                     json::with_article(subject), text::quoted(member.key())),
                                         "", nearest);
    }
    if (!kept.empty()) kept += '}';
    return kept;
}

class CaseReader {
public:
    CaseReader(const Library& library, Problems& problems) : library_(library), problems_(problems) {}

    Case read(const Value& root) {
        Fields fields(root, problems_, "case");
        Case the_case;
        demand_format(fields);
        the_case.id = fields.optional_text("case");
        if (const auto unit = fields.object("unit")) read_unit(*unit, the_case);
        if (const auto readings = fields.array("readings")) {
            the_case.readings.reserve(readings->size());
            for (const Value reading : *readings) read_reading(reading, the_case.readings);
        }
        if (const auto withdrawn = fields.array("withdrawn")) {
            for (const Value reading : *withdrawn) read_reading(reading, the_case.withdrawn);
        }
        the_case.note = fields.optional_text("note");
        if (const auto job = fields.object("job")) read_job(*job, the_case.job);
        if (const auto closed = fields.object("closed")) read_closed(*closed, the_case.closed.emplace());
        the_case.unknown = keep_unknown(fields, "case");
        return the_case;
    }

private:
    void demand_format(Fields& fields) {
        const auto format = fields.need("frostread", std::to_string(kCaseFormat));
        if (!format) return;
        const double number = format->is(Kind::number) ? format->number() : 0.0;
        if (number < 1.0 || std::floor(number) != number) {
            problems_.error(*format, "bad-format", fmt::format("\"frostread\" is {}", format->raw().substr(0, 40)),
                            std::to_string(kCaseFormat));
        } else if (number > kCaseFormat) {
            problems_.error(*format, "format-too-new", fmt::format("this case has format {}", format->raw()),
                            fmt::format("at most format {}, which this program reads", kCaseFormat),
                            "use a newer program");
        }
    }

    /// Traits stand under their id or an alias; anything else is somebody's own note.
    const Trait* trait_of_key(std::string_view key) const {
        if (const Trait* trait = find_trait(library_, key)) return trait;
        for (const Trait& trait : library_.traits) {
            for (const std::string& alias : trait.aliases) {
                if (alias == key) return &trait;
            }
        }
        return nullptr;
    }

    void read_unit(const Value& unit, Case& the_case) {
        for (const Value member : unit) {
            const Trait* trait = trait_of_key(member.key());
            if (trait == nullptr) {
                keep_unit_member(member, the_case);
                continue;
            }
            if (member.is(Kind::null)) continue;  // not stated
            const bool is_text = member.is(Kind::string);
            if (!is_text && !(trait->is_number && member.is(Kind::number))) {
                problems_.error(member, "wrong-type",
                                fmt::format("{} is {}", trait->id, json::kind_words(member.kind())),
                                trait->is_number ? "a number, or a text with a unit" : "a text");
                continue;
            }
            if (auto refusal = set_trait(the_case.unit, *trait, is_text ? member.string() : member.raw())) {
                problems_.add(member, std::move(*refusal));
            }
        }
        if (!the_case.unit_unknown.empty()) the_case.unit_unknown += '}';
    }

    void keep_unit_member(const Value& member, Case& the_case) {
        std::string& kept = the_case.unit_unknown;
        kept += kept.empty() ? "{" : ",";
        json::append_string(kept, member.key());
        kept += ':';
        kept += member.raw();
        std::vector<std::string_view> known;
        for (const Trait& trait : library_.traits) known.push_back(trait.id);
        const std::string_view nearest = text::nearest(member.key(), known);
        if (nearest.empty()) return;
        problems_.warning_at_key(
            member, "unknown-trait",
            fmt::format("no trait is named {}; it is kept and not used", text::quoted(member.key())), "",
            std::string(nearest));
    }

    void read_reading(const Value& value, std::vector<Reading>& into) {
        Fields fields(value, problems_, "reading");
        Reading reading;
        const Check* check = nullptr;
        if (const auto name = fields.need("check", "the id of a check")) {
            if (fields.demand_kind(*name, Kind::string, "check")) check = find_named_check(*name);
        }
        if (check != nullptr) reading.check = check->id;
        const auto skipped = fields.take("skipped");
        if (skipped && fields.demand_kind(*skipped, Kind::string, "skipped")) reading.skipped = skipped->string();
        const auto member = fields.take("value");
        if (member && skipped) {
            problems_.error_at_key(*skipped, "value-and-skipped", "a reading has a value and is skipped",
                                   "one of the two");
        } else if (!member && !skipped && fields.valid()) {
            problems_.error(value, "missing-key", "this reading has no \"value\"",
                            "\"value\": what was found, or \"skipped\": why not");
        } else if (member && check != nullptr) {
            read_value(*member, *check, reading);
        }
        reading.sure = fields.flag("sure", true);
        reading.at = fields.optional_text("at");
        reading.note = fields.optional_text("note");
        reading.origin = fields.optional_text("origin");
        if (const auto after = fields.object("after")) read_after(*after, reading);
        reading.unknown = keep_unknown(fields, "reading");
        into.push_back(std::move(reading));
    }

    const Check* find_named_check(const Value& name) {
        if (const Check* check = find_check(library_, name.string())) return check;
        const NameMatch match = match_check(library_, name.string());
        if (match.unique()) return find_check(library_, match.matches.front());
        problems_.add(name, refuse_name("check", name.string(), match));
        return nullptr;
    }

    void read_value(const Value& member, const Check& check, Reading& reading) {
        std::optional<Diagnostic> refusal;
        if (member.is(Kind::string)) {
            refusal = set_value(reading, check, member.string(), own_measure(check));
        } else if (member.is(Kind::number) && own_measure(check) != nullptr) {
            refusal = set_value(reading, check, member.raw(), own_measure(check));
        } else if (member.is(Kind::array) && member.size() > 0) {
            std::vector<std::string_view> words;
            for (const Value element : member) {
                if (!element.is(Kind::string)) {
                    problems_.error(element, "wrong-type",
                                    fmt::format("{} stands where a word belongs", json::kind_words(element.kind())),
                                    "a text");
                    return;
                }
                words.push_back(element.string());
            }
            refusal = set_words(reading, check, words);
        } else {
            std::vector<std::string> known;
            for (const Outcome& outcome : check.outcomes) known.push_back(outcome.id);
            const std::string_view found =
                member.is(Kind::array) ? std::string_view("an empty list") : json::kind_words(member.kind());
            problems_.error(member, "wrong-type", fmt::format("the value of {} is {}", check.id, found),
                            known.empty() ? "a quantity" : text::join_or(known));
            return;
        }
        if (refusal) problems_.add(member, std::move(*refusal));
    }

    void read_after(const Value& after, Reading& reading) {
        for (const Value member : after) {
            const std::string id(member.key());
            if (find_condition(library_, id) == nullptr) {
                std::vector<std::string_view> known;
                for (const Condition& condition : library_.conditions) known.push_back(condition.id);
                problems_.error_at_key(member, "unknown-condition",
                                       fmt::format("no condition is named {}", text::quoted(id)), "",
                                       std::string(text::nearest(id, known)));
                continue;
            }
            if (!member.is(Kind::boolean)) {
                problems_.error(member, "wrong-type", fmt::format("{} is {}", id, json::kind_words(member.kind())),
                                "true when it held, false when it did not");
                continue;
            }
            reading.after[id] = member.boolean();
        }
    }

    /// What a person cannot do: a thing that is missing, or one check.
    std::optional<std::string> cannot_word(const Value& element) {
        const std::string_view word = element.string();
        const NameMatch match = match_missing(library_, word);
        if (match.unique()) return match.matches.front();
        Diagnostic refusal = refuse_name("check", word, match);
        if (match.matches.empty()) {
            refusal.expected = fmt::format("{} or a check", text::join(missing_words(library_), ", "));
            refusal.suggestion = match.nearest;
        }
        problems_.add(element, std::move(refusal));
        return std::nullopt;
    }

    void read_job(const Value& value, JobRecord& job) {
        Fields fields(value, problems_, "job");
        if (const auto open = fields.array("open")) {
            for (const Value element : *open) {
                if (!fields.demand_kind(element, Kind::string, "open")) continue;
                const NameMatch match = match_area(library_, element.string());
                if (match.unique()) {
                    job.open_areas.push_back(match.matches.front());
                } else {
                    problems_.add(element, refuse_name("area", element.string(), match));
                }
            }
        }
        constexpr json::Word<std::string_view> kPower[] = {{"on", "on"}, {"off", "off"}};
        job.power = fields.word<std::string_view>("power", kPower, std::string_view(""));
        constexpr json::Word<std::string_view> kMay[] = {
            {"anyone", "anyone"}, {"technician", "technician"}, {"licensed", "licensed"}, {"", ""}};
        job.may = fields.word<std::string_view>("may", kMay, std::string_view(""));
        constexpr json::Word<std::string_view> kUnits[] = {{"si", "si"}, {"us", "us"}, {"", ""}};
        job.units = fields.word<std::string_view>("units", kUnits, std::string_view(""));
        if (const auto cannot = fields.array("cannot")) {
            for (const Value element : *cannot) {
                if (!fields.demand_kind(element, Kind::string, "cannot")) continue;
                if (auto word = cannot_word(element)) job.cannot.push_back(std::move(*word));
            }
        }
        job.unknown = keep_unknown(fields, "job");
    }

    void read_closed(const Value& value, Closed& closed) {
        Fields fields(value, problems_, "closed case");
        if (const auto found = fields.need_array("found")) {
            for (const Value element : *found) {
                if (fields.demand_kind(element, Kind::string, "found")) read_found(element, closed);
            }
        }
        closed.remedy = fields.optional_text("remedy");
        closed.at = fields.optional_text("at");
        closed.note = fields.optional_text("note");
        if (const auto proof = fields.array("proof")) {
            for (const Value reading : *proof) read_reading(reading, closed.proof);
        }
        closed.unknown = keep_unknown(fields, "closed case");
    }

    /// "fault" or "fault:grade"
    void read_found(const Value& element, Closed& closed) {
        const std::string_view typed = element.string();
        const std::size_t colon = typed.find(':');
        const NameMatch match = match_fault(library_, typed.substr(0, colon));
        if (!match.unique()) {
            problems_.add(element, refuse_name("fault", typed.substr(0, colon), match));
            return;
        }
        const Fault& fault = *find_fault(library_, match.matches.front());
        std::string id = fault.id;
        if (colon != std::string_view::npos) {
            const std::string_view grade = typed.substr(colon + 1);
            std::vector<std::string> known;
            for (const Grade& g : fault.grades) known.push_back(g.id);
            if (std::find(known.begin(), known.end(), grade) == known.end()) {
                problems_.error(element, "unknown-grade",
                                fmt::format("{} has no grade {}", fault.id, text::quoted(grade)),
                                known.empty() ? "the fault alone: it has no grades" : text::join_or(known),
                                std::string(text::nearest(grade, std::span<const std::string>(known))));
                return;
            }
            id += ':';
            id += grade;
        }
        closed.found.push_back(std::move(id));
    }

    const Library& library_;
    Problems& problems_;
};

}  // namespace

Result<Case> read_case(std::string_view text, std::string_view file_name, const Library& library) {
    json::Document document(text);
    Diagnostics diagnostics;
    if (!document.parse(file_name, diagnostics)) return diagnostics;
    Problems problems{std::string(file_name)};
    problems.set_document(document);
    Case the_case = CaseReader(library, problems).read(document.root());
    const bool bad = problems.has_errors();
    diagnostics = problems.take();
    if (bad) return diagnostics;
    return {std::move(the_case), std::move(diagnostics)};
}

}  // namespace frostread
