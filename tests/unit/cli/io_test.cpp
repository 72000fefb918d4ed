#include "cli/io.hpp"

#include <sys/resource.h>

#include <csignal>
#include <filesystem>
#include <sstream>

#include "support/catch.hpp"
#include "support/golden.hpp"

using namespace frostread;
namespace fs = std::filesystem;

TEST_CASE("writing replaces the whole file and leaves nothing beside it", "[cli][io]") {
    const std::string folder = golden::fresh_folder("io-replace");
    const std::string path = folder + "/case.json";
    CHECK(cli::write_file(path, "old").empty());
    CHECK(cli::write_file(path, "new text").empty());
    CHECK(golden::read(path) == "new text");
    CHECK(std::distance(fs::directory_iterator(folder), fs::directory_iterator()) == 1);
    fs::remove_all(folder);
}

TEST_CASE("a link is followed: the file behind it changes, the link stays", "[cli][io]") {
    const std::string folder = golden::fresh_folder("io-link");
    golden::write(folder + "/real.json", "old");
    fs::create_symlink("real.json", folder + "/link.json");
    CHECK(cli::write_file(folder + "/link.json", "new").empty());
    CHECK(fs::is_symlink(folder + "/link.json"));
    CHECK(golden::read(folder + "/real.json") == "new");
    fs::remove_all(folder);
}

TEST_CASE("when writing fails the old file is untouched and the reason is given", "[cli][io]") {
    const std::string folder = golden::fresh_folder("io-full");
    const std::string path = folder + "/case.json";
    golden::write(path, "precious");
    rlimit before{};
    getrlimit(RLIMIT_FSIZE, &before);
    rlimit tiny = before;
    tiny.rlim_cur = 4;
    std::signal(SIGXFSZ, SIG_IGN);
    setrlimit(RLIMIT_FSIZE, &tiny);
    const Diagnostics problems = cli::write_file(path, "far too long for that");
    setrlimit(RLIMIT_FSIZE, &before);
    std::signal(SIGXFSZ, SIG_DFL);
    REQUIRE(problems.size() == 1);
    CHECK(problems[0].id == "cannot-write");
    CHECK(problems[0].suggestion == "the old file is untouched");
    CHECK(golden::read(path) == "precious");
    CHECK(std::distance(fs::directory_iterator(folder), fs::directory_iterator()) == 1);
    fs::remove_all(folder);
}

TEST_CASE("folders and missing files are named with the reason", "[cli][io]") {
    const std::string folder = golden::fresh_folder("io-read");
    CHECK(cli::read_file(folder).diagnostics()[0].what == "is a folder, not a file");
    CHECK(cli::read_file(folder + "/none").diagnostics()[0].what == "cannot open: No such file or directory");
    CHECK(cli::write_file(folder, "x")[0].what == "is a folder");
    CHECK(cli::write_file(folder + "/no/where", "x")[0].id == "cannot-write");
    fs::remove_all(folder);
}

TEST_CASE("cases below a folder come sorted, and only cases", "[cli][io]") {
    const std::string folder = golden::fresh_folder("io-list");
    fs::create_directories(folder + "/b");
    for (const char* name : {"/z.json", "/a.jsonl", "/b/m.json", "/notes.txt"}) {
        golden::write(folder + name, "{}");
    }
    CHECK(cli::case_files_below(folder) ==
          std::vector<std::string>{folder + "/a.jsonl", folder + "/b/m.json", folder + "/z.json"});
    CHECK_THROWS_AS(cli::case_files_below(folder + "/none"), cli::Stop);
    fs::remove_all(folder);
}
