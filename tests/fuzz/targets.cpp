#include "fuzz/targets.hpp"

#include <cmath>
#include <cstdlib>
#include <string>

#include "frostread/files.hpp"
#include "frostread/quantity.hpp"
#include "frostread/templog.hpp"
#include "support/builders.hpp"

namespace frostread::fuzz {

namespace {

/// A broken promise ends the process, in every kind of build.
void demand(bool holds) {
    if (!holds) std::abort();
}

template <class T>
void demand_value_or_error(const Result<T>& result) {
    demand(result.has_value() != has_errors(result.diagnostics()));
}

}  // namespace

void one_library(std::string_view bytes) {
    std::vector<SourceText> sources = test::tiny_sources();
    sources[3].text = bytes;
    demand_value_or_error(load_library(sources));
    sources = test::tiny_sources();
    sources[0].text = bytes;
    demand_value_or_error(load_library(sources));
}

void one_case(std::string_view bytes) {
    static const Library library = test::tiny_library();
    const Result<Case> first = read_case(bytes, "fuzz.json", library);
    demand_value_or_error(first);
    if (!first.has_value()) return;
    for (const int indent : {2, -1}) {
        const std::string written = write_case(*first, indent);
        const Result<Case> again = read_case(written, "written.json", library);
        demand(again.has_value());
        demand(write_case(*again, indent) == written);
    }
}

void one_quantity(std::string_view bytes) {
    for (const Measure& measure : all_measures()) {
        const Result<Quantity> quantity = parse_quantity(bytes, measure.dimension, &measure);
        demand_value_or_error(quantity);
        if (!quantity.has_value()) continue;
        demand(std::isfinite(quantity->value));
        demand(!to_text(*quantity).empty());
    }
}

void one_log(std::string_view bytes) {
    LogOptions told;
    told.time_unit = LogTimeUnit::seconds;
    told.date_order = DateOrder::month_first;
    for (const LogOptions& options : {LogOptions{}, told}) {
        const Result<Log> log = parse_log(bytes, "fuzz.csv", options);
        demand_value_or_error(log);
        if (!log.has_value()) continue;
        demand(log->seconds.size() >= 3 && log->seconds.front() == 0.0);
        for (std::size_t i = 1; i < log->seconds.size(); ++i) demand(log->seconds[i] > log->seconds[i - 1]);
        for (const auto& values : log->values) demand(values.empty() || values.size() == log->seconds.size());
        const LogFindings found = analyse_log(*log);
        demand(found.run_share.value_or(0.0) >= 0.0 && found.run_share.value_or(0.0) <= 1.0);
        const std::vector<Reading> readings = readings_from_log(*log, found, "fuzz.csv");
        demand(!log_to_text(*log, found, readings).empty());
        demand(log_to_json(*log, found, readings).back() == '\n');
        demand(log_to_svg(*log, found).find("nan") == std::string::npos);
        demand(!log_to_html(*log, found, readings).empty());
    }
}

}  // namespace frostread::fuzz
