// A batch as a filter: answers come when the input has nothing more to give, and an input that breaks is said to.
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <nlohmann/json.hpp>
#include <sstream>

#include "cli/app.hpp"
#include "cli/batch_input.hpp"
#include "support/catch.hpp"
#include "unit/batch/collect.hpp"

using namespace frostread;
using namespace frostread::test;

namespace {

const std::string kCase = R"({"frostread":1,"case":"a","readings":[{"check":"freezer-fan","value":"stopped"}]})";

/// Cases that come in bursts; between two bursts the source has to be waited for.
class Bursts : public Texts {
public:
    Bursts(const std::vector<std::string>& lines, std::size_t burst) : Texts(lines), burst_(burst) {}
    bool next(CaseText& item) override {
        given += 1;
        return Texts::next(item);
    }
    bool ready() override { return given == 0 || given % burst_ != 0; }
    std::size_t given = 0;

private:
    std::size_t burst_;
};

/// Notes how many answers had come whenever the batch fell idle.
class Idler : public Collected {
public:
    explicit Idler(const Bursts& source) : source_(source) {}
    void idle() override { at_idle.emplace_back(source_.given, entries.size()); }
    std::vector<std::pair<std::size_t, std::size_t>> at_idle;

private:
    const Bursts& source_;
};

struct Came {
    int code = 0;
    std::string out, err;
};

/// The program with this descriptor as its standard input.
Came run_with_input(int descriptor, const std::vector<std::string>& arguments) {
    std::istringstream in;
    std::ostringstream out, err;
    cli::Context context{
        .in = in, .out = out, .err = err, .out_style = {}, .err_style = {}, .now = {}, .environment = {}};
    context.in_descriptor = descriptor;
    const int code = cli::run(arguments, context);
    return {code, out.str(), err.str()};
}

/// A stream that gives `text` and then fails as a broken connection does.
class BrokenStream {
public:
    explicit BrokenStream(const std::string& text) {
        std::array<int, 2> ends{};
        REQUIRE(::socketpair(AF_UNIX, SOCK_STREAM, 0, ends.data()) == 0);
        descriptor = ends[0];
        // What the other end has not read when it goes makes our read fail, once its bytes are taken.
        REQUIRE(::write(ends[0], "?", 1) == 1);
        REQUIRE(::write(ends[1], text.data(), text.size()) == static_cast<ssize_t>(text.size()));
        ::close(ends[1]);
    }
    ~BrokenStream() { ::close(descriptor); }
    BrokenStream(const BrokenStream&) = delete;
    BrokenStream& operator=(const BrokenStream&) = delete;
    BrokenStream(BrokenStream&&) = delete;
    BrokenStream& operator=(BrokenStream&&) = delete;
    int descriptor = -1;
};

}  // namespace

TEST_CASE("batch: everything that came is answered before the input is waited for") {
    for (const unsigned jobs : {1U, 3U}) {
        CAPTURE(jobs);
        Bursts source(std::vector<std::string>(50, kCase), 7);
        Idler sink(source);
        BatchOptions options = ranking_only();
        options.jobs = jobs;
        run_batch(household(), source, options, sink);
        CHECK(sink.entries.size() == 50);
        REQUIRE(sink.at_idle.size() == 7);
        for (const auto& [given, answered] : sink.at_idle) CHECK(given == answered);
    }
}

TEST_CASE("batch input: a line is ready when its end is there; blank lines are none") {
    std::array<int, 2> ends{};
    REQUIRE(::pipe(ends.data()) == 0);
    std::istringstream in;
    std::ostringstream out, err;
    cli::Context context{
        .in = in, .out = out, .err = err, .out_style = {}, .err_style = {}, .now = {}, .environment = {}};
    context.in_descriptor = ends[0];
    const auto feed = [&](std::string_view text) {
        REQUIRE(::write(ends[1], text.data(), text.size()) == static_cast<ssize_t>(text.size()));
    };
    cli::BatchInput input(context, {"-"});
    CaseText item;
    feed("{\"a\":1}\n{\"b\"");
    REQUIRE(input.next(item));
    CHECK(item.text == "{\"a\":1}");
    CHECK_FALSE(input.ready());
    feed(":2}");
    CHECK_FALSE(input.ready());
    feed("\n\n  \n");
    CHECK(input.ready());
    REQUIRE(input.next(item));
    CHECK(item.text == "{\"b\":2}");
    CHECK_FALSE(input.ready());
    feed("{\"c\":3}");
    ::close(ends[1]);
    CHECK(input.ready());
    REQUIRE(input.next(item));
    CHECK(item.text == "{\"c\":3}");
    CHECK(item.line == 5);
    CHECK(input.ready());
    CHECK_FALSE(input.next(item));
    ::close(ends[0]);
}

TEST_CASE("batch: an input that breaks leaves what was diagnosed, an error in its place and code 2") {
    const BrokenStream broken(kCase + "\n" + kCase + "\n{\"frostread\":1,\"cas");
    const Came came = run_with_input(broken.descriptor, {"batch", "-", "--no-next"});
    CHECK(came.code == 2);
    std::vector<nlohmann::json> lines;
    std::istringstream text(came.out);
    for (std::string line; std::getline(text, line);) lines.push_back(nlohmann::json::parse(line));
    REQUIRE(lines.size() == 3);
    CHECK(lines[1]["faults"][0]["fault"] == "evaporator-fan-stopped");
    CHECK(lines[2]["case"].is_null());
    CHECK(lines[2]["error"]["id"] == "cannot-read");
    CHECK(lines[2]["error"]["where"] == "-:3");
    CHECK(came.err.find("cannot be read from here on") != std::string::npos);
    CHECK(came.err.find("3 cases: 2 diagnosed, 1 bad") != std::string::npos);
}

TEST_CASE("a case or a log on an input that breaks is refused with the reason") {
    for (const char* command : {"diagnose", "templog"}) {
        CAPTURE(command);
        const BrokenStream broken(kCase);
        const Came came = run_with_input(broken.descriptor, {command, "-"});
        CHECK(came.code == 2);
        CHECK(came.out.empty());
        CHECK(came.err.find("standard input: error: cannot read: ") != std::string::npos);
        CHECK(came.err.find("[cannot-read]") != std::string::npos);
    }
}
