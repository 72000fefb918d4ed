#include <array>
#include <optional>
#include <string>

#include "frostread/bench_calc.hpp"
#include "frostread/compiled_library.hpp"

namespace frostread {

namespace {

constexpr double kUsualRoom = 21.0;              // degC, common practice, no source
constexpr double kUsualEvaporating = -25.0;      // degC: -30 to -23 running, from memory (trade)
constexpr double kUsualCondensingOverRoom = 15;  // K: static 10 to 20, forced 8 to 15, from memory (trade)

constexpr std::array<std::string_view, 6> kDerived = {"heater-ohms",        "rated-volts",    "rated-watts",
                                                      "saturation-at-room", "suction-normal", "head-normal"};

std::optional<double> number(const Case& the_case, const std::string& trait) {
    const auto found = the_case.unit.numbers.find(trait);
    if (found == the_case.unit.numbers.end()) return std::nullopt;
    return found->second;
}

std::optional<double> gauge_reading(const Case& the_case, std::string_view check) {
    const auto index = latest_reading(the_case, check);
    if (!index) return std::nullopt;
    return the_case.readings[*index].value;
}

std::optional<double> saturation(const Case& the_case, double celsius) {
    const auto found = the_case.unit.words.find("refrigerant");
    if (found == the_case.unit.words.end()) return std::nullopt;
    return saturation_kpa(found->second, celsius);
}

}  // namespace

std::span<const std::string_view> derived_reference_ids() {
    return kDerived;
}

std::optional<double> reference_value(const Library& library, std::string_view reference, const Case& the_case) {
    const double room = gauge_reading(the_case, "room-temp").value_or(kUsualRoom);
    if (reference == "heater-ohms") {
        const auto volts = number(the_case, "rated_volts");
        const auto watts = number(the_case, "heater_watts");
        if (!volts || !watts || *watts <= 0.0) return std::nullopt;
        return *volts * *volts / *watts;  // R = V^2 / P
    }
    if (reference == "rated-volts") return number(the_case, "rated_volts");
    if (reference == "rated-watts") return number(the_case, "rated_watts");
    if (reference == "saturation-at-room") return saturation(the_case, room);
    if (reference == "suction-normal") return saturation(the_case, kUsualEvaporating);
    if (reference == "head-normal") return saturation(the_case, room + kUsualCondensingOverRoom);
    if (find_check(library, reference) != nullptr) return gauge_reading(the_case, reference);
    return number(the_case, std::string(reference));
}

std::vector<std::string> traits_of_reference(const Library& library, std::string_view reference) {
    std::vector<std::string> traits;
    if (reference == "heater-ohms")
        traits = {"rated_volts", "heater_watts"};
    else if (reference == "rated-volts")
        traits = {"rated_volts"};
    else if (reference == "rated-watts")
        traits = {"rated_watts"};
    else if (reference == "saturation-at-room" || reference == "suction-normal" || reference == "head-normal")
        traits = {"refrigerant"};
    else
        traits = {std::string(reference)};
    std::erase_if(traits, [&](const std::string& id) { return find_trait(library, id) == nullptr; });
    return traits;
}

}  // namespace frostread
