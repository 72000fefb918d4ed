#include <fmt/format.h>

#include <algorithm>

#include "present/text_session.hpp"
#include "present/writers.hpp"

/// The repair that comes next, as every text form shows it: what can hurt, then the steps, then the proof; and
/// after it what belongs to the same visit.
namespace frostread::present {

namespace {

std::string one_repair(const Report& report, const ReportRepair& repair, const std::vector<std::string>& cautions,
                       const std::string& heading, const std::string& remark, const TextStyle& style) {
    std::string out;
    for (const std::string& part : wrap(heading, style.width)) out += inked(part, Ink::bold, style) + "\n";
    out += caution_block(cautions_of(report, cautions), style, "  ");
    if (repair.who == Who::licensed)
        out += wrapped("This is work for a licensed refrigerant handler.", style.width, "  ", "  ");
    out += numbered(repair.steps, style.width);
    if (!remark.empty()) out += wrapped(remark, style.width, "  ", "  ");
    for (const std::string& proof : repair.proof)
        out += wrapped(fmt::format("Proof that it works: {}.", proof), style.width, "  ", "    ");
    return out;
}

std::string name_and_cost(const ReportRepair& repair) {
    return fmt::format("{} ({}, parts about {})", repair.name, minutes_words(repair.minutes),
                       plain_number(repair.parts));
}

/// Areas that are not the person's to close, by who closes them.
std::string left_to_others(const std::vector<std::pair<std::string, Who>>& left_open) {
    std::string text;
    for (const Who who : {Who::technician, Who::licensed}) {
        std::vector<std::string> names;
        for (const auto& [name, closes] : left_open)
            if (closes == who) names.push_back(name);
        if (names.empty()) continue;
        text += fmt::format(
            " Only a {} closes this: {}. If you are not one, leave it as it is and tell them that it stands open.",
            who == Who::licensed ? "licensed refrigerant handler" : "technician trained for it", join_words(names));
    }
    return text;
}

}  // namespace

std::string close_up(const Report& report) {
    const std::vector<std::string>& still_open = report.still_open;
    const PlugAtTheEnd plug = plug_at_the_end(report);
    if (still_open.empty() && plug == PlugAtTheEnd::as_it_is) return "";
    std::string text = "Before you go: ";
    // Hands near a panel that is off: the plug comes first.
    const bool live = !report.plug_out && !still_open.empty();
    if (live) text += "pull the plug, ";
    if (!still_open.empty()) text += fmt::format("close up again ({})", join_words(still_open));
    const std::string_view then = still_open.empty() ? "" : ", then ";
    const bool in_again = plug == PlugAtTheEnd::as_it_is && report.action != Action::retire;
    if (plug == PlugAtTheEnd::goes_in || (live && in_again)) {
        text += fmt::format("{}put the plug back in", then);
    } else if (plug == PlugAtTheEnd::stays_out || live) {
        text += fmt::format("{}leave the plug out", then);
    } else if (plug == PlugAtTheEnd::comes_out) {
        text += fmt::format("{}pull the plug and leave it out", then);
    }
    return text + "." + left_to_others(report.left_open);
}

PlugAtTheEnd plug_at_the_end(const Report& report) {
    // What stands open for others is handed over without power.
    if (!report.left_open.empty()) return report.plug_out ? PlugAtTheEnd::stays_out : PlugAtTheEnd::comes_out;
    // A repair mends what the plug was out for.
    if (report.plug_stays_out && report.action != Action::repair)
        return report.plug_out ? PlugAtTheEnd::stays_out : PlugAtTheEnd::comes_out;
    if (report.plug_out && report.action != Action::retire) return PlugAtTheEnd::goes_in;
    return PlugAtTheEnd::as_it_is;
}

std::string same_visit_reason(const ReportRepair& further) {
    return fmt::format("{} is likely as well ({}); left behind it means a second visit.",
                       sentence_case(further.fault_name), percent_words(further.probability));
}

std::vector<std::string> further_cautions(const Report& report, std::size_t further) {
    std::vector<std::string> told = report.repair ? report.repair->cautions : std::vector<std::string>{};
    for (std::size_t i = 0; i < further; ++i)
        told.insert(told.end(), report.same_visit[i].cautions.begin(), report.same_visit[i].cautions.end());
    std::vector<std::string> out;
    for (const std::string& id : report.same_visit[further].cautions)
        if (std::find(told.begin(), told.end(), id) == told.end()) out.push_back(id);
    return out;
}

std::string repair_text(const Report& report, std::string_view lead, const std::string& remark,
                        const TextStyle& style) {
    if (!report.repair) return "";
    std::string out = one_repair(report, *report.repair, report.repair->cautions,
                                 fmt::format("{}{}", lead, name_and_cost(*report.repair)), remark, style);
    for (std::size_t i = 0; i < report.same_visit.size(); ++i) {
        const ReportRepair& further = report.same_visit[i];
        out += "\n" + one_repair(report, further, further_cautions(report, i),
                                 fmt::format("On the same visit: {}", name_and_cost(further)),
                                 same_visit_reason(further), style);
    }
    return out;
}

}  // namespace frostread::present
