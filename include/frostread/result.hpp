#pragma once

#include <optional>
#include <utility>

#include "frostread/diagnostic.hpp"

namespace frostread {

/// A value or none, always with what was said on the way. Nothing is thrown across the library's
/// border for bad input; a value with warnings is still a value. Member names follow std::expected
/// where they mean the same, so that it can be swapped in later.
template <class T>
class [[nodiscard]] Result {
public:
    Result(T value) : value_(std::move(value)) {}  // NOLINT(google-explicit-constructor)
    Result(T value, Diagnostics diagnostics) : value_(std::move(value)), diagnostics_(std::move(diagnostics)) {}
    Result(Diagnostics diagnostics) : diagnostics_(std::move(diagnostics)) {}  // NOLINT(google-explicit-constructor)
    Result(Diagnostic diagnostic) { diagnostics_.push_back(std::move(diagnostic)); }  // NOLINT

    [[nodiscard]] bool has_value() const { return value_.has_value(); }
    explicit operator bool() const { return has_value(); }

    [[nodiscard]] const T& value() const& { return value_.value(); }
    [[nodiscard]] T& value() & { return value_.value(); }
    [[nodiscard]] T&& value() && { return std::move(value_).value(); }
    const T& operator*() const& { return *value_; }
    T& operator*() & { return *value_; }
    const T* operator->() const { return &*value_; }
    T* operator->() { return &*value_; }

    [[nodiscard]] const Diagnostics& diagnostics() const { return diagnostics_; }
    [[nodiscard]] Diagnostics& diagnostics() { return diagnostics_; }

private:
    std::optional<T> value_;
    Diagnostics diagnostics_;
};

}  // namespace frostread
