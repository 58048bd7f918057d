#include <windows.h>

#include <array>
#include <filesystem>
#include <string>

#include "reports/font_files.hpp"

namespace sagbench::reports {
namespace {

/// Beside the program, wherever that was unpacked.
std::string own_folder() {
  std::array<wchar_t, 4096> path{};
  const DWORD length = GetModuleFileNameW(nullptr, path.data(), static_cast<DWORD>(path.size()));
  if (length == 0 || length >= path.size()) return "fonts";
  return (std::filesystem::path(path.data()).parent_path() / "fonts").string();
}

}  // namespace

std::span<const std::string_view> font_folders() noexcept {
  static const std::string beside = own_folder();
  static const std::array<std::string_view, 2> folders = {beside, SAGBENCH_FONT_DIR};
  return folders;
}

std::string_view font_remedy() noexcept {
  return "its place is the folder fonts beside sagbench.exe";
}

std::span<const OtherFont> other_fonts() noexcept {
  return {};
}

}  // namespace sagbench::reports
