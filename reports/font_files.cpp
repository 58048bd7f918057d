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

constexpr std::array<OtherFont, 2> kOthers = {{
    {"/usr/share/fonts/truetype/wqy/wqy-microhei.ttc", "fonts-wqy-microhei",
     "Han, kana and Hangul"},
    {"/usr/share/fonts/truetype/lohit-devanagari/Lohit-Devanagari.ttf", "fonts-lohit-deva",
     "Devanagari"},
}};

bool is_file(const std::filesystem::path& path) {
  std::error_code ignored;  // a folder that cannot be read is a folder without the font
  return std::filesystem::is_regular_file(path, ignored);
}

}  // namespace

std::span<const std::string_view> font_folders() noexcept {
  return kFolders;
}

std::string find_font(std::string_view file_name, std::span<const std::string_view> folders) {
  for (const std::string_view folder : folders) {
    const auto path = std::filesystem::path(folder) / file_name;
    if (is_file(path)) return path.string();
  }
  throw ReportError(fmt::format(
      "the report needs the typeface file {}, which is not on this machine: install the package "
      "fonts-dejavu-core",
      file_name));
}

std::span<const OtherFont> other_fonts() noexcept {
  return kOthers;
}

std::optional<std::string> path_of(const OtherFont& font) {
  return is_file(font.path) ? std::optional(std::string(font.path)) : std::nullopt;
}

std::string missing_packages_words() {
  std::string words;
  for (const OtherFont& font : kOthers)
    if (!path_of(font)) words += fmt::format(" Package {} has {}.", font.package, font.scripts);
  return words;
}

}  // namespace sagbench::reports
