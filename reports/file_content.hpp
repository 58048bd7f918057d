#pragma once
#include <optional>
#include <string>

namespace sagbench::reports {

/// All bytes of a file; nothing where it cannot be opened, or not be read to its end.
std::optional<std::string> file_content(const std::string& path);

}  // namespace sagbench::reports
