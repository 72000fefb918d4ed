#pragma once

#include <fstream>
#include <stdexcept>
#include <string>
#include <vector>

#include "support/paths.hpp"

/// Reads the tables in tests/published/data: '#' starts a remark, the first row names the columns,
/// a field in double quotes may hold commas. A file that is missing or has a short row is an error,
/// never an empty table that every test would pass.
namespace frostread_tests {

struct Table {
    std::vector<std::string> columns;
    std::vector<std::vector<std::string>> rows;

    [[nodiscard]] std::size_t column(const std::string& name) const {
        for (std::size_t i = 0; i < columns.size(); ++i) {
            if (columns[i] == name) {
                return i;
            }
        }
        throw std::runtime_error("no column " + name);
    }
    [[nodiscard]] const std::string& text(std::size_t row, const std::string& name) const {
        return rows.at(row).at(column(name));
    }
    [[nodiscard]] double number(std::size_t row, const std::string& name) const { return std::stod(text(row, name)); }
};

inline std::vector<std::string> split_fields(const std::string& line) {
    std::vector<std::string> fields(1);
    bool quoted = false;
    for (const char letter : line) {
        if (letter == '"') {
            quoted = !quoted;
        } else if (letter == ',' && !quoted) {
            fields.emplace_back();
        } else if (letter != '\r') {
            fields.back() += letter;
        }
    }
    return fields;
}

inline Table read_table(const std::string& name) {
    const std::string path = frostread::test::source_dir() + "/tests/published/data/" + name;
    std::ifstream file(path);
    if (!file) {
        throw std::runtime_error("cannot open " + path);
    }
    Table table;
    std::string line;
    while (std::getline(file, line)) {
        if (line.empty() || line.front() == '#') {
            continue;
        }
        auto fields = split_fields(line);
        if (table.columns.empty()) {
            table.columns = std::move(fields);
        } else if (fields.size() != table.columns.size()) {
            throw std::runtime_error(path + ": row with another number of fields: " + line);
        } else {
            table.rows.push_back(std::move(fields));
        }
    }
    if (table.rows.empty()) {
        throw std::runtime_error(path + ": no rows");
    }
    return table;
}

}  // namespace frostread_tests
