#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <unordered_set>

#include "base/text.hpp"
#include "files/library_draft.hpp"

namespace frostread {

namespace {

constexpr std::array<std::string_view, 6> kDerived = {"heater-ohms",        "rated-volts",    "rated-watts",
                                                      "saturation-at-room", "suction-normal", "head-normal"};

/// A word that is typed has to mean one thing: no alias is another's id or alias.
template <class Entry>
void demand_clear_aliases(const LibraryDraft& draft, const std::vector<Entry>& entries, Thing thing) {
    std::unordered_map<std::string, std::string_view> owner_of_id;
    for (const Entry& entry : entries) owner_of_id.emplace(text::to_lower(entry.id), entry.id);
    std::unordered_map<std::string, std::string_view> owner_of_alias;
    for (const Entry& entry : entries) {
        for (const std::string& alias : entry.aliases) {
            const std::string word = text::to_lower(alias);
            std::string_view owner;
            if (const auto id = owner_of_id.find(word); id != owner_of_id.end()) {
                owner = id->second;
            } else if (const auto [other, is_new] = owner_of_alias.emplace(word, entry.id); !is_new) {
                owner = other->second;
            }
            if (owner.empty()) continue;
            const Site* site = draft.site(thing, entry.id);
            if (site == nullptr) continue;
            const auto list = site->value.find("aliases");
            (list ? Site{*list, site->problems} : *site)
                .error("alias-clash",
                       fmt::format("the alias {} of {} is taken by the {} {}", text::quoted(alias), entry.id,
                                   to_word(thing), owner),
                       "an alias of its own");
        }
    }
}

void demand_clear_value_aliases(const LibraryDraft& draft, const Trait& trait) {
    std::unordered_set<std::string> words;
    for (const TraitValue& value : trait.values) words.insert(text::to_lower(value.id));
    for (const TraitValue& value : trait.values) {
        for (const std::string& alias : value.aliases) {
            const Site* site = draft.site(Thing::trait, trait.id);
            if (words.insert(text::to_lower(alias)).second || site == nullptr) continue;
            site->error("alias-clash",
                        fmt::format("the alias {} of {} stands for another value of {}", text::quoted(alias), value.id,
                                    trait.id),
                        "an alias of its own");
        }
    }
}

}  // namespace

std::span<const std::string_view> derived_quantities() {
    return kDerived;
}

void LibraryDraft::demand_quantity(const std::string& id, const Site& site) const {
    if (std::find(kDerived.begin(), kDerived.end(), id) != kDerived.end()) return;
    if (const Trait* trait = find_trait(library, id); trait != nullptr && trait->is_number) return;
    if (const Check* other = check(id); other != nullptr && other->kind == CheckKind::gauge) return;
    if (!is_complete(Thing::check) || !is_complete(Thing::trait)) return;
    std::vector<std::string> known(kDerived.begin(), kDerived.end());
    for (const Trait& trait : library.traits) {
        if (trait.is_number) known.push_back(trait.id);
    }
    for (const Check& other : library.checks) {
        if (other.kind == CheckKind::gauge) known.push_back(other.id);
    }
    site.error("unknown-quantity", fmt::format("nothing with a number is named {}", text::quoted(id)),
               "a gauge check, a number trait or a derived quantity",
               std::string(text::nearest(id, std::span<const std::string>(known))));
}

void LibraryDraft::share_remedy(std::size_t position, std::string other, const Site& site) {
    shared_remedies_.push_back({position, std::move(other), site});
}

void LibraryDraft::copy_shared_remedies() {
    std::unordered_map<std::string, std::string> same_as;
    std::unordered_map<std::string, std::size_t> positions;
    for (std::size_t i = 0; i < library.faults.size(); ++i) positions.emplace(library.faults[i].id, i);
    for (const SharedRemedy& shared : shared_remedies_) {
        same_as.emplace(library.faults[shared.position].id, shared.other);
    }
    for (const SharedRemedy& shared : shared_remedies_) {
        // Follow the chain; one longer than there are faults runs in a circle.
        std::string source = shared.other;
        std::size_t steps = 0;
        for (auto next = same_as.find(source); next != same_as.end() && steps <= same_as.size(); ++steps) {
            source = next->second;
            next = same_as.find(source);
        }
        if (steps > same_as.size()) {
            shared.site.error("names-itself",
                              fmt::format("the remedies of {} run in a circle", library.faults[shared.position].id),
                              "\"same_as\" a fault that states its remedy");
            continue;
        }
        if (const auto at = positions.find(source); at != positions.end()) {
            library.faults[shared.position].remedy = library.faults[at->second].remedy;
        }
    }
}

void validate_library(LibraryDraft& draft) {
    draft.run_later();
    draft.resolve_references();
    draft.copy_shared_remedies();
    demand_clear_aliases(draft, draft.library.checks, Thing::check);
    demand_clear_aliases(draft, draft.library.faults, Thing::fault);
    demand_clear_aliases(draft, draft.library.traits, Thing::trait);
    for (const Trait& trait : draft.library.traits) demand_clear_value_aliases(draft, trait);
}

}  // namespace frostread
