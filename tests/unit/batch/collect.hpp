#pragma once

#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "frostread/batch.hpp"
#include "frostread/files.hpp"

/// A batch over texts in memory.
namespace frostread::test {

class Texts : public CaseSource {
public:
    explicit Texts(std::vector<std::string> lines, std::vector<std::string> old = {})
        : lines_(std::move(lines)), old_(std::move(old)) {}
    bool next(CaseText& item) override {
        if (at_ == lines_.size()) return false;
        item.text = lines_[at_];
        item.file = &name_;
        item.line = at_ + 1;
        item.trouble.reset();
        item.old_result = at_ < old_.size() ? old_[at_] : "";
        ++at_;
        return true;
    }

private:
    std::vector<std::string> lines_, old_;
    std::string name_ = "night.jsonl";
    std::size_t at_ = 0;
};

class Collected : public BatchSink {
public:
    bool take(const CaseText& /*item*/, const BatchEntry& entry) override {
        entries.push_back(entry);
        return true;
    }
    [[nodiscard]] std::vector<std::string> lines() const {
        std::vector<std::string> out;
        for (const BatchEntry& entry : entries) out.push_back(entry.line);
        return out;
    }
    std::vector<BatchEntry> entries;
};

inline std::shared_ptr<const CompiledLibrary> household() {
    static const auto compiled =
        compile(std::make_shared<const Library>(load_library(embedded_library_sources()).value()));
    return compiled;
}

inline std::vector<std::string> drawn_lines(std::uint64_t seed, std::size_t count, std::size_t readings = 12) {
    std::vector<std::string> lines;
    for (std::size_t i = 0; i < count; ++i)
        lines.push_back(write_case(draw_closed_case(household(), seed, i, readings), -1));
    return lines;
}

inline BatchOptions ranking_only() {
    BatchOptions options;
    options.next = false;
    options.plan = plan_options(household()->library());
    return options;
}

inline Collected run(const std::vector<std::string>& lines, const BatchOptions& options,
                     const std::vector<std::string>& old = {}) {
    Texts source(lines, old);
    Collected sink;
    run_batch(household(), source, options, sink);
    return sink;
}

}  // namespace frostread::test
