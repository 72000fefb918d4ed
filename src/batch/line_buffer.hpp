#pragma once

#include <algorithm>
#include <cstddef>
#include <cstring>
#include <string>
#include <string_view>
#include <vector>

#include "batch/json_numbers.hpp"

/// A line on its way: hundreds of short pieces, for each of which a string would ask and count more than it copies.
namespace frostread::batch {

class LineBuffer {
public:
    void clear() { size_ = 0; }
    [[nodiscard]] std::string_view text() const { return {bytes_.data(), size_}; }

    LineBuffer& operator<<(char c) {
        *room(1) = c;
        ++size_;
        return *this;
    }
    LineBuffer& operator<<(std::string_view piece) {
        std::memcpy(room(piece.size()), piece.data(), piece.size());
        size_ += piece.size();
        return *this;
    }
    /// As append_rounded.
    void add_rounded(double value, int places) {
        char* const to = room(kLongestNumber);
        size_ += static_cast<std::size_t>(write_rounded(to, value, places) - to);
    }
    /// As append_quoted.
    void add_quoted(std::string_view text) {
        if (is_plain_text(text)) {
            *this << '"' << text << '"';
            return;
        }
        std::string escaped;
        append_quoted(escaped, text);
        *this << escaped;
    }

private:
    char* room(std::size_t count) {
        if (size_ + count > bytes_.size()) bytes_.resize(std::max(2 * bytes_.size(), size_ + count + 4096));
        return bytes_.data() + size_;
    }

    std::vector<char> bytes_;
    std::size_t size_ = 0;
};

}  // namespace frostread::batch
