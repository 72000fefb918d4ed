#include <algorithm>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <set>

#include "rules/shipped.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

using namespace frostread;

// cases/*.json: per fault a list of readings that finds it, and a near-miss: the same readings with one or
// two changed, which must not. All invented.

namespace {

struct Story {
    std::string file, fault;
    std::vector<std::string> unit, finds, near_miss;
};

std::vector<Story> stories() {
    std::vector<std::string> files;
    for (const auto& entry : std::filesystem::directory_iterator(test::source_dir() + "/tests/rules/cases")) {
        files.push_back(entry.path().filename().string());
    }
    std::sort(files.begin(), files.end());
    std::vector<Story> found;
    for (const std::string& file : files) {
        for (const nlohmann::json& entry : nlohmann::json::parse(test::rules_test_file("cases/" + file))) {
            Story story{file, entry.at("fault"), entry.at("unit"), entry.at("finds"), entry.at("finds")};
            for (const auto& [check, value] : entry.at("near_miss").items()) {
                std::erase_if(story.near_miss,
                              [&](const std::string& typed) { return typed.rfind(check + "=", 0) == 0; });
                story.near_miss.push_back(check + "=" + value.get<std::string>());
            }
            found.push_back(std::move(story));
        }
    }
    return found;
}

}  // namespace

TEST_CASE("every fault has a case that finds it and a near-miss that does not", "[rules][stories]") {
    std::set<std::string> told;
    for (const Story& story : stories()) {
        INFO(story.file << ' ' << story.fault);
        told.insert(story.fault);
        const test::Ranking hit = test::diagnose(story.unit, story.finds);
        const test::Ranking miss = test::diagnose(story.unit, story.near_miss);
        INFO("finds: " << hit.first(4));
        INFO("near miss: " << miss.first(4));
        CHECK(hit.leader() == story.fault);
        CHECK(hit.of(story.fault) > 0.5);
        CHECK(miss.leader() != story.fault);
        CHECK(miss.of(story.fault) < hit.of(story.fault) / 2.0);
    }
    for (const Fault& fault : test::shipped()->library().faults) {
        INFO(fault.id);
        CHECK(told.contains(fault.id));
    }
}
