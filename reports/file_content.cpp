#include "reports/file_content.hpp"

#include <array>
#include <cstddef>
#include <filesystem>
#include <fstream>

namespace sagbench::reports {

std::optional<std::string> file_content(const std::string& path) {
  constexpr std::size_t kPart = 65536;
  std::ifstream file(std::filesystem::path(path), std::ios::binary);
  std::string content;
  std::array<char, kPart> part = {};
  // Not by an iterator over its buffer: that throws where the disk fails.
  while (file.read(part.data(), part.size()) || file.gcount() > 0)
    content.append(part.data(), static_cast<std::size_t>(file.gcount()));
  if (!file.is_open() || file.bad()) return std::nullopt;
  return content;
}

}  // namespace sagbench::reports
