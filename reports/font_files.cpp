#include "reports/font_files.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <system_error>

#include "reports/test_report.hpp"

namespace sagbench::reports {
namespace {

bool is_file(const std::filesystem::path& path) {
  std::error_code ignored;  // a folder that cannot be read is a folder without the font
  return std::filesystem::is_regular_file(path, ignored);
}

}  // namespace

std::string find_font(std::string_view file_name, std::span<const std::string_view> folders) {
  for (const std::string_view folder : folders) {
    const auto path = std::filesystem::path(folder) / file_name;
    if (is_file(path)) return path.string();
  }
  throw ReportError(
      fmt::format("the report needs the typeface file {}, which is not on this machine: {}",
                  file_name, font_remedy()));
}

std::optional<std::string> path_of(const OtherFont& font) {
  return is_file(font.path) ? std::optional(std::string(font.path)) : std::nullopt;
}

std::string missing_packages_words() {
  std::string words;
  for (const OtherFont& font : other_fonts())
    if (!path_of(font)) words += fmt::format(" Package {} has {}.", font.package, font.scripts);
  return words;
}

}  // namespace sagbench::reports
