#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

/// Lines, cells and numbers of a delimited text, without copies: a month at one row a second passes
/// through here in one or two seconds.
namespace frostread::templog {

inline constexpr std::size_t kMaxCells = 64;

/// The cells of one line; views into the text.
struct Cells {
    std::array<std::string_view, kMaxCells> cell;
    std::size_t count = 0;
    [[nodiscard]] std::string_view at(std::size_t index) const {
        return index < count ? cell[index] : std::string_view{};
    }
};

/// Walks over the lines of a text; ends are \n, \r\n or (when the text has no \n) \r.
class Lines {
public:
    explicit Lines(std::string_view text);
    [[nodiscard]] bool next(std::string_view& line);
    [[nodiscard]] std::size_t number() const { return number_; }  ///< of the line last given, from 1
    [[nodiscard]] std::size_t offset() const { return offset_; }  ///< where the next line begins

private:
    std::string_view text_;
    std::size_t offset_ = 0;
    std::size_t number_ = 0;
    char end_ = '\n';
};

[[nodiscard]] std::string_view trim(std::string_view text);
[[nodiscard]] std::string lower(std::string_view text);

/// Splits at `separator`; a cell in double quotes may hold it. Blanks around cells are dropped.
void split_cells(std::string_view line, char separator, Cells& cells);

enum class CellUnit { none, celsius, fahrenheit, watt, kilowatt };

struct CellNumber {
    double value = 0.0;
    CellUnit unit = CellUnit::none;
};

/// "3.4", "-18,2", "1.234,5", "38 °F", "0.09 kW". None when it is no number.
[[nodiscard]] std::optional<CellNumber> parse_number(std::string_view cell);

/// An empty cell or a word that loggers write when there is no value.
[[nodiscard]] bool is_missing(std::string_view cell);
/// A word that loggers write for a broken probe.
[[nodiscard]] bool is_probe_error(std::string_view cell);

/// UTF-8 without a byte order mark; UTF-16 is turned into it. None when it is no text at all.
/// `storage` keeps the turned text alive.
[[nodiscard]] std::optional<std::string_view> as_utf8(std::string_view text, std::string& storage);

/// For showing: bytes that are no UTF-8 and control characters become '?', long text is cut.
[[nodiscard]] std::string printable(std::string_view text, std::size_t most = 40);

/// "3.40": a fixed number of decimals, never "-0", no locale.
[[nodiscard]] std::string fixed(double value, int decimals);

}  // namespace frostread::templog
