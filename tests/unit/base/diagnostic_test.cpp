#include "frostread/diagnostic.hpp"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <regex>
#include <set>
#include <string>

#include "base/diagnostic_table.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

using namespace frostread;

TEST_CASE("diagnostics are put in the order of their places") {
    Diagnostics all(4);
    all[0].place = {"b", "", 1, 1, ""};
    all[1].place = {"a", "", 2, 9, ""};
    all[2].place = {"a", "", 2, 3, ""};
    all[3].place = {"a", "", 2, 3, ""};
    all[2].id = "first";
    all[3].id = "second";
    all[3].severity = Severity::warning;
    sort_by_place(all);
    CHECK(all[0].id == "first");
    CHECK(all[1].id == "second");
    CHECK(all[2].place.column == 9);
    CHECK(all[3].place.file == "b");
    CHECK(has_errors(all));
    CHECK(count(all, Severity::warning) == 1);
    append(all, {Diagnostic{}});
    CHECK(all.size() == 5);
}

// A scan of the sources: whoever writes a diagnostic with a new id has to list it.
TEST_CASE("every id that a source gives a diagnostic stands in the table") {
    const std::regex by_call(
        R"re(\b(?:problem|trouble|refuse|error|warning|say)\(\s*(?:[^"();]*,\s*)?"([a-z]+(?:-[a-z]+)+)")re");
    const std::regex by_name(R"re(\.id = "([a-z]+(?:-[a-z]+)+)")re");
    std::set<std::string> known, used;
    for (const DiagnosticEntry& entry : diagnostic_table()) known.emplace(entry.id);
    for (const char* folder : {"/src/cli", "/src/review", "/src/files"})
        for (const auto& file : std::filesystem::directory_iterator(test::source_dir() + folder)) {
            if (file.path().extension() != ".cpp") continue;
            std::ifstream stream(file.path());
            const std::string source((std::istreambuf_iterator<char>(stream)), {});
            for (const std::regex* way : {&by_call, &by_name})
                for (std::sregex_iterator it(source.begin(), source.end(), *way), end; it != end; ++it)
                    used.insert((*it)[1]);
        }
    CHECK(used.size() > 30);
    for (const std::string& id : used) {
        CAPTURE(id);
        CHECK(known.count(id) == 1);
    }
}

TEST_CASE("the page of diagnostics holds exactly the ids of the table") {
    std::ifstream file(test::source_dir() + "/docs/diagnostics.md");
    const std::string page((std::istreambuf_iterator<char>(file)), {});
    REQUIRE_FALSE(page.empty());
    std::size_t rows = 0;
    for (std::size_t at = page.find("\n| `"); at != std::string::npos; at = page.find("\n| `", at + 1)) ++rows;
    CHECK(rows == diagnostic_table().size());
    for (const DiagnosticEntry& entry : diagnostic_table()) {
        CAPTURE(entry.id);
        const std::string row = "| `" + std::string(entry.id) + "` | " + std::string(entry.meaning) + " | " +
                                std::string(entry.cure) + " |\n";
        CHECK(page.find(row) != std::string::npos);
    }
    CHECK(std::is_sorted(diagnostic_table().begin(), diagnostic_table().end(),
                         [](const DiagnosticEntry& a, const DiagnosticEntry& b) { return a.id < b.id; }));
}
