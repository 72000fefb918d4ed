#include "frostread/session.hpp"

#include <algorithm>
#include <fstream>
#include <iterator>

#include "frostread/files.hpp"
#include "support/builders.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

// The session as a table of events, against the small library of the transcripts.

namespace {

using namespace frostread;
using namespace frostread::test;

std::shared_ptr<const CompiledLibrary> bench() {
    static const std::shared_ptr<const CompiledLibrary> compiled = [] {
        std::vector<SourceText> sources;
        for (const char* name : {"library.json", "cautions.json", "checks/bench.json", "faults/bench.json"}) {
            std::ifstream file(source_dir() + "/tests/interactive/rules/" + name);
            sources.push_back({name, {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()}});
        }
        return compile(std::make_shared<const Library>(library_from_text(sources)));
    }();
    return compiled;
}

Event read(const std::string& check, const std::string& value) {
    Event event;
    event.kind = Event::Kind::reading;
    Result<Reading> reading = parse_reading(check, value, bench()->library(), UnitPreference::si);
    REQUIRE(reading.has_value());
    event.reading = *reading;
    return event;
}

Event of(Event::Kind kind, const std::string& name, bool yes = true) {
    Event event;
    event.kind = kind;
    event.name = name;
    event.yes = yes;
    return event;
}

Session fresh(Mode mode = Mode::call, Case start = {}) {
    SessionOptions options;
    options.mode = mode;
    options.plan = plan_options(bench()->library());
    return {bench(), std::move(start), options};
}

std::string ranking(const View& view) {
    std::string out;
    for (const Leader& leader : view.leaders) out += leader.id + " " + std::to_string(leader.now) + "\n";
    return out;
}

}  // namespace

TEST_CASE("Taking a line back is the same as never having said it, but stays as history", "[session]") {
    Session session = fresh();
    session.step({read("fz", "-9 C"), read("fr", "4 C")});
    const std::string before = ranking(session.view());
    const std::string file = write_case(session.the_case());
    session.step({read("frost", "inlet"), read("cond", "clean")});
    CHECK(ranking(session.view()) != before);
    CHECK(session.the_case().job.open_areas == std::vector<std::string>{"freezer-panel"});

    const View& view = session.undo();
    CHECK(ranking(view) == before);
    REQUIRE(view.recorded.size() == 2);
    CHECK(view.recorded[0].taken_back);
    CHECK(session.the_case().job.open_areas.empty());
    REQUIRE(session.the_case().withdrawn.size() == 2);
    CHECK(session.the_case().withdrawn[0].check == "evaporator-frost");

    // Without the history the file is what it was.
    Case without = session.the_case();
    without.withdrawn.clear();
    CHECK(write_case(without) == file);

    session.undo();
    CHECK(session.the_case().readings.empty());
    CHECK(session.the_case().withdrawn.size() == 4);
    CHECK(session.undo().nothing_to_undo);
}

TEST_CASE("A session on a saved case stands where the other one stood", "[session]") {
    Session first = fresh();
    first.step({read("fz", "-9 C")});
    first.step({of(Event::Kind::held, "ran-24h")});
    first.step({read("frost", "inlet")});
    Event skip = of(Event::Kind::skip, "");
    skip.reading.check = "freezer-gasket";
    skip.reading.skipped = "no light";
    first.step({skip});

    Result<Case> saved = read_case(write_case(first.the_case()), "case.json", bench()->library());
    REQUIRE(saved.has_value());
    Session second = fresh(Mode::call, *saved);
    CHECK(ranking(second.view()) == ranking(first.view()));
    CHECK(second.view().report.action == first.view().report.action);
    CHECK(write_case(second.the_case()) == write_case(first.the_case()));
    // The last reading of the earlier session can still be taken back.
    second.undo();
    second.undo();
    CHECK(second.the_case().withdrawn.back().check == "evaporator-frost");
    CHECK(second.the_case().readings.size() == 1);
}

TEST_CASE("Withdrawn readings are in the file and are never evidence", "[session]") {
    Session session = fresh();
    session.step({read("fz", "-9 C")});
    session.step({read("frost", "inlet")});
    session.undo("2031-04-17T09:12:00Z");
    const std::string text = write_case(session.the_case());
    CHECK(text.find("\"withdrawn\"") != std::string::npos);
    CHECK(text.find("taken back 2031-04-17T09:12:00Z") != std::string::npos);
    Result<Case> again = read_case(text, "case.json", bench()->library());
    REQUIRE(again.has_value());
    CHECK(again->readings.size() == 1);
    CHECK(again->withdrawn.size() == 1);
    CHECK(again->unknown.empty());
}

TEST_CASE("What-if shows a change and records nothing", "[session]") {
    Session session = fresh();
    session.step({read("fz", "-9 C")});
    const std::string before = ranking(session.view());
    const std::string file = write_case(session.the_case());
    const View what = session.what_if({read("frost", "inlet").reading});
    CHECK(ranking(what) != before);
    CHECK(what.leaders.front().id == "charge-low");
    CHECK(ranking(session.view()) == before);
    CHECK(write_case(session.the_case()) == file);
}

TEST_CASE("A long condition said once holds for later readings too", "[session]") {
    Session session = fresh();
    const View& view = session.step({read("fz", "-9 C")});
    REQUIRE(view.conditions.size() == 1);
    CHECK(view.conditions[0].id == "ran-24h");
    session.step({of(Event::Kind::held, "ran-24h")});
    CHECK(session.the_case().readings[0].after.at("ran-24h"));
    CHECK(session.step({read("fr", "4 C")}).conditions.empty());
    CHECK(session.the_case().readings[1].after.at("ran-24h"));
    // Second thoughts count for what was read before.
    session.step({of(Event::Kind::held, "ran-24h", false)});
    CHECK_FALSE(session.the_case().readings[0].after.at("ran-24h"));
    CHECK_FALSE(session.the_case().readings[1].after.at("ran-24h"));
}

TEST_CASE("A caution is new once, when it begins to apply, and stands with every step it belongs to", "[session]") {
    Session session = fresh();
    session.step({read("fan", "blows")});
    const View& inlet = session.step({read("frost", "inlet"), read("fz", "-9 C")});
    const auto told = [](const View& view, const std::string& id) {
        return std::any_of(view.new_cautions.begin(), view.new_cautions.end(),
                           [&](const ReportCaution& c) { return c.id == id; });
    };
    CHECK(inlet.leaders.front().id == "charge-low");
    CHECK(told(inlet, "licensed-only"));
    CHECK_FALSE(told(session.step({read("cond", "clean")}), "licensed-only"));
}

TEST_CASE("Every step's cautions are in the view with it, whatever was read", "[session]") {
    const std::vector<std::vector<Event>> lines = {{read("fz", "-9 C")},
                                                   {read("fan", "blows")},
                                                   {read("cond", "clean")},
                                                   {read("gasket", "seals")},
                                                   {read("fr", "12 C")}};
    Session session = fresh();
    for (const std::vector<Event>& line : lines) {
        const View& view = session.step(line);
        if (!view.report.test) continue;
        for (const std::string& id : view.report.test->cautions)
            CHECK(std::any_of(view.step_cautions.begin(), view.step_cautions.end(),
                              [&](const auto& c) { return c.first == id; }));
    }
}

TEST_CASE("The guide asks who is at work, the unit, the complaint, then checks", "[session]") {
    Session session = fresh(Mode::guide);
    REQUIRE(session.view().question);
    CHECK(session.view().question->about == GuideQuestion::About::may);
    Event may = of(Event::Kind::may, "");
    may.who = Who::anyone;
    session.step({may});
    std::vector<std::string> traits;
    while (session.view().question->about == GuideQuestion::About::trait) {
        traits.push_back(session.view().question->id);
        session.step({of(Event::Kind::pass, session.view().question->id)});
    }
    CHECK(traits == std::vector<std::string>{"cooling", "refrigerant", "age_years"});
    CHECK(session.view().question->id == "complaint");
    CHECK(session.view().question->several);
    session.step({read("complaint", "fridge-warm")});
    for (int asked = 0; session.view().question->about != GuideQuestion::About::none; ++asked) {
        REQUIRE(asked < 30);
        const GuideQuestion question = *session.view().question;
        if (question.about == GuideQuestion::About::condition) {
            session.step({of(Event::Kind::held, question.id)});
            continue;
        }
        REQUIRE(question.about == GuideQuestion::About::check);
        const Check& check = *find_check(bench()->library(), question.id);
        CHECK(check.who == Who::anyone);  // nobody is sent to what is not theirs
        // The cautions of the check and of every area it opens come with the question.
        for (const std::string& id : check.cautions)
            CHECK(std::any_of(question.cautions.begin(), question.cautions.end(),
                              [&](const ReportCaution& c) { return c.id == id; }));
        const Outcome* normal = normal_outcome(check);
        session.step({check.kind == CheckKind::gauge ? read(check.id, check.id == "freezer-temp" ? "-18 C" : "4 C")
                                                     : read(check.id, normal->id)});
    }
}

TEST_CASE("The guide's back asks the same question again", "[session]") {
    Session session = fresh(Mode::guide);
    Event may = of(Event::Kind::may, "");
    may.who = Who::technician;
    session.step({may});
    const GuideQuestion before = *session.view().question;
    session.step({of(Event::Kind::pass, before.id)});
    CHECK(session.view().question->id != before.id);
    session.undo();
    CHECK(session.view().question->id == before.id);
    CHECK(session.view().question->number == before.number);
}

TEST_CASE("The recap adds up its way and finds a shorter one", "[session]") {
    Session session = fresh(Mode::guide);
    session.step({read("cond", "clean"), read("gasket", "seals")});
    session.step({read("frost", "light-even")});
    session.step({read("fan", "stopped")});
    const Recap recap = session.recap();
    CHECK(recap.leader == "fan-stopped");
    // 2 + 4, then 12 to open, 8 to close, 1 to pull the plug, 3 to look; 1 to plug in, 1 to feel.
    CHECK(recap.minutes == Approx(2 + 4 + 24 + 2));
    double sum = 0.0;
    for (const PathStep& step : recap.path) sum += step.minutes;
    CHECK(sum == Approx(recap.minutes));
    // The fan alone leaves 0.87; with the condenser it is past the 0.9 at which testing stops.
    CHECK(recap.enough == std::vector<std::string>{"condenser", "freezer fan"});
    CHECK(recap.enough_minutes == Approx(2 + 1));
    CHECK(recap.enough_probability >= 0.9);
    CHECK(recap.still_open == std::vector<std::string>{"behind the freezer panel"});
    CHECK_FALSE(recap.report.plug_out);  // the fan needed it in
    CHECK_FALSE(recap.report.repair->proof.empty());
}

TEST_CASE("A reading speaks for what it makes likelier", "[session]") {
    Session session = fresh(Mode::guide);
    const View& view = session.step({read("fan", "stopped")});
    REQUIRE(view.spoke.size() == 1);
    REQUIRE_FALSE(view.spoke[0].for_these.empty());
    CHECK(view.spoke[0].for_these[0].id == "fan-stopped");
    CHECK(view.spoke[0].for_these[0].now > view.spoke[0].for_these[0].before);
    for (const Leader& leader : view.spoke[0].against) CHECK(leader.now < leader.before);
}

TEST_CASE("What an answer about the unit makes dangerous is told with it, once") {
    Session session = fresh();
    Event gas;
    gas.kind = Event::Kind::trait;
    gas.unit.words["refrigerant"] = "R-600a";
    const auto tells = [](const View& view) {
        return std::count_if(view.new_cautions.begin(), view.new_cautions.end(),
                             [](const ReportCaution& caution) { return caution.id == "flammable-refrigerant"; });
    };
    CHECK(tells(session.step({gas})) == 1);
    CHECK(tells(session.step({read("freezer-temp", "-9 C")})) == 0);
    Session other = fresh();
    gas.unit.words["refrigerant"] = "R-134a";
    CHECK(tells(other.step({gas})) == 0);
}

TEST_CASE("The guide offers answers and examples that fit the unit") {
    const auto compiled = compile(std::make_shared<const Library>(*load_library(embedded_library_sources())));
    const auto question = [&](const std::string& layout, std::vector<std::string> passed) {
        SessionOptions options;
        options.mode = Mode::guide;
        options.may = Who::technician;
        Case start;
        start.unit.words = {{"layout", layout}};
        Session session(compiled, start, options);
        for (const std::string& id : passed) static_cast<void>(session.step({of(Event::Kind::pass, id)}));
        for (int i = 0; i < 20 && session.view().question->about == GuideQuestion::About::trait; ++i) {
            if (session.view().question->id == "charge_g") CHECK(session.view().question->example == "60 g");
            static_cast<void>(session.step({of(Event::Kind::pass, session.view().question->id)}));
        }
        return *session.view().question;
    };
    const auto offers = [](const GuideQuestion& asked, const std::string& id) {
        return std::any_of(asked.choices.begin(), asked.choices.end(), [&](const Choice& c) { return c.id == id; });
    };
    const GuideQuestion chest = question("chest-freezer", {});
    REQUIRE(chest.id == "complaint");
    CHECK(offers(chest, "freezer-warm"));
    CHECK_FALSE(offers(chest, "fridge-freezing"));
    CHECK(offers(question("freezer-top", {}), "fridge-freezing"));
}

TEST_CASE("A band judged without the plate says so and names what to state") {
    Case start;
    const auto compiled = compile(std::make_shared<const Library>(*load_library(embedded_library_sources())));
    Session session(compiled, start, {});
    Event watts;
    watts.kind = Event::Kind::reading;
    watts.reading = *parse_reading("power-draw", "45 W", compiled->library(), UnitPreference::si);
    const View& unknown = session.step({watts});
    REQUIRE(unknown.recorded.size() == 1);
    CHECK(unknown.recorded[0].unknown_traits == std::vector<std::string>{"rated_watts"});
    CHECK(unknown.recorded[0].remark.find("rated power not known") != std::string::npos);
    Event plate;
    plate.kind = Event::Kind::trait;
    plate.unit.numbers["rated_watts"] = 60.0;
    static_cast<void>(session.step({plate}));
    const View& known = session.step({watts});
    CHECK(known.recorded.at(0).unknown_traits.empty());
    CHECK(traits_of_reference(compiled->library(), "heater-ohms") ==
          std::vector<std::string>{"rated_volts", "heater_watts"});
    CHECK(traits_of_reference(compiled->library(), "freezer-temp").empty());
}
