#include <fmt/format.h>

#include <algorithm>

#include "present/report_words.hpp"
#include "session/practice_world.hpp"

/// Going from check to check over the hidden unit.
namespace frostread::session {

namespace {

constexpr double kLongCondition = 60.0;  ///< minutes; what took longer to bring about lasts for the visit

bool has(const std::vector<std::string>& list, std::string_view word) {
    return std::find(list.begin(), list.end(), word) != list.end();
}

/// Cautions as every report lists them for this step.
std::vector<ReportCaution> cautions_of(const PracticeWorld& world, const Case& the_case, CheckIndex check,
                                       const std::vector<std::string>& opens) {
    Decision decision;
    decision.action = Action::test;
    decision.test.emplace();
    decision.test->check = check;
    decision.test->opens = opens;
    Case unit_only;
    unit_only.unit = the_case.unit;
    const Findings none;
    ReportOptions options;
    options.why_above = 2.0;
    options.pivotal = false;
    const Report report = build_report(world.model(), unit_only, none, infer(world.model(), none), decision, options);
    return caution_texts(world.model().compiled().library(), report.test->cautions);
}

}  // namespace

PracticeVisit::PracticeVisit(const PracticeWorld& world, const PracticeOptions& options)
    : world_(&world),
      options_(&options),
      library_(&world.model().compiled().library()),
      walk_(*library_, options.plan.economy) {
    case_.id = fmt::format("practice-{}", options.seed);
    case_.unit = world.model().unit();
    case_.job.cannot = options.cannot;
    // The owner complains before anybody comes.
    if (const auto complaint = complaint_check(*library_)) put(*complaint);
}

double PracticeVisit::wait_for(const Check& check, std::vector<std::string>* names) const {
    double longest = 0.0;
    for (const std::string& id : check.after) {
        const Condition* condition = find_condition(*library_, id);
        if (condition == nullptr || condition->wait_minutes <= 0.0 || world_->holds_on_arrival(*condition)) continue;
        const bool waited = condition->wait_minutes > kLongCondition &&
                            std::any_of(case_.readings.begin(), case_.readings.end(),
                                        [&](const Reading& reading) { return reading.after.count(id) > 0; });
        if (waited) continue;
        longest = std::max(longest, condition->wait_minutes);
        if (names != nullptr) names->push_back(condition->name);
    }
    return longest;
}

PracticeStep PracticeVisit::prepare(CheckIndex index) const {
    const Check& check = library_->checks[index];
    PracticeStep step;
    step.check = index;
    step.name = check.name;
    Who who = check.who;
    std::vector<std::string> tools = check.tools, opens;
    for (const std::string& id : check.areas) {
        const Area* area = find_area(*library_, id);
        if (area == nullptr || has(walk_.open(), id)) continue;
        opens.push_back(id);
        step.opens_names.push_back(area->name);
        who = std::max(who, area->who);
        tools.insert(tools.end(), area->tools.begin(), area->tools.end());
    }
    step.cautions = cautions_of(*world_, case_, index, opens);
    Walk walk = walk_;
    step.minutes = walk.go(check);
    if (walk.power() != walk_.power()) step.power = walk.power() == Power::off ? "off" : "on";
    step.panels_off = step.power == "on" && !walk.open().empty();
    step.wait_minutes = wait_for(check, &step.waits);
    const auto missing = std::find_if(tools.begin(), tools.end(),
                                      [&](const std::string& tool) { return lacks_tool(options_->cannot, tool); });
    if (!world_->model().exists(index)) {
        step.refused = fmt::format("this unit has no such thing: {}", check.name);
    } else if (who > options_->may) {
        step.refused = fmt::format("{}: that is work for a {}", check.name,
                                   who == Who::licensed ? "licensed refrigerant handler" : "trained technician");
    } else if (has(options_->cannot, check.id)) {
        step.refused = fmt::format("{}: you said that you cannot do it", check.name);
    } else if (missing != tools.end()) {
        step.refused = fmt::format("{}: it needs a {}, and you said that there is none", check.name, *missing);
    }
    return step;
}

void PracticeVisit::put(CheckIndex index) {
    const Check& check = library_->checks[index];
    const auto times =
        static_cast<unsigned>(std::count_if(case_.readings.begin(), case_.readings.end(),
                                            [&](const Reading& reading) { return reading.check == check.id; }));
    DrawnReading drawn = world_->answer(index, times);
    case_.readings.push_back(std::move(drawn.reading));
    const Recorded recorded =
        recorded_of(*library_, case_, gather(world_->model(), case_), case_.readings.size() - 1, world_->units());
    PracticeRow row;
    row.check = check.id;
    row.name = check.name;
    row.value = present::reading_words(check, case_.readings.back(), world_->units()).value;
    row.words = recorded.remark.empty() ? recorded.words : fmt::format("{} ({})", recorded.words, recorded.remark);
    row.wrong = drawn.wrong;
    rows_.push_back(std::move(row));
}

const PracticeRow& PracticeVisit::take(CheckIndex index) {
    const Check& check = library_->checks[index];
    const double waiting = wait_for(check, nullptr), minutes = walk_.go(check);
    put(index);
    rows_.back().minutes = minutes;
    rows_.back().wait_minutes = waiting;
    minutes_ += minutes;
    wait_minutes_ += waiting;
    case_.job.open_areas = walk_.open();
    case_.job.power = walk_.power() == Power::off ? "off" : "on";
    return rows_.back();
}

}  // namespace frostread::session
