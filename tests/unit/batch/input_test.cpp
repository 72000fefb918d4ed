// What counts as one case: files, folders, lines, standard input.
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <sstream>

#include "cli/batch_input.hpp"
#include "support/catch.hpp"

using namespace frostread;
using namespace frostread::cli;

namespace {

namespace fs = std::filesystem;

struct World {
    std::istringstream in;
    std::ostringstream out, err;
    Context context{in, out, err, false, false, false, {}, {}, {}, {}};
    explicit World(const std::string& input = "") : in(input) {}
};

std::vector<CaseText> all_of(BatchInput& input) {
    std::vector<CaseText> items;
    for (CaseText item; input.next(item); item = CaseText{}) items.push_back(item);
    return items;
}

struct Folder {
    fs::path path = fs::temp_directory_path() / ("frostread-batch-" + std::to_string(::getpid()));
    Folder() { fs::create_directories(path / "sub"); }
    ~Folder() { fs::remove_all(path); }
    void write(const std::string& name, const std::string& text) const {
        std::ofstream(path / name, std::ios::binary) << text;
    }
    [[nodiscard]] std::string name(const std::string& file) const { return (path / file).string(); }
};

}  // namespace

TEST_CASE("batch input: lines, blank lines, a missing last line break, Windows line ends") {
    World world("{\"a\":1}\r\n\n  \n{\"b\":2}\n{\"c\":3}");
    BatchInput input(world.context, {});
    const auto items = all_of(input);
    REQUIRE(items.size() == 3);
    CHECK(items[0].text == "{\"a\":1}\r");
    CHECK(items[1].line == 4);
    CHECK(items[2].text == "{\"c\":3}");
    CHECK(items[2].line == 5);
    CHECK(*items[2].file == "-");
}

TEST_CASE("batch input: one document over many lines is one case") {
    World world("{\n  \"frostread\": 1,\n  \"readings\": []\n}\n");
    BatchInput input(world.context, {"-"});
    const auto items = all_of(input);
    REQUIRE(items.size() == 1);
    CHECK(items[0].line == 1);
    CHECK(items[0].text == "{\n  \"frostread\": 1,\n  \"readings\": []\n}\n");
}

TEST_CASE("batch input: a broken first line does not swallow the others") {
    World world("{\"a\":\n{\"b\":2}\n{\"c\":3}\n");
    BatchInput input(world.context, {"-"});
    CHECK(all_of(input).size() == 3);
}

TEST_CASE("batch input: mixed inputs in the order given, folders by name") {
    const Folder folder;
    folder.write("b.json", "{\n\"b\": 1\n}");
    folder.write("a.jsonl", "{\"a\":1}\n{\"a\":2}\n");
    folder.write("sub/c.json", "{}");
    folder.write("notes.txt", "not a case");
    World world("{\"s\":1}\n");
    BatchInput input(world.context, {folder.name("b.json"), "-", folder.path.string()});
    std::vector<std::string> texts;
    for (const CaseText& item : all_of(input)) texts.push_back(item.text);
    CHECK(texts == std::vector<std::string>{"{\n\"b\": 1\n}\n", "{\"s\":1}", "{\"a\":1}", "{\"a\":2}",
                                            "{\n\"b\": 1\n}\n", "{}\n"});
    CHECK_FALSE(input.bytes_total());
}

TEST_CASE("batch input: a file that is not there stops at once, one that cannot be opened is a bad case") {
    World world;
    CHECK_THROWS_AS(BatchInput(world.context, {"no-such-file.jsonl"}), Stop);
    const Folder folder;
    folder.write("a.json", "{}");
    folder.write("b.json", "{}");
    BatchInput input(world.context, {folder.path.string()});
    fs::remove(folder.path / "a.json");
    const auto items = all_of(input);
    REQUIRE(items.size() == 2);
    REQUIRE(items[0].trouble);
    CHECK(items[0].trouble->id == "cannot-read");
    CHECK_FALSE(items[1].trouble);
}

TEST_CASE("batch input: lines longer than a block, and one that is too long") {
    std::string text = "{\"long\":\"" + std::string(700000, 'x') + "\"}\n";
    text += "{\"huge\":\"" + std::string(LineReader::kLongest + 10, 'y') + "\"}\n{\"after\":1}\n";
    World world(text);
    BatchInput input(world.context, {"-"});
    const auto items = all_of(input);
    REQUIRE(items.size() == 3);
    CHECK(items[0].text.size() == 700011);
    REQUIRE(items[1].trouble);
    CHECK(items[1].trouble->place.line == 2);
    CHECK(items[2].text == "{\"after\":1}");
}
