#include "frostread/batch.hpp"

#include <vector>

#include "batch/case_runner.hpp"
#include "batch/pipeline.hpp"

namespace frostread {

namespace {

/// Cases go to a thread in handfuls, so that threads seldom meet. Whole numbers of cases, few enough
/// that a short batch still spreads over all threads.
constexpr std::size_t kCasesPerChunk = 32;
constexpr std::size_t kBytesPerChunk = std::size_t{1} << 18U;

struct Chunk {
    std::vector<CaseText> items;
    std::vector<BatchEntry> entries;
    std::size_t used = 0;
};

}  // namespace

void run_batch(const std::shared_ptr<const CompiledLibrary>& library, CaseSource& source, const BatchOptions& options,
               BatchSink& sink) {
    const unsigned jobs = options.jobs == 0 ? 1 : options.jobs;
    std::vector<std::unique_ptr<batch::CaseRunner>> runners;
    for (unsigned i = 0; i < jobs; ++i) runners.push_back(std::make_unique<batch::CaseRunner>(library, options));
    // A planner's case takes long: few at a time spread best and show progress early.
    const auto share_of_chunk = [&](const std::string& text) {
        const bool plans = options.next && (options.closed_next || text.find(R"("closed":)") == std::string::npos);
        return plans ? kCasesPerChunk / 4 : 1;
    };

    const auto read = [&](Chunk& chunk) {
        chunk.used = 0;
        std::size_t bytes = 0, taken = 0;
        while (taken < kCasesPerChunk && bytes < kBytesPerChunk) {
            if (chunk.used > 0 && !source.ready()) break;
            if (chunk.items.size() == chunk.used) {
                chunk.items.emplace_back();
                chunk.entries.emplace_back();
            }
            if (!source.next(chunk.items[chunk.used])) break;
            bytes += chunk.items[chunk.used].text.size();
            taken += share_of_chunk(chunk.items[chunk.used].text);
            ++chunk.used;
        }
        return chunk.used > 0;
    };
    const auto work = [&](Chunk& chunk, unsigned worker) {
        for (std::size_t i = 0; i < chunk.used; ++i) runners[worker]->run(chunk.items[i], chunk.entries[i]);
    };
    const auto write = [&](Chunk& chunk) {
        for (std::size_t i = 0; i < chunk.used; ++i)
            if (!sink.take(chunk.items[i], chunk.entries[i])) return false;
        return true;
    };
    const auto ready = [&] { return source.ready(); };
    const auto idle = [&] { sink.idle(); };
    batch::run_in_order<Chunk>(jobs, ready, idle, read, work, write);
}

}  // namespace frostread
