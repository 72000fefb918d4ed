#include "frostread/planner.hpp"

namespace frostread {

std::string_view to_word(Action action) {
    switch (action) {
        case Action::test:
            return "test";
        case Action::repair:
            return "repair";
        case Action::retire:
            return "retire";
        case Action::refer:
            return "refer";
        case Action::finish:
            return "finish";
    }
    return "finish";
}

PlanOptions plan_options(const Library& library) {
    PlanOptions options;
    options.economy = library.economy;
    return options;
}

JobState job_state(const UnitModel& model, const Case& the_case) {
    JobState job;
    const CompiledLibrary& compiled = model.compiled();
    job.open_areas = the_case.job.open_areas;
    if (the_case.job.power == "off") job.power = Power::off;
    job.cannot = the_case.job.cannot;
    for (const Who who : {Who::anyone, Who::technician, Who::licensed})
        if (to_word(who) == the_case.job.may) job.may = who;
    for (CheckIndex check = 0; check < compiled.check_count(); ++check) {
        const std::string& id = compiled.library().checks[check].id;
        if (latest_reading(the_case, id)) {
            job.done.push_back(check);
            continue;
        }
        for (const Reading& reading : the_case.readings)
            if (reading.check == id && reading.skipped) {
                job.skipped.push_back(check);
                break;
            }
    }
    return job;
}

}  // namespace frostread
