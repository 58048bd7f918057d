#include <array>

#include "reports/font_files.hpp"

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

}  // namespace

std::span<const std::string_view> font_folders() noexcept {
  return kFolders;
}

std::string_view font_remedy() noexcept {
  return "install the package fonts-dejavu-core";
}

std::span<const OtherFont> other_fonts() noexcept {
  return kOthers;
}

}  // namespace sagbench::reports
