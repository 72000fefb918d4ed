// One file as input and output of a run.
#include "cli/file_clash.hpp"

#include <unistd.h>

#include <cstdio>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "support/catch.hpp"
#include "support/golden.hpp"

using namespace frostread;
using namespace frostread::cli;

namespace {

namespace fs = std::filesystem;

struct World {
    std::istringstream in;
    std::ostringstream out;
    Context context{.in = in, .out = out, .err = out, .out_style = {}, .err_style = {}, .now = {}, .environment = {}};
    fs::path folder = golden::fresh_folder("clash");
    World() {
        std::ofstream(folder / "a.json") << "{}";
        std::ofstream(folder / "b.json") << "{}";
        fs::create_symlink(folder / "a.json", folder / "link");
        fs::create_hard_link(folder / "a.json", folder / "hard");
    }
    World(const World&) = delete;
    World& operator=(const World&) = delete;
    World(World&&) = delete;
    World& operator=(World&&) = delete;
    ~World() { fs::remove_all(folder); }

    [[nodiscard]] std::string name(const std::string& file) const { return (folder / file).string(); }
    /// What is said; "" when nothing stands against it.
    [[nodiscard]] std::string said(const std::vector<Output>& outputs, const std::vector<std::string>& inputs) const {
        try {
            refuse_clash(context, outputs, inputs);
        } catch (const Stop& stop) {
            CHECK(stop.code() == ExitCode::usage);
            return stop.sentence();
        }
        return "";
    }
};

}  // namespace

TEST_CASE("an output that is an input is refused by whatever name") {
    const World world;
    const std::vector<std::string> inputs{world.name("b.json"), world.name("a.json")};
    for (const char* file : {"a.json", "./a.json", "link", "hard"}) {
        CAPTURE(file);
        CHECK(world.said({{"--out", world.name(file)}}, inputs).find("of this run") != std::string::npos);
    }
    CHECK(world.said({{"--out", world.name("link")}}, {world.folder.string()}).find("a.json") != std::string::npos);
    CHECK(world.said({{"--out", world.name("new.json")}}, inputs).empty());
    CHECK(world.said({{"--out", world.name("b.json")}}, {world.name("a.json"), "", "-", world.name("none")}).empty());
    CHECK(world.said({{"--out", ""}, {"--html", "-"}}, inputs).empty());
    CHECK(world.said({{"--out", "/dev/null"}}, {"/dev/null"}).empty());
}

TEST_CASE("two outputs do not share a file, whether it is there or not") {
    const World world;
    CHECK(world.said({{"--svg", world.name("new")}, {"--html", world.name("./new")}}, {}).find("--svg and --html") !=
          std::string::npos);
    CHECK_FALSE(world.said({{"--svg", world.name("a.json")}, {"--html", world.name("hard")}}, {}).empty());
    CHECK(world.said({{"--svg", world.name("new")}, {"--html", world.name("newer")}}, {}).empty());
    CHECK(world.said({{"--svg", world.name("new")}, {"--html", world.name("a.json")}}, {}).empty());
}

TEST_CASE("standard input counts as the file that it is") {
    const World world;
    std::istringstream in;
    std::ostringstream out;
    Context context{.in = in, .out = out, .err = out, .out_style = {}, .err_style = {}, .now = {}, .environment = {}};
    FILE* file = std::fopen(world.name("a.json").c_str(), "r");
    REQUIRE(file != nullptr);
    context.in_descriptor = ::fileno(file);
    CHECK_THROWS_AS(refuse_clash(context, {{"--out", world.name("hard")}}, {"-"}), Stop);
    CHECK_NOTHROW(refuse_clash(context, {{"--out", world.name("b.json")}}, {"-"}));
    std::fclose(file);
}
