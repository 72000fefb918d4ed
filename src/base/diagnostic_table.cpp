#include "base/diagnostic_table.hpp"

namespace frostread {

namespace {
constexpr DiagnosticEntry kTable[] = {
    {"alias-clash", "an alias stands for two things", "give one of them another alias"},
    {"alias-too-long", "an alias for quick typing has more than 8 letters",
     "choose a shorter word; former ids go into \"was\""},
    {"ambiguous-name", "what was typed fits several names", "type more letters"},
    {"bad-band", "bands do not rise, or do not cover the range", "let each band but the last end at a larger \"upto\""},
    {"bad-format", "the format number is no whole number", "write the number that is named"},
    {"bad-id", "an id holds a character that ids do not have", "use letters, digits and hyphens"},
    {"bad-json", "the text is not JSON", "mend the place that is named; nothing after it was read"},
    {"bad-range", "a range is not two rising numbers", "write [least, most]"},
    {"bad-utf8", "a byte is not part of valid UTF-8", "save the file as UTF-8"},
    {"contradiction", "a list says normal and something else", "keep one of the two"},
    {"duplicate-id", "two entries have the same id", "rename one; faults share a remedy with \"same_as\""},
    {"duplicate-rule", "a fault has two rules on one check for the same units", "merge them, or give one a \"where\""},
    {"empty-library", "a library without a check or a fault", "add files to checks/ and faults/"},
    {"empty-list", "a list has too few entries", "add what is named"},
    {"empty-text", "a text is empty", "write it"},
    {"format-too-new", "the file is of a later format than this program reads", "use a newer program"},
    {"given-twice", "a calculator is given one input twice", "keep one of the two"},
    {"input-missing", "a calculator lacks an input", "add the one that is named"},
    {"inputs-conflict", "inputs of a calculator do not go together", "give the ones that are named"},
    {"key-twice", "a key is given twice in one object", "keep one of the two"},
    {"missing-file", "a library without library.json", "add it: docs/rules.md has the smallest one"},
    {"missing-key", "a key that is needed is not there", "add it"},
    {"named-twice", "a list names something twice", "keep one of the two"},
    {"names-itself", "an entry refers to itself", "name another one"},
    {"normal-outcome", "a check has no normal outcome, or several", "mark exactly one with \"normal\": true"},
    {"not-a-number", "a number was expected", "write a number with its unit, such as 15 °F"},
    {"out-of-range", "a number is outside what is possible", "measure or type it again; the range is named"},
    {"point-unclear", "a point of a sensor has no \"=\"", "write TEMPERATURE=OHMS"},
    {"points-contradict", "no sensor curve goes through the points", "copy them again from the table of the unit"},
    {"too-deep", "brackets are nested too deep", "flatten the document"},
    {"too-large", "the text is larger than the program reads", "split it"},
    {"too-many-errors", "there are more problems than are shown", "cure the first ones and look again"},
    {"trait-left-alone", "the case describes the unit otherwise than the calculation", "correct whichever is wrong"},
    {"unit-missing", "a quantity has no unit", "add the unit, or say what bare numbers mean"},
    {"unknown-area", "no area has this name", "use the name that is suggested, or add the area"},
    {"unknown-caution", "no caution has this name", "use the name that is suggested, or add the caution"},
    {"unknown-check", "no check has this name", "use the name that is suggested, or add the check"},
    {"unknown-condition", "no condition has this name", "use the name that is suggested, or add the condition"},
    {"unknown-fault", "no fault has this name", "use the name that is suggested, or add the fault"},
    {"unknown-file", "a file stands where a library has none", "move it to checks/ or faults/"},
    {"unknown-grade", "a fault has no such grade", "use a grade that is named"},
    {"unknown-input", "a calculator has no such input", "use an input that its help lists"},
    {"unknown-key", "an object has a key that nobody reads", "correct it; in a case it is kept and not used"},
    {"unknown-outcome", "a check has no such outcome", "use an outcome that is named"},
    {"unknown-place", "no place has this name", "use the \"place\" of a file of checks"},
    {"unknown-quantity", "nothing that has a number is named so",
     "name a gauge check, a number trait or a derived quantity"},
    {"unknown-system", "no system has this name", "use the name that is suggested, or add the system"},
    {"unknown-trait", "no trait has this name", "use the name that is suggested; in a case it is kept and not used"},
    {"unknown-unit", "the unit of measure is not known", "use the unit that is suggested"},
    {"unknown-value", "a trait has no such value", "use a value that is named"},
    {"unknown-word", "a word is none of those that are known", "use a word that is named"},
    {"value-and-skipped", "a reading has a value and is skipped", "keep one of the two"},
    {"wrong-key", "a key stands where it means nothing", "remove it"},
    {"wrong-quantity", "the unit measures something else", "measure what the check asks for"},
    {"wrong-rule", "a rule does not fit the kind of its check", "gauges shift, all others have outcomes"},
    {"wrong-sum", "shares or probabilities do not sum as they must", "correct the numbers; the sum is named"},
    {"wrong-type", "a value is of another kind", "write the kind that is named"},
};
}  // namespace

std::span<const DiagnosticEntry> diagnostic_table() {
    return kTable;
}

}  // namespace frostread
