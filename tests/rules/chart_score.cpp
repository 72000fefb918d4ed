#include "rules/chart_score.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <set>
#include <stdexcept>

#include "rules/shipped.hpp"

namespace frostread::test {

namespace {

using nlohmann::json;

constexpr std::size_t kRoomBesides = 3;  // places beyond the number of listed causes

void map_readings(const json& row, const json& mapping, ChartRow& mapped) {
    std::string complaints;
    bool pressure = false;
    for (const auto& [key, value] : row.at("readings").items()) {
        const std::string words = key + "=" + value.get<std::string>();
        for (const std::string reading : mapping.at("readings").at(words)) {
            pressure = pressure || reading.find("-pressure=") != std::string::npos;
            if (reading.starts_with("complaint=")) {  // things said together are one reading
                complaints += (complaints.empty() ? "complaint=" : ",") + reading.substr(10);
            } else if (std::find(mapped.readings.begin(), mapped.readings.end(), reading) == mapped.readings.end()) {
                mapped.readings.push_back(reading);
            }
        }
    }
    if (!complaints.empty()) {
        mapped.readings.insert(mapped.readings.begin(), complaints);
    }
    if (pressure) {
        for (const std::string trait : mapping.at("pressures").at("unit")) {
            mapped.unit.push_back(trait);
        }
    }
}

void map_causes(const json& row, const json& mapping, ChartRow& mapped) {
    for (const std::string key : row.at("causes")) {
        const json& ours = mapping.at("causes").at(key);
        if (ours.is_string()) {
            mapped.no_counterpart.push_back(key + ": " + ours.get<std::string>());
            continue;
        }
        ChartCause cause{key, ours.get<std::vector<std::string>>()};
        // Two words of a chart for one fault of ours are one cause.
        const auto same = std::find_if(mapped.causes.begin(), mapped.causes.end(),
                                       [&](const ChartCause& earlier) { return earlier.faults == cause.faults; });
        if (same == mapped.causes.end()) {
            mapped.causes.push_back(std::move(cause));
        }
    }
}

void score(ChartRow& row) {
    const Ranking ranking = diagnose(row.unit, row.readings);
    const std::size_t reach = row.causes.size() + kRoomBesides;
    for (ChartCause& cause : row.causes) {
        for (const std::string& fault : cause.faults) {
            const std::size_t place = ranking.place(fault);
            if (place != 0 && (cause.place == 0 || place < cause.place)) {
                cause.place = place;
            }
        }
        cause.found = cause.place != 0 && cause.place <= reach;
    }
    row.first = ranking.first(reach);
}

std::string share_cell(const ChartShare& share) {
    return share.listed == 0 ? "-" : fmt::format("{} of {} ({:.2f})", share.found, share.listed, share.share());
}

std::string row_cells(const ChartRow& row) {
    std::string readings, causes;
    for (const std::vector<std::string>* words : {&row.unit, &row.readings}) {
        for (const std::string& word : *words) {
            readings += (readings.empty() ? "" : ", ") + word;
        }
    }
    for (const ChartCause& cause : row.causes) {
        causes += fmt::format("{}{} {}{}", causes.empty() ? "" : ", ", cause.key, cause.place,
                              cause.found ? "" : " (too low)");
    }
    return fmt::format("| {} | {} | {} | {} |\n", row.id, row.says, readings, causes);
}

}  // namespace

std::vector<ChartRow> score_charts() {
    const json charts = json::parse(rules_test_file("charts.json"));
    const json mapping = json::parse(rules_test_file("mapping.json"));
    std::vector<ChartRow> rows;
    for (const json& row : charts.at("rows")) {
        ChartRow mapped;
        mapped.id = row.at("id");
        mapped.book = row.at("book");
        mapped.scope = row.at("scope");
        mapped.says = row.at("says");
        mapped.gives_away = row.contains("gives_away");
        if (row.contains("unit")) {
            mapped.unit = row.at("unit").get<std::vector<std::string>>();
        }
        map_readings(row, mapping, mapped);
        map_causes(row, mapping, mapped);
        if (mapping.at("left_out").contains(mapped.id)) {
            mapped.left_out = mapping.at("left_out").at(mapped.id);
        } else if (mapped.causes.empty()) {
            mapped.left_out = mapped.no_counterpart.front();
        } else if (mapped.readings.empty()) {
            mapped.left_out = "no check of ours reads what the row says";
        } else {
            score(mapped);
        }
        rows.push_back(std::move(mapped));
    }
    return rows;
}

ChartShare share_of(const std::vector<ChartRow>& rows, const std::string& scope, const std::string& book,
                    bool gives_away) {
    ChartShare share;
    for (const ChartRow& row : rows) {
        if (!row.left_out.empty() || row.scope != scope || row.gives_away != gives_away ||
            (!book.empty() && row.book != book)) {
            continue;
        }
        ++share.rows;
        share.listed += row.causes.size();
        share.found += static_cast<std::size_t>(
            std::count_if(row.causes.begin(), row.causes.end(), [](const ChartCause& cause) { return cause.found; }));
    }
    return share;
}

std::string chart_tables(const std::vector<ChartRow>& rows) {
    std::vector<std::string> books;
    for (const ChartRow& row : rows) {
        if (std::find(books.begin(), books.end(), row.book) == books.end()) {
            books.push_back(row.book);
        }
    }
    std::string text =
        "| source | household rows | their cause given away | general rows | their cause given away |\n"
        "|---|---|---|---|---|\n";
    books.emplace_back();
    for (const std::string& book : books) {
        text += fmt::format(
            "| {} | {} | {} | {} | {} |\n", book.empty() ? "**all**" : book,
            share_cell(share_of(rows, "household", book, false)), share_cell(share_of(rows, "household", book, true)),
            share_cell(share_of(rows, "general", book, false)), share_cell(share_of(rows, "general", book, true)));
    }
    for (const char* scope : {"household", "general"}) {
        text += fmt::format(
            "\n### Rows about {}\n\n| row | says | read as | listed causes and the place each has |\n"
            "|---|---|---|---|\n",
            std::string(scope) == "household" ? "household units" : "refrigeration in general");
        for (const ChartRow& row : rows) {
            if (row.scope == scope && row.left_out.empty()) {
                text += row_cells(row);
            }
        }
    }
    text += "\n### Rows that are left out\n\n| row | says | why |\n|---|---|---|\n";
    for (const ChartRow& row : rows) {
        if (!row.left_out.empty()) {
            text += fmt::format("| {} | {} | {} |\n", row.id, row.says, row.left_out);
        }
    }
    std::set<std::string> reasons;
    for (const ChartRow& row : rows) {
        if (row.left_out.empty()) {
            reasons.insert(row.no_counterpart.begin(), row.no_counterpart.end());
        }
    }
    text += "\nSingle causes of other rows that are left out:\n\n";
    for (const std::string& reason : reasons) {
        text += "- " + reason + "\n";
    }
    return text;
}

}  // namespace frostread::test
