#include "session/practice_judge.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "plan/stop_cost.hpp"
#include "present/report_words.hpp"
#include "present/writers.hpp"

namespace frostread {

double PracticeRow::decibans() const {
    double largest = 0.0;
    for (const PracticeMove& move : moves)
        if (std::abs(move.decibans) > std::abs(largest)) largest = move.decibans;
    return largest;
}

namespace session {

namespace {

constexpr std::size_t kMostTests = 60;  ///< of the planner; it stops long before
constexpr double kTold = 3.0;           ///< decibans: twice as likely as before
constexpr double kNothing = 1.0;
constexpr std::size_t kMostNamed = 3;

// Points, explained in docs/practice.md.
constexpr double kForVerdict = 60.0, kForHalf = 30.0, kForWay = 40.0, kPerHint = 5.0;

double odds_db(double p) {
    const double kept = std::clamp(p, 1e-9, 1.0 - 1e-9);
    return 10.0 * std::log10(kept / (1.0 - kept));
}

class Judge {
public:
    Judge(const PracticeWorld& world, const PracticeOptions& options)
        : world_(world),
          options_(options),
          compiled_(world.model().compiled()),
          library_(compiled_.library()),
          access_(library_, options.plan.economy) {
        const FaultSet& hidden = world.hidden();
        for (std::size_t m = 0; m < hidden.size; ++m) {
            const FaultIndex fault = compiled_.alternative(hidden.members.at(m)).fault;
            faults_.push_back(fault);
            if (needed_.insert(library_.faults[fault].remedy.id).second)
                cost_ += plan::repair_money(library_.faults[fault].remedy, access_, library_, options.plan.economy,
                                            options.may, 0);
        }
        const auto& numbers = world.model().unit().numbers;
        const auto stated = numbers.find("worth");
        worth_ = stated == numbers.end() ? options.plan.economy.worth : stated->second;
    }

    PracticeResult run(const PracticeVisit& visit, std::size_t hints, const PracticeVerdict& verdict,
                       PracticeRun planner) {
        PracticeResult result;
        result.seed = options_.seed;
        result.hidden = present::set_ids(compiled_, world_.hidden());
        result.hidden_words = present::set_words(compiled_, world_.hidden());
        result.repair_cost = cost_;
        result.worth = worth_;
        result.hints = hints;
        result.you = run_of(visit, verdict);
        result.planner = std::move(planner);
        score(result);
        tell(result, visit);
        cure(result);
        close(result, visit);
        return result;
    }

    PracticeRun planners_way() {
        PracticeVisit visit(world_, options_);
        for (std::size_t test = 0;; ++test) {
            const Diagnosis now = think(world_, options_, visit.the_case());
            const Decision& decision = now.decision;
            const bool asks = decision.action == Action::test && decision.test && test < kMostTests;
            if (asks && visit.prepare(decision.test->check).refused.empty()) {
                static_cast<void>(visit.take(decision.test->check));
                continue;
            }
            return run_of(visit, verdict_of(decision));
        }
    }

private:
    // ------------------------------------------------------------ ways

    PracticeRun run_of(const PracticeVisit& visit, const PracticeVerdict& verdict) {
        PracticeRun run;
        run.rows = visit.rows();
        run.minutes = visit.minutes();
        run.wait_minutes = visit.wait_minutes();
        run.opened = visit.opened();
        run.verdict = verdict;
        run.verdict_words = words_of(verdict);
        run.judged = judged(verdict);
        fill_moves(visit.the_case(), run);
        return run;
    }

    /// After each reading: how likely what is hidden was before and is now.
    void fill_moves(const Case& the_case, PracticeRun& run) {
        Case part;
        part.unit = the_case.unit;
        std::vector<double> before = hidden_probabilities(part);
        for (std::size_t i = 0; i < run.rows.size(); ++i) {
            part.readings.push_back(the_case.readings[i]);
            const std::vector<double> now = hidden_probabilities(part);
            for (std::size_t f = 0; f < now.size(); ++f)
                run.rows[i].moves.push_back({faults_.empty() ? "nothing wrong" : library_.faults[faults_[f]].name,
                                             before[f], now[f], odds_db(now[f]) - odds_db(before[f])});
            before = now;
        }
        run.probability = before.empty() ? 0.0 : *std::min_element(before.begin(), before.end());
    }

    [[nodiscard]] std::vector<double> hidden_probabilities(const Case& the_case) const {
        const Posterior posterior = infer(world_.model(), gather(world_.model(), the_case), options_.infer);
        if (faults_.empty()) return {posterior.nothing_wrong};
        std::vector<double> out;
        for (const FaultIndex fault : faults_) out.push_back(posterior.fault[fault]);
        return out;
    }

    [[nodiscard]] PracticeVerdict verdict_of(const Decision& decision) const {
        using Kind = PracticeVerdict::Kind;
        std::vector<std::string> faults;
        if (decision.repair) faults.push_back(library_.faults[decision.repair->fault].id);
        for (const RepairOption& option : decision.same_visit) faults.push_back(library_.faults[option.fault].id);
        switch (decision.action) {
            case Action::repair:
                return {Kind::repair, faults};
            case Action::refer:
                return {Kind::refer, faults};
            case Action::retire:
                return {Kind::retire, {}};
            case Action::finish:
                return {Kind::finish, {}};
            case Action::test:
                break;
        }
        return {};
    }

    // ------------------------------------------------------------ judging

    [[nodiscard]] Judgement judged(const PracticeVerdict& verdict) const {
        using Kind = PracticeVerdict::Kind;
        const auto when = [](bool right) { return right ? Judgement::right : Judgement::wrong; };
        switch (verdict.kind) {
            case Kind::none:
            case Kind::give_up:
                return Judgement::none;
            case Kind::finish:
                return when(faults_.empty());
            case Kind::retire:
                return when(!faults_.empty() && cost_ >= worth_);
            case Kind::refer:
                if (verdict.faults.empty()) return when(beyond_the_person());
                break;
            case Kind::repair:
                break;
        }
        std::set<std::string> named;
        for (const std::string& id : verdict.faults)
            if (const Fault* fault = find_fault(library_, id)) named.insert(fault->remedy.id);
        if (named == needed_) return when(!needed_.empty());
        const bool some = std::any_of(named.begin(), named.end(),
                                      [&](const std::string& remedy) { return needed_.count(remedy) > 0; });
        return some ? Judgement::partly : Judgement::wrong;
    }

    /// Whether the cure is work that this person hands over.
    [[nodiscard]] bool beyond_the_person() const {
        return std::any_of(faults_.begin(), faults_.end(),
                           [&](FaultIndex fault) { return library_.faults[fault].remedy.who > options_.may; });
    }

    [[nodiscard]] std::string words_of(const PracticeVerdict& verdict) const {
        using Kind = PracticeVerdict::Kind;
        std::vector<std::string> names;
        for (const std::string& id : verdict.faults) {
            const Fault* fault = find_fault(library_, id);
            names.push_back(fault == nullptr ? id : fault->name);
        }
        switch (verdict.kind) {
            case Kind::none:
                return "none";
            case Kind::give_up:
                return "given up";
            case Kind::finish:
                return "nothing wrong";
            case Kind::retire:
                return "retire the unit";
            case Kind::refer:
                return names.empty() ? "hand it over" : "hand it over: " + present::join_words(names);
            case Kind::repair:
                break;
        }
        return "repair: " + present::join_words(names);
    }

    void score(PracticeResult& result) const {
        const double patience = options_.plan.economy.patience;
        // One minute more on both sides stands for hearing the complaint, and keeps the ratio sound.
        const auto effort = [&](const PracticeRun& run) { return 1.0 + run.minutes + patience * run.wait_minutes; };
        double share = 0.0;
        if (result.you.judged == Judgement::right) {
            result.points_verdict = kForVerdict;
            share = 1.0;
        } else if (result.you.judged == Judgement::partly) {
            result.points_verdict = kForHalf;
            share = 0.5;
        }
        // A planner that was wrong is no yardstick for the way.
        const bool yardstick = result.planner.judged >= result.you.judged;
        const double ratio = yardstick ? std::min(1.0, effort(result.planner) / effort(result.you)) : 1.0;
        result.points_way = share * kForWay * ratio;
        const double sum = result.points_verdict + result.points_way;
        result.points_hints = std::min(sum, kPerHint * static_cast<double>(result.hints));
        result.points = sum - result.points_hints;
    }

    // ------------------------------------------------------------ lessons

    void tell(PracticeResult& result, const PracticeVisit& visit) const {
        const std::vector<PracticeRow>& rows = result.you.rows;
        std::vector<std::size_t> order;
        for (std::size_t i = first_asked(rows); i < rows.size(); ++i) {
            order.push_back(i);
            if (std::abs(rows[i].decibans()) < kNothing) result.nothing.push_back(i);
        }
        std::stable_sort(order.begin(), order.end(),
                         [&](std::size_t a, std::size_t b) { return rows[a].decibans() > rows[b].decibans(); });
        for (const std::size_t i : order)
            if (rows[i].decibans() >= kTold && result.most.size() < kMostNamed) result.most.push_back(i);
        for (auto i = order.rbegin(); i != order.rend(); ++i)
            if (rows[*i].decibans() <= -kTold && result.away.size() < kMostNamed) result.away.push_back(*i);

        SessionOptions session;
        session.plan = options_.plan;
        session.infer = options_.infer;
        session.units = options_.units;
        const Diagnosis now = think(world_, options_, visit.the_case());
        std::optional<FaultIndex> target;
        for (const FaultIndex fault : faults_)
            if (!target || now.posterior.fault[fault] > now.posterior.fault[*target]) target = fault;
        const ShorterWay shorter = shorter_way(now, visit.the_case(), target, visit.minutes(), session);
        for (const std::size_t i : shorter.readings) result.enough.push_back(rows[i].name);
        result.enough_minutes = shorter.minutes;
        result.enough_probability = shorter.probability;
    }

    /// The complaint was there before the learner asked anything.
    [[nodiscard]] std::size_t first_asked(const std::vector<PracticeRow>& rows) const {
        const auto complaint = complaint_check(library_);
        return complaint && !rows.empty() && rows.front().check == library_.checks[*complaint].id ? 1 : 0;
    }

    void cure(PracticeResult& result) const {
        Case unit_only;
        unit_only.unit = world_.model().unit();
        const Findings none;
        const Posterior prior = infer(world_.model(), none);
        ReportOptions report_options;
        report_options.why_above = 2.0;
        report_options.pivotal = false;
        std::vector<std::string> ids;
        std::set<std::string> told;
        for (const FaultIndex fault : faults_) {
            const Remedy& remedy = library_.faults[fault].remedy;
            if (!told.insert(remedy.id).second) continue;
            Decision decision;
            decision.action = Action::repair;
            RepairOption option;
            option.remedy = remedy.id;
            option.fault = fault;
            option.probability = 1.0;
            option.minutes = remedy.minutes + access_.opening(plan::area_mask(library_, remedy.areas), 0);
            option.parts = 0.5 * (remedy.parts_low + remedy.parts_high) * options_.plan.economy.part_factor;
            option.cost = plan::repair_money(remedy, access_, library_, options_.plan.economy, options_.may, 0);
            option.who = remedy.who;
            decision.repair = option;
            Report report = build_report(world_.model(), unit_only, none, prior, decision, report_options);
            for (const std::string& id : report.repair->cautions)
                if (std::find(ids.begin(), ids.end(), id) == ids.end()) ids.push_back(id);
            result.cures.push_back(std::move(*report.repair));
        }
        result.cautions = caution_texts(library_, ids);
    }

    void close(PracticeResult& result, const PracticeVisit& visit) const {
        result.the_case = visit.the_case();
        result.the_case.note = fmt::format(
            "invented by frostread practice, seed {}, from the library's own model: tests a person's method "
            "and the arithmetic, not the truth of the rules",
            options_.seed);
        Closed& closed = result.the_case.closed.emplace();
        closed.found = result.hidden;
        closed.note = fmt::format("invented practice; the learner's verdict: {}", result.you.verdict_words);
        std::vector<std::string> remedies(needed_.begin(), needed_.end());
        closed.remedy = remedies.empty() ? "none" : remedies.front();
        for (std::size_t i = 1; i < remedies.size(); ++i) closed.remedy += ", " + remedies[i];
    }

    const PracticeWorld& world_;
    const PracticeOptions& options_;
    const CompiledLibrary& compiled_;
    const Library& library_;
    plan::AccessCosts access_;
    std::vector<FaultIndex> faults_;  ///< hidden
    std::set<std::string> needed_;    ///< their remedies
    double cost_ = 0.0;               ///< of the cures, money
    double worth_ = 0.0;
};

}  // namespace

Diagnosis think(const PracticeWorld& world, const PracticeOptions& options, const Case& the_case) {
    SessionOptions session;
    session.plan = options.plan;
    session.infer = options.infer;
    session.units = options.units;
    // A doubtful reading is worth reading again once. What reads the same twice is as it is.
    Case seen = the_case;
    for (const Reading& reading : the_case.readings) {
        const auto same = [&](const Reading& other) { return other.check == reading.check; };
        if (std::count_if(the_case.readings.begin(), the_case.readings.end(), same) > 1)
            seen.job.cannot.push_back(reading.check);
    }
    return diagnose_session(world.model().shared_library(), seen, {}, options.may, session);
}

PracticeRun planners_way(const PracticeWorld& world, const PracticeOptions& options) {
    return Judge(world, options).planners_way();
}

PracticeResult judge_practice(const PracticeWorld& world, const PracticeOptions& options, const PracticeVisit& visit,
                              std::size_t hints, const PracticeVerdict& verdict, PracticeRun planner) {
    return Judge(world, options).run(visit, hints, verdict, std::move(planner));
}

}  // namespace session

}  // namespace frostread
