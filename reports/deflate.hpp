#pragma once
// Bytes made smaller (RFC 1950, zlib).

#include <string>
#include <string_view>

namespace sagbench::reports {

/// `level`: 1 (fast) to 9 (small), or -1 (usual), as in zlib.
std::string deflated(std::string_view bytes, int level);

}  // namespace sagbench::reports
