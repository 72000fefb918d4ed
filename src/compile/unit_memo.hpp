#pragma once

#include <cstdint>
#include <memory>
#include <set>
#include <string>
#include <vector>

#include "frostread/compiled_library.hpp"

/// What was worked out for one unit, kept for the next: how often a fault is the cause depends on a few
/// traits only, and units differ in few ways. Equal traits, as far as a part asks for them, give the
/// number that was worked out before; no number is ever different from what a fresh start gives.
namespace frostread {

/// A unit as small numbers: per trait of the library 0 when it is not stated, else which word it is, or
/// where a number lies among the limits that any condition asks about.
class UnitCodes {
public:
    void prepare(const Library& library);
    /// False when a stated word is not in the library; then nothing may be remembered.
    [[nodiscard]] bool encode(const UnitTraits& unit, std::vector<std::uint32_t>& codes) const;
    [[nodiscard]] std::uint32_t radix(std::size_t trait) const { return traits_[trait].radix; }
    [[nodiscard]] std::size_t index_of(const std::string& trait) const;  ///< size() when there is none
    [[nodiscard]] std::size_t size() const { return traits_.size(); }

private:
    struct OneTrait {
        std::string id;
        bool is_number = false;
        std::vector<std::string> words;
        std::vector<double> limits;  ///< ascending
        std::uint32_t radix = 1;
    };
    std::vector<OneTrait> traits_;
};

/// The answers to all questions about a unit that depend on the same traits.
class MemoTable {
public:
    /// `traits`: ids of everything that the answers depend on.
    MemoTable(const UnitCodes& codes, const std::set<std::string>& traits);
    /// `count` remembered answers, or those that work(double*) fills in on first sight. Valid until the next call.
    template <class Work>
    const double* get(const std::vector<std::uint32_t>& codes, bool may_remember, std::size_t count, Work work) {
        std::size_t place = 0;
        for (const Digit& digit : digits_) place += codes[digit.trait] * digit.stride;
        const bool remember = may_remember && place < answers_.size();
        std::unique_ptr<double[]>& answers = remember ? answers_[place] : unremembered_;
        if (!answers || !remember) {
            answers = std::make_unique<double[]>(count);
            work(answers.get());
        }
        return answers.get();
    }

private:
    struct Digit {
        std::size_t trait = 0;
        std::size_t stride = 0;
    };
    std::vector<Digit> digits_;
    std::vector<std::unique_ptr<double[]>> answers_;  ///< empty when there would be too many
    std::unique_ptr<double[]> unremembered_;
};

}  // namespace frostread
