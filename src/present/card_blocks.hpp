#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "frostread/compiled_library.hpp"

/// A reference card as a list of blocks. Text and page are written from the same blocks, so neither
/// can leave out a caution.
namespace frostread::present {

enum class BlockKind { title, soft, heading, caution, paragraph, step, row };

struct Block {
    BlockKind kind = BlockKind::paragraph;
    std::string text;
    std::string left;  ///< row: first column
};

using Blocks = std::vector<Block>;

/// Empty when `id` names no check, fault or caution.
[[nodiscard]] Blocks make_card(const std::shared_ptr<const CompiledLibrary>& library, std::string_view id);

}  // namespace frostread::present
