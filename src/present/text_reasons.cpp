#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "present/text_session.hpp"
#include "present/writers.hpp"

/// The reasons of the leader against its rival as a table that adds up.
namespace frostread::present {

namespace {

constexpr double kSmallWeight = 0.5;   // decibans; smaller reasons are summed up in one row
constexpr double kWorthTelling = 2.0;  // decibans; lighter ones are not explained
constexpr std::size_t kMostTold = 3;

/// "" when `count` is one.
const char* plural(std::size_t count) {
    return count == 1 ? "" : "s";
}

/// Rounds to tenths so that the rows still add up to the rounded total.
std::vector<long> tenths(const std::vector<double>& parts, double total) {
    std::vector<long> rounded;
    for (const double part : parts) {
        rounded.push_back(std::lround(part * 10.0));
    }
    long missing = std::lround(total * 10.0) - std::accumulate(rounded.begin(), rounded.end(), 0L);
    const long direction = missing > 0 ? 1 : -1;
    while (missing != 0 && !parts.empty()) {
        std::size_t best = 0;
        double most = -1e300;
        for (std::size_t i = 0; i < parts.size(); ++i) {
            const double error = (parts[i] * 10.0 - static_cast<double>(rounded[i])) * static_cast<double>(direction);
            if (error > most) {
                most = error;
                best = i;
            }
        }
        rounded[best] += direction;
        missing -= direction;
    }
    return rounded;
}

std::string decibans(long tenth) {
    return fmt::format("{}{}.{}", tenth < 0 ? "-" : "", std::labs(tenth) / 10, std::labs(tenth) % 10);
}

std::string odds_words(double margin_db) {
    const double odds = std::pow(10.0, std::abs(margin_db) / 10.0);
    const std::string number = odds >= 1e6    ? std::string("over a million")
                               : odds >= 10.0 ? fmt::format("{:.0f}", odds)
                                              : fmt::format("{:.1f}", odds);
    return margin_db >= 0 ? number + " : 1" : "1 : " + number;
}

struct Reason {
    std::string name;
    std::string value;
    double decibans = 0.0;
};

std::vector<Reason> reason_rows(const ReportLedger& why) {
    std::vector<Reason> rows;
    double small = 0.0;
    std::size_t small_count = 0;
    for (const ReportWeight& weight : why.weights) {
        if (std::abs(weight.decibans) < kSmallWeight) {
            small += weight.decibans;
            ++small_count;
        } else {
            rows.push_back({weight.check_name, weight.value_words, weight.decibans});
        }
    }
    if (small_count > 0) {
        rows.push_back(
            {fmt::format("{} other reading{}", small_count, plural(small_count)), "little either way", small});
    }
    rows.push_back({"how often it is the cause", "", why.prior_db});
    return rows;
}

}  // namespace

std::string reason_table(const ReportLedger& why, const TextStyle& style) {
    std::string out;
    const auto line = [&](const std::string& text) { out += text + "\n"; };
    const std::vector<Reason> rows = reason_rows(why);
    std::vector<double> parts;
    std::size_t name_width = 0;
    for (const Reason& row : rows) {
        parts.push_back(row.decibans);
        name_width = std::max(name_width, display_width(row.name));
    }
    name_width = std::min<std::size_t>(name_width, 28);
    const std::size_t numbers = 18;  // two columns of nine
    const std::size_t value_width = style.width - 4 - name_width - numbers - 2;
    line(std::string(style.width - numbers, ' ') + inked(pad_left("for", 9) + pad_left("against", 9), Ink::dim, style));
    const std::vector<long> rounded = tenths(parts, why.margin_db);
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const bool against = rounded[i] < 0;
        const std::string number = decibans(std::labs(rounded[i]));
        const std::vector<std::string> value = wrap(rows[i].value, value_width);
        std::vector<std::string> name = wrap(rows[i].name, name_width);
        const std::size_t height = std::max(value.size(), name.size());
        for (std::size_t k = 0; k < height; ++k) {
            std::string text = "  " + pad_right(k < name.size() ? name[k] : "", name_width) + "  " +
                               pad_right(k < value.size() ? value[k] : "", value_width + 2);
            if (k == 0) {
                text += against ? pad_left("", 9) + pad_left(number, 9) : pad_left(number, 9);
            }
            text.erase(text.find_last_not_of(' ') + 1);
            line(text);
        }
    }
    const long sum = std::lround(why.margin_db * 10.0);
    const std::string total = fmt::format("sum {} decibans ({})", decibans(sum), odds_words(why.margin_db));
    line(pad_left(total, style.width));
    return out + reasons_told(why, style);
}

std::vector<std::string> told_reasons(const ReportLedger& why) {
    std::vector<std::string> told;
    for (const ReportWeight& weight : why.weights) {  // the heaviest come first
        if (weight.because.empty() || weight.decibans < kWorthTelling || told.size() == kMostTold) continue;
        told.push_back(fmt::format("{}: {}", sentence_case(weight.check_name), weight.because));
    }
    return told;
}

std::string reasons_told(const ReportLedger& why, const TextStyle& style) {
    std::string out;
    for (const std::string& reason : told_reasons(why)) out += wrapped(reason, style.width, "  ", "    ");
    return out;
}

}  // namespace frostread::present
