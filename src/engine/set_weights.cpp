#include "engine/set_weights.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "engine/wide_vectors.hpp"

namespace frostread {

namespace {

constexpr double kDecadesBeforeFold = 100.0;  ///< products stay far inside the range of a double (308 decades)

/// The first alternative after i that is another fault: grades of one fault exclude each other.
std::size_t first_partner(const UnitModel& model, std::size_t i) {
    const auto all = model.compiled().alternatives();
    std::size_t first = i + 1;
    while (first < all.size() && all[first].fault == all[i].fault) ++first;
    return first;
}

/// Turns the factors in out.pair into weights single_i * single_j * scale * factor, and adds everything up. One
/// loop over the whole triangle; the four partial sums of a row need not wait for each other.
FROSTREAD_WIDE_VECTORS
void weigh_pairs(double* pair, double* marginal, double* largest_of_row, double& total, const double* single,
                 std::size_t count, double scale) {
    for (std::size_t i = 0; i + 1 < count; ++i) {
        double* row = pair - i - 1;  // row[j] is the pair of i and j
        if (single[i] == 0.0) {      // not on this unit
            std::fill(pair, pair + count - i - 1, 0.0);
            pair += count - i - 1;
            continue;
        }
        const double of_i = single[i] * scale;
        FourDoubles sums{}, largest{};
        std::size_t j = i + 1;
        for (; j + 4 <= count; j += 4) {
            FourDoubles weight, other, marginals;
            load_four(weight, row + j);
            load_four(other, single + j);
            load_four(marginals, marginal + j);
            weight *= of_i * other;
            store_four(row + j, weight);
            store_four(marginal + j, marginals + weight);
            sums += weight;
            largest = largest < weight ? weight : largest;
        }
        double sum = (sums[0] + sums[1]) + (sums[2] + sums[3]);
        double most = std::max(std::max(largest[0], largest[1]), std::max(largest[2], largest[3]));
        for (; j < count; ++j) {
            const double weight = row[j] * (of_i * single[j]);
            row[j] = weight;
            marginal[j] += weight;
            sum += weight;
            most = std::max(most, weight);
        }
        marginal[i] += sum;
        largest_of_row[i] = most;
        total += sum;
        pair += count - i - 1;
    }
}

/// Requires: out.alone is final; out.pair holds what single_i * single_j * scale is to be multiplied with.
void add_up(SetWeights& out, const std::vector<double>& single, double scale) {
    out.marginal = out.alone;
    out.row_largest.assign(out.alone.size(), 0.0);
    out.total = 0.0;
    for (const double weight : out.alone) out.total += weight;
    if (!out.pair.empty())
        weigh_pairs(out.pairs().data(), out.marginal.data(), out.row_largest.data(), out.total, single.data(),
                    out.alone.size(), scale);
}

/// Grades of one fault exclude each other.
void clear_pairs_of_one_fault(const UnitModel& model, SetWeights& out) {
    for (std::size_t i = 0; i < out.alone.size() && !out.pair.empty(); ++i) {
        double* row = out.pair_row(i);
        std::fill(row + i + 1, row + first_partner(model, i), 0.0);
    }
}

double triple_prior(const UnitModel& model, const Triple& triple) {
    const auto prior = model.prior();
    return prior[triple.i] * prior[triple.j] * prior[triple.k] * model.second_fault() * model.second_fault();
}

FROSTREAD_WIDE_VECTORS
void multiply(double* to, const double* factors, std::size_t count) {
    for (std::size_t i = 0; i < count; ++i) to[i] *= factors[i];
}

FROSTREAD_WIDE_VECTORS
void divide(double* to, const double* divisors, std::size_t count) {
    for (std::size_t i = 0; i < count; ++i) to[i] /= divisors[i];
}

/// Calls change(weight, factor) for the pairs that touch the finding twice; `single` is 0 for an alternative whose
/// pairs are left out. Two rows side by side share what is looked up for their partner.
template <class FactorRow, class Change>
void walk_pairs(const FindingRow& row, const double* single, SetWeights& weights, FactorRow factor_row, Change change) {
    struct Live {
        std::uint32_t place;
        AlternativeIndex who;
    };
    thread_local std::vector<Live> live_of_thread;
    live_of_thread.resize(row.size());
    Live* const live = live_of_thread.data();
    std::size_t count = 0;
    for (std::uint32_t i = 0; i < row.size(); ++i) {
        live[count] = {i, row.who[i]};
        count += single[row.who[i]] != 0.0 ? 1U : 0U;
    }
    for (std::size_t next = 0; next + 1 < count; next += 2) {
        const Live one = live[next], other = live[next + 1];
        double* const target = weights.pair_row(one.who);
        double* const other_target = weights.pair_row(other.who);
        const auto factor = factor_row(one.place), other_factor = factor_row(other.place);
        change(target[other.who], factor(other.place));
        for (std::size_t i = next + 2; i < count; ++i) {
            const Live with = live[i];
            change(target[with.who], factor(with.place));
            change(other_target[with.who], other_factor(with.place));
        }
    }
}

template <class Change>
void for_each_pair(const FindingRow& row, const double* single, SetWeights& weights, Change change) {
    if (row.pair_sum.empty()) {
        const auto looks = [&row](std::size_t i) {
            return
                [here = row.pairs.data() + row.pairs_of(i), first = i + 1](std::size_t j) { return here[j - first]; };
        };
        walk_pairs(row, single, weights, looks, change);
        return;
    }
    const double *likelihood = row.sum_likelihood.data(), *inverse = row.inverse.data();
    const double per_none = 1.0 / row.none;
    const auto gauges = [=, &row](std::size_t i) {
        const std::uint32_t* const here = row.pair_sum.data() + row.pairs_of(i);
        return [=, first = i + 1, scale = inverse[i] * per_none](std::size_t j) {
            return likelihood[here[j - first]] * (scale * inverse[j]);
        };
    };
    walk_pairs(row, single, weights, gauges, change);
}

}  // namespace

void SetWeigher::weigh(const UnitModel& model, const Findings& findings, const std::vector<Triple>& triples,
                       int max_faults, SetWeights& out) {
    out_ = &out;
    const std::size_t count = model.compiled().alternative_count();
    out.alone.assign(count, 1.0);
    out.pair.assign(max_faults >= 2 ? SetWeights::kSpare + count * (count - std::min<std::size_t>(count, 1)) / 2 : 0,
                    1.0);
    else_ = 1.0;
    else_log_ = log_none_ = decades_ = 0.0;
    folded_ = false;
    RowStore& store = RowStore::of_this_thread();
    rows_.clear();
    for (const Finding& finding : findings.items) {
        rows_.push_back(&store.weighed(model, finding));
        if (rows_.size() == 1 || store.version() != rows_version_) {
            std::fill(rows_.begin(), rows_.end() - 1, nullptr);
            rows_version_ = store.version();
        }
        take(model, *rows_.back());
    }
    if (folded_ || !triples.empty()) {  // three likelihoods multiplied may leave the range that two keep to
        fold();
        finish_folded(model, triples);
    } else {
        finish(model);
    }
}

void SetWeigher::take(const UnitModel& model, const FindingRow& row) {
    if (decades_ + row.range_log10 > kDecadesBeforeFold) fold();
    decades_ += row.range_log10;
    log_none_ += row.log_none;
    else_ *= row.flat_ratio;
    for (std::size_t a = 0; a < row.size(); ++a) out_->alone[row.who[a]] *= row.ratio[a];
    if (out_->pair.empty()) return;
    if (is_full(row, *out_))
        multiply(out_->pairs().data(), row.pairs.data(), row.pairs.size());
    else  // what the unit cannot have is left out: its pairs weigh nothing
        for_each_pair(row, model.prior().data(), *out_, [](double& pair, double factor) { pair *= factor; });
}

/// Products go into logarithms before they leave the range of a double.
void SetWeigher::fold() {
    if (!folded_) {
        single_log_.assign(out_->alone.size(), 0.0);
        pair_log_.assign(out_->pair.size(), 0.0);
        folded_ = true;
    }
    else_log_ += std::log(else_);
    else_ = 1.0;
    for (std::size_t i = 0; i < single_log_.size(); ++i) single_log_[i] += std::log(out_->alone[i]);
    for (std::size_t i = 0; i < pair_log_.size(); ++i)
        if (out_->pair[i] != 1.0) pair_log_[i] += std::log(out_->pair[i]);
    std::fill(out_->alone.begin(), out_->alone.end(), 1.0);
    std::fill(out_->pair.begin(), out_->pair.end(), 1.0);
    decades_ = 0.0;
}

void SetWeigher::finish(const UnitModel& model) {
    SetWeights& out = *out_;
    const std::size_t count = out.alone.size();
    out.log_scale = log_none_;
    out.nothing_wrong = model.nothing_wrong();
    out.something_else = model.something_else() * else_;
    for (std::size_t i = 0; i < count; ++i) out.alone[i] *= model.prior()[i];
    clear_pairs_of_one_fault(model, out);
    add_up(out, out.alone, model.second_fault());
    out.triples.clear();
}

/// With the largest exponent of any hypothesis taken out, weights neither overflow nor all vanish. A single
/// weight may have vanished where the pair has not, so the logarithms are added first.
void SetWeigher::finish_folded(const UnitModel& model, const std::vector<Triple>& triples) {
    SetWeights& out = *out_;
    const std::size_t count = out.alone.size();
    const double second = model.second_fault();
    double shift = model.nothing_wrong() > 0.0 ? 0.0 : -std::numeric_limits<double>::infinity();
    if (model.something_else() > 0.0) shift = std::max(shift, else_log_);
    const auto exponent = [&](std::size_t i, std::size_t j) {
        return single_log_[i] + single_log_[j] +
               pair_log_[static_cast<std::size_t>(out.pair_row(i) + j - out.pair.data())];
    };
    for (std::size_t i = 0; i < count; ++i) {
        if (model.prior()[i] <= 0.0) continue;
        shift = std::max(shift, single_log_[i]);
        for (std::size_t j = first_partner(model, i); j < count && !out.pair.empty(); ++j)
            if (model.prior()[j] > 0.0) shift = std::max(shift, exponent(i, j));
    }
    for (const Triple& triple : triples) shift = std::max(shift, triple.exponent);

    out.log_scale = log_none_ + shift;
    out.nothing_wrong = model.nothing_wrong() * std::exp(-shift);
    out.something_else = model.something_else() * std::exp(else_log_ - shift);
    for (std::size_t i = 0; i < count; ++i) out.alone[i] = model.prior()[i] * std::exp(single_log_[i] - shift);
    for (std::size_t i = 0; i < count && !out.pair.empty(); ++i) {
        double* row = out.pair_row(i);
        const std::size_t first = first_partner(model, i);
        for (std::size_t j = first; j < count; ++j) {
            const bool possible = model.prior()[i] > 0.0 && model.prior()[j] > 0.0;  // else the exponent has no bound
            row[j] = possible ? second * model.prior()[i] * model.prior()[j] * std::exp(exponent(i, j) - shift) : 0.0;
        }
    }
    clear_pairs_of_one_fault(model, out);
    add_up(out, std::vector<double>(count, 1.0), 1.0);
    out.triples.clear();
    for (const Triple& triple : triples)
        out.triples.push_back(triple_prior(model, triple) * std::exp(triple.exponent - shift));
}

void reweigh(const SetWeights& from, const FindingRow& without, const FindingRow* with, SetWeights& out) {
    const std::size_t count = from.alone.size();
    thread_local std::vector<double> single;
    single.assign(count, 1.0);
    for (std::size_t a = 0; a < without.size(); ++a) single[without.who[a]] = without.inverse[a];
    for (std::size_t a = 0; with != nullptr && a < with->size(); ++a) single[with->who[a]] *= with->ratio[a];

    out.nothing_wrong = from.nothing_wrong;
    out.something_else = from.something_else / without.flat_ratio * (with != nullptr ? with->flat_ratio : 1.0);
    out.log_scale = from.log_scale - without.log_none + (with != nullptr ? with->log_none : 0.0);
    out.triples.clear();
    out.alone.resize(count);
    for (std::size_t i = 0; i < count; ++i) out.alone[i] = from.alone[i] * single[i];
    out.pair = from.pair;
    if (!out.pair.empty()) {
        if (is_full(without, out))
            divide(out.pairs().data(), without.pairs.data(), without.pairs.size());
        else
            for_each_pair(without, single.data(), out, [](double& pair, double factor) { pair /= factor; });
        if (with != nullptr && is_full(*with, out))
            multiply(out.pairs().data(), with->pairs.data(), with->pairs.size());
        else if (with != nullptr)
            for_each_pair(*with, single.data(), out, [](double& pair, double factor) { pair *= factor; });
    }
    add_up(out, single, 1.0);
}

}  // namespace frostread
