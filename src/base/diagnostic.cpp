#include "frostread/diagnostic.hpp"

#include <algorithm>
#include <iterator>
#include <tuple>

namespace frostread {

bool has_errors(const Diagnostics& diagnostics) {
    return count(diagnostics, Severity::error) > 0;
}

std::size_t count(const Diagnostics& diagnostics, Severity severity) {
    return static_cast<std::size_t>(std::count_if(diagnostics.begin(), diagnostics.end(),
                                                  [&](const Diagnostic& d) { return d.severity == severity; }));
}

void append(Diagnostics& all, Diagnostics more) {
    all.insert(all.end(), std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
}

void sort_by_place(Diagnostics& diagnostics) {
    const auto key = [](const Diagnostic& d) {
        return std::tie(d.place.file, d.place.line, d.place.column, d.place.pointer);
    };
    std::stable_sort(diagnostics.begin(), diagnostics.end(),
                     [&](const Diagnostic& a, const Diagnostic& b) { return key(a) < key(b); });
}

}  // namespace frostread
