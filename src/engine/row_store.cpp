#include <algorithm>
#include <set>

#include "engine/finding_row.hpp"

namespace frostread {

namespace {

constexpr std::size_t kMostBytes = std::size_t{24} << 20U;  ///< per thread
constexpr std::size_t kMostVariants = 64;
constexpr std::size_t kMostSpare = 128;  ///< emptied rows whose memory is used again

std::size_t bytes_of(const FindingRow& row) {
    const std::size_t columns = row.size() * (13 * sizeof(double) + sizeof(int) + sizeof(AlternativeIndex));
    return sizeof(FindingRow) + columns + row.pairs.size() * sizeof(double) +
           3 * row.sum_shift.size() * sizeof(double) + row.pair_sum.size() * sizeof(std::uint32_t) +
           row.place.size() * sizeof(std::int16_t);
}

}  // namespace

RowStore& RowStore::of_this_thread() {
    thread_local RowStore store;
    return store;
}

void RowStore::prepare(const UnitModel& model) {
    if (library_.get() == &model.compiled()) return;
    library_ = model.shared_library();
    const CompiledLibrary* compiled = library_.get();
    checks_.clear();
    bytes_ = 0;
    ++version_;
    for (CheckIndex i = 0; i < compiled->check_count(); ++i) {
        const CompiledCheck& check = compiled->check(i);
        OneCheck one;
        std::set<std::int32_t> variants;
        for (const LookEffect& effect : check.looks) variants.insert(effect.variant);
        for (const GaugeEffect& effect : check.gauges) variants.insert(effect.variant);
        variants.erase(-1);
        one.variants = variants.size();
        one.by_outcome.resize(std::max<std::size_t>(1, check.outcome_count));
        checks_.push_back(std::move(one));
    }
}

FindingRow* RowStore::find(const UnitModel& model, const Finding& finding, bool& is_new) {
    prepare(model);
    OneCheck& check = checks_[finding.check];
    if (check.variants > kMostVariants) return nullptr;
    const std::uint64_t variants = model.variant_bits(finding.check);
    const bool gauge = model.compiled().check(finding.check).kind == CheckKind::gauge;
    const double trust = gauge ? 0.0 : finding.trust;
    const bool flag = gauge ? finding.reference_known : finding.absent;
    std::vector<Remembered>& known = check.by_outcome[gauge ? 0 : finding.outcome];
    is_new = false;
    for (const Remembered& one : known)
        if (one.variants == variants && one.trust == trust && one.flag == flag) return one.row.get();
    is_new = true;
    std::unique_ptr<FindingRow> row;
    if (spare_.empty()) {
        row = std::make_unique<FindingRow>();
    } else {
        row = std::move(spare_.back());
        spare_.pop_back();
    }
    known.push_back({variants, trust, flag, std::move(row)});
    return known.back().row.get();
}

void RowStore::forget() {
    for (OneCheck& check : checks_)
        for (auto& known : check.by_outcome) {
            for (Remembered& one : known)
                if (spare_.size() < kMostSpare) spare_.push_back(std::move(one.row));
            known.clear();
        }
    bytes_ = 0;
    ++version_;
}

/// Once in a long while everything is forgotten, rather than keeping an account of what was used when.
FindingRow* RowStore::make_room(FindingRow& newcomer) {
    bytes_ += bytes_of(newcomer);
    if (bytes_ < kMostBytes) return &newcomer;
    scratch_ = std::move(newcomer);
    forget();
    spare_.clear();  // their memory is to be had again
    return &scratch_;
}

const FindingRow* RowStore::lay_out(const UnitModel& model, const Finding& finding, bool with_gauge_weights) {
    bool is_new = true;
    FindingRow* row = find(model, finding, is_new);
    const bool gauge = model.compiled().check(finding.check).kind == CheckKind::gauge;
    const bool kept = row != nullptr;
    if (!kept) row = &scratch_;
    if (is_new) {
        collect_touching(model, finding, *row);
        if (!gauge) weigh_touching(model, finding, *row);
        if (kept) row = make_room(*row);
    }
    if (gauge && with_gauge_weights && row->weighed_for != finding) {
        weigh_touching(model, finding, *row);
        row->weighed_for = finding;
    }
    return row;
}

}  // namespace frostread
