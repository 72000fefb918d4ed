#pragma once

#include <algorithm>
#include <string>
#include <vector>

#include "frostread/library.hpp"

/// Going from check to check: what stands open, whether the plug is in, and the minutes it takes. What
/// was opened stays open; closing it again is counted when it is opened.
namespace frostread::session {

class Walk {
public:
    Walk(const Library& library, const Economy& economy) : library_(&library), switch_(economy.power_switch_minutes) {}

    /// Minutes of one check from here; moves on.
    double go(const Check& check) {
        double minutes = check.minutes;
        for (const std::string& id : check.areas) {
            const Area* area = find_area(*library_, id);
            if (area == nullptr || std::find(open_.begin(), open_.end(), id) != open_.end()) continue;
            open_.push_back(id);
            minutes += area->open_minutes + area->close_minutes + switched(area->power);
        }
        return minutes + switched(check.power);
    }

    [[nodiscard]] const std::vector<std::string>& open() const { return open_; }
    [[nodiscard]] Power power() const { return power_; }

private:
    double switched(Power wanted) {
        if (wanted == Power::either || wanted == power_) return 0.0;
        power_ = wanted;
        return switch_;
    }

    const Library* library_;
    double switch_;
    std::vector<std::string> open_;
    Power power_ = Power::on;
};

}  // namespace frostread::session
