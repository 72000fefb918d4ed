#pragma once

#include <string_view>

#include "cli/io.hpp"
#include "frostread/diagnostic.hpp"

namespace frostread::cli {

/// Turns an entry such as "fault:NAME" in Place.pointer into file, line and column, by finding where
/// that entry's id is written. Places that are not entries stay as they are.
void find_places(Diagnostics& diagnostics, const LibrarySources& sources);

}  // namespace frostread::cli
