#pragma once
// Where the report's typeface is on this machine.

#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace sagbench::reports {

/// Folders in the order they are tried: the one the build was told of, then the usual ones.
std::span<const std::string_view> font_folders() noexcept;
/// For messages: what to do where the typeface is in none of them.
std::string_view font_remedy() noexcept;
/// Path of `file_name` in the first folder that has it. Throws ReportError naming the package to
/// install.
std::string find_font(std::string_view file_name,
                      std::span<const std::string_view> folders = font_folders());

/// A typeface that has letters which that of the reports lacks.
struct OtherFont {
  std::string_view path;
  std::string_view package;  // of Debian and its relatives
  std::string_view scripts;
};
/// In the order they are asked.
std::span<const OtherFont> other_fonts() noexcept;
/// Absent where it is not on this machine.
std::optional<std::string> path_of(const OtherFont& font);
/// " Package NAME has SCRIPTS." of each that is not on this machine; else nothing.
std::string missing_packages_words();

}  // namespace sagbench::reports
