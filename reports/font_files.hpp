#pragma once
// Where the report's typeface is on this machine.

#include <span>
#include <string>
#include <string_view>

namespace sagbench::reports {

/// Folders in the order they are tried: the one the build was told of, then the usual ones.
std::span<const std::string_view> font_folders() noexcept;
/// Path of `file_name` in the first folder that has it. Throws ReportError naming the package to
/// install.
std::string find_font(std::string_view file_name,
                      std::span<const std::string_view> folders = font_folders());

}  // namespace sagbench::reports
