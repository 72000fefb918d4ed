#pragma once

#include <condition_variable>
#include <cstddef>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

/// Chunks through worker threads and out again in the order in which they came in. The number of
/// chunks in flight is fixed, so a slow writer stops the reader and memory stays flat.
namespace frostread::batch {

/// `ready()`: reading would not wait. `idle()`: it would, and everything that was read is written.
/// `read(chunk)`: fills a chunk, false at the end. `work(chunk, worker)`: on any thread. `write(chunk)`:
/// false stops. read and write run on the calling thread only, which works as well when there is nothing to
/// read or write, so that `jobs` threads are never more than that. An exception in `work` comes out at the
/// place of its chunk, after everything before it was written.
template <class Chunk, class Ready, class Idle, class Read, class Work, class Write>
void run_in_order(unsigned jobs, Ready ready, Idle idle, Read read, Work work, Write write) {
    if (jobs <= 1) {
        Chunk chunk;
        while (true) {
            if (!ready()) idle();
            if (!read(chunk)) return;
            work(chunk, 0U);
            if (!write(chunk)) return;
        }
    }

    struct Slot {
        Chunk chunk;
        std::exception_ptr failure;
        bool done = false;
    };
    std::vector<Slot> slots(std::size_t{2} * jobs + 2);
    std::mutex mutex;
    std::condition_variable filled, finished;
    std::size_t head = 0, taken = 0, tail = 0;  // read so far, given to a worker, written
    bool closing = false;

    // Requires: the lock is held and taken < head. Holds it again at the end.
    const auto serve_one = [&](std::unique_lock<std::mutex>& lock, unsigned worker) {
        Slot& slot = slots[taken++ % slots.size()];
        lock.unlock();
        try {
            work(slot.chunk, worker);
        } catch (...) {
            slot.failure = std::current_exception();
        }
        lock.lock();
        slot.done = true;
    };
    const auto serve = [&](unsigned worker) {
        std::unique_lock lock(mutex);
        while (true) {
            filled.wait(lock, [&] { return closing || taken < head; });
            if (closing) return;
            serve_one(lock, worker);
            finished.notify_one();
        }
    };
    std::vector<std::thread> threads;
    struct Closer {  // also when read or write throws
        std::mutex& mutex;
        std::condition_variable& filled;
        bool& closing;
        std::vector<std::thread>& threads;
        ~Closer() {
            {
                const std::lock_guard lock(mutex);
                closing = true;
            }
            filled.notify_all();
            for (std::thread& thread : threads) thread.join();
        }
    } closer{mutex, filled, closing, threads};
    for (unsigned worker = 1; worker < jobs; ++worker) threads.emplace_back(serve, worker);

    bool more = true;
    bool held_up = false;  // reading would wait, and there are answers to be written first
    std::unique_lock lock(mutex);
    while (more || tail < head) {
        Slot& oldest = slots[tail % slots.size()];
        if (tail < head && oldest.done) {
            lock.unlock();
            if (oldest.failure) std::rethrow_exception(oldest.failure);
            if (!write(oldest.chunk)) return;
            oldest.done = false;
            lock.lock();
            ++tail;
            held_up = false;
        } else if (more && !held_up && head - tail < slots.size()) {
            Slot& empty = slots[head % slots.size()];
            lock.unlock();
            const bool waits = !ready();
            held_up = waits && tail < head;
            if (waits && !held_up) idle();
            if (!held_up) more = read(empty.chunk);
            lock.lock();
            if (more && !held_up) {
                ++head;
                filled.notify_one();
            }
        } else if (taken < head) {
            serve_one(lock, 0);
            held_up = false;
        } else {
            finished.wait(lock, [&] { return oldest.done; });
        }
    }
}

}  // namespace frostread::batch
