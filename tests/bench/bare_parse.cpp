// The least that any program must do with a file of cases: parse every line into a document. The batch
// is measured against it (tests/bench/batch_bench.sh). Prints lines, members and seconds.
#include <chrono>
#include <cstdio>
#include <fstream>
#include <iostream>
#include <nlohmann/json.hpp>
#include <string>

int main(int argc, char** argv) {
    std::ios::sync_with_stdio(false);
    std::ifstream file;
    if (argc > 1) file.open(argv[1], std::ios::binary);
    std::istream& in = argc > 1 ? file : std::cin;
    std::size_t lines = 0, members = 0;
    const auto start = std::chrono::steady_clock::now();
    for (std::string line; std::getline(in, line);) {
        const nlohmann::json document = nlohmann::json::parse(line);
        members += document.size();  // used, so that nothing is left out
        ++lines;
    }
    const double seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
    std::printf("%zu lines, %zu members, %.4f s\n", lines, members, seconds);
    return lines > 0 ? 0 : 2;
}
