#pragma once

#include <array>
#include <deque>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "files/json_fields.hpp"
#include "frostread/library.hpp"

/// A library while it is being read. Entries are read in the order library.json, cautions, checks,
/// faults, so most demands are checked on the spot; a name that may be defined later is noted with
/// its place and resolved at the end (library_validator.cpp). Every step is linear in the library.
namespace frostread {

/// What an id can name.
enum class Thing : std::size_t { system, trait, area, condition, caution, place, check, fault, remedy };
inline constexpr std::size_t kThings = 9;

[[nodiscard]] std::string_view to_word(Thing thing);

/// One entry and whose file it stands in.
struct Site {
    json::Value value;
    json::Problems* problems = nullptr;

    void error(std::string id, std::string what, std::string expected = "", std::string suggestion = "") const {
        problems->error(value, std::move(id), std::move(what), std::move(expected), std::move(suggestion));
    }
};

struct Reference {
    Thing thing = Thing::check;
    std::string id;
    Site site;
};

/// Entries of the shop's own files, by id; each replaces the library's entry of that id.
struct OverlayEntry {
    Site site;
    bool used = false;
};

class LibraryDraft {
public:
    Library library;

    /// Notes that `id` exists; a second one is reported.
    void define(Thing thing, const std::string& id, const Site& site);
    [[nodiscard]] bool is_defined(Thing thing, const std::string& id) const;
    /// Where an id was defined, or null.
    [[nodiscard]] const Site* site(Thing thing, const std::string& id) const;
    [[nodiscard]] std::string nearest(Thing thing, std::string_view id) const;

    /// Notes that `id` must exist in the end.
    void refer(Thing thing, std::string id, const Site& site);
    /// A list of ids, each referred to.
    std::vector<std::string> references(json::Fields& fields, std::string_view key, Thing thing);
    /// One id, referred to; "" when absent.
    std::string optional_reference(json::Fields& fields, std::string_view key, Thing thing);
    std::string reference(json::Fields& fields, std::string_view key, Thing thing);

    /// Runs once everything is read.
    void later(std::function<void()> demand) { later_.push_back(std::move(demand)); }
    void run_later();
    void resolve_references();

    /// Demands that `id` names something with a number: a gauge check, a number trait or a derived quantity.
    void demand_quantity(const std::string& id, const Site& site) const;

    /// The fault at `position` is cured by the remedy of `other`; copied once all faults are known.
    void share_remedy(std::size_t position, std::string other, const Site& site);
    void copy_shared_remedies();

    /// A file that would define these could not be read: names it may hold are not reported as unknown.
    void mark_incomplete(Thing thing) { incomplete_[index(thing)] = true; }
    [[nodiscard]] bool is_complete(Thing thing) const { return !incomplete_[index(thing)]; }

    void add_overlay_entry(Thing thing, const Site& site);
    /// Calls `read` for every element of `list`, or for what an overlay puts in its place.
    void each_entry(Thing thing, const json::Value& list, json::Problems& problems,
                    const std::function<void(const Site&)>& read);
    /// Calls `read` for overlay entries that replaced nothing, in their order.
    void each_new_entry(Thing thing, const std::function<void(const Site&)>& read);

    // Parts that several loaders read.
    TraitCondition trait_condition(json::Fields& fields, std::string_view key);
    std::optional<double> probability(const json::Value& value, json::Problems& problems);
    std::optional<NumberRange> range(json::Fields& fields, std::string_view key, bool required);
    [[nodiscard]] const Check* check(const std::string& id) const;
    void remember_check(const std::string& id, std::size_t position) { check_positions_.emplace(id, position); }

private:
    [[nodiscard]] static std::size_t index(Thing thing) { return static_cast<std::size_t>(thing); }
    std::optional<TraitTest> trait_test(const json::Value& member, json::Problems& problems);

    std::array<std::unordered_map<std::string, Site>, kThings> defined_;
    std::array<std::vector<std::string>, kThings>
        order_;  ///< ids in library order, so suggestions never depend on hashing
    std::array<bool, kThings> incomplete_{};
    std::vector<Reference> references_;
    std::vector<std::function<void()>> later_;
    std::array<std::vector<OverlayEntry>, kThings> overlay_;
    std::array<std::unordered_map<std::string, std::size_t>, kThings> overlay_ids_;
    std::unordered_map<std::string, std::size_t> check_positions_;
    struct SharedRemedy {
        std::size_t position;
        std::string other;
        Site site;
    };
    std::vector<SharedRemedy> shared_remedies_;
};

inline constexpr json::Word<Who> kWhoWords[] = {
    {"anyone", Who::anyone}, {"technician", Who::technician}, {"licensed", Who::licensed}};
inline constexpr json::Word<Power> kPowerWords[] = {{"either", Power::either}, {"on", Power::on}, {"off", Power::off}};

// One function per kind of file.
void read_library_file(LibraryDraft& draft, const json::Value& root, json::Problems& problems);
void read_cautions_file(LibraryDraft& draft, const json::Value& root, json::Problems& problems);
void read_checks_file(LibraryDraft& draft, const json::Value& root, json::Problems& problems);
void read_faults_file(LibraryDraft& draft, const json::Value& root, json::Problems& problems);
/// Files the overlay's entries by kind, and reads its name.
void register_overlay(LibraryDraft& draft, const json::Value& root, json::Problems& problems);
/// What an overlay says of the figures of library.json, on top of them.
void read_overlay_figures(LibraryDraft& draft, const json::Value& root, json::Problems& problems);

// New entries of overlays, once the library's own of that kind are read.
void read_new_cautions(LibraryDraft& draft);
void read_new_checks(LibraryDraft& draft);
void read_new_faults(LibraryDraft& draft);

/// Quantities that are computed from what is known (docs/rules.md). The compiler knows the formulas; the
/// two lists are kept equal by a test, since neither layer knows the other.
[[nodiscard]] std::span<const std::string_view> derived_quantities();

/// Everything that needs the whole library: references, aliases, remedies shared by `same_as`.
void validate_library(LibraryDraft& draft);

}  // namespace frostread
