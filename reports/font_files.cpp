#include "reports/font_files.hpp"

#include <fmt/format.h>

#include <array>
#include <filesystem>
#include <system_error>

#include "reports/test_report.hpp"

namespace sagbench::reports {
namespace {

constexpr std::array<std::string_view, 5> kFolders = {
    SAGBENCH_FONT_DIR,
    "/usr/share/fonts/truetype/dejavu",
    "/usr/share/fonts/dejavu-sans-fonts",
    "/usr/share/fonts/TTF",
    "/usr/local/share/fonts/dejavu",
};

}  // namespace

std::span<const std::string_view> font_folders() noexcept {
  return kFolders;
}

std::string find_font(std::string_view file_name, std::span<const std::string_view> folders) {
  for (const std::string_view folder : folders) {
    const auto path = std::filesystem::path(folder) / file_name;
    std::error_code ignored;  // a folder that cannot be read is a folder without the font
    if (std::filesystem::is_regular_file(path, ignored)) return path.string();
  }
  throw ReportError(fmt::format(
      "the report needs the typeface file {}, which is not on this machine: install the package "
      "fonts-dejavu-core",
      file_name));
}

}  // namespace sagbench::reports
