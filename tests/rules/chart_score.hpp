#pragma once

#include <map>
#include <string>
#include <vector>

/// Published troubleshooting charts held against the engine: does it rank the causes that a chart lists
/// among the first ones? Rows come from charts.json, what their words mean to us from mapping.json.
namespace frostread::test {

struct ChartCause {
    std::string key;
    std::vector<std::string> faults;  ///< any of them found counts
    std::size_t place = 0;            ///< of the best of them; 0: not ranked
    bool found = false;               ///< among the first (number of listed causes + 3)
};

struct ChartRow {
    std::string id, book, scope, says;
    bool gives_away = false;  ///< a reading of the row names the cause by itself
    std::string left_out;     ///< why the row is not scored; "" when it is
    std::vector<std::string> unit, readings;
    std::vector<ChartCause> causes;           ///< with a counterpart, each fault list once
    std::vector<std::string> no_counterpart;  ///< "key: why"
    std::string first;                        ///< the head of the ranking, in words
};

struct ChartShare {
    std::size_t found = 0, listed = 0, rows = 0;
    [[nodiscard]] double share() const {
        return listed == 0 ? 1.0 : static_cast<double>(found) / static_cast<double>(listed);
    }
};

/// Every row of charts.json, diagnosed and scored. Throws when a word of a row is not in mapping.json.
[[nodiscard]] std::vector<ChartRow> score_charts();

/// Over the rows that are scored, of one scope ("household", "general"), one book ("" for all) and one sort.
[[nodiscard]] ChartShare share_of(const std::vector<ChartRow>& rows, const std::string& scope, const std::string& book,
                                  bool gives_away);

/// The tables of docs/outside-checks.md, as Markdown.
[[nodiscard]] std::string chart_tables(const std::vector<ChartRow>& rows);

}  // namespace frostread::test
