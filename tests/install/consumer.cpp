// A program of someone else, built against the installed package: one reading in, the leader out.
#include <cstdio>
#include <memory>

#include "frostread/files.hpp"
#include "frostread/report.hpp"

int main() {
    using namespace frostread;
    Result<Library> loaded = load_library(embedded_library_sources());
    if (!loaded) {
        std::puts("the library did not load");
        return 1;
    }
    const auto library = std::make_shared<const Library>(std::move(*loaded));
    Case the_case;
    Result<Reading> reading = parse_reading("freezer-fan", "stopped", *library, UnitPreference::si);
    if (!reading) {
        std::puts("the reading was refused");
        return 1;
    }
    the_case.readings.push_back(*reading);
    const UnitModel model = fit_to_unit(compile(library), the_case.unit);
    const Report report = diagnose(model, the_case, plan_options(*library));
    std::printf("%s\n", report.faults.front().name.c_str());
    return 0;
}
