#include "base/diagnostic_table.hpp"

namespace frostread {

namespace {
constexpr DiagnosticEntry kTable[] = {
    {"not-a-number", "a number was expected", "write a number with its unit, such as 15 °F"},
    {"unit-missing", "a quantity has no unit", "add the unit, or say what bare numbers mean"},
    {"unknown-unit", "the unit of measure is not known", "use the unit that is suggested"},
    {"wrong-quantity", "the unit measures something else", "measure what the check asks for"},
};
}  // namespace

std::span<const DiagnosticEntry> diagnostic_table() {
    return kTable;
}

}  // namespace frostread
