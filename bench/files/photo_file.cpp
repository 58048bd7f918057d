#include "bench/files/photo_file.hpp"

#include <fmt/format.h>

#include <cerrno>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <system_error>

#include "bench/files/input_error.hpp"
#include "reports/printable_text.hpp"

namespace sagbench::bench {
namespace {

namespace fs = std::filesystem;

void require_file(const std::string& path) {
  std::error_code error;
  const fs::file_type type = fs::status(path, error).type();
  if (type == fs::file_type::not_found) throw InputError(path + ": no such file");
  if (error) throw InputError(fmt::format("{}: cannot be read: {}", path, error.message()));
  if (type != fs::file_type::regular)
    throw InputError(path + ": is no file; name a JPEG or PNG picture");
}

/// One byte more than a photo may have tells that there are too many.
std::string content_of(const std::string& path) {
  std::ifstream file(std::filesystem::path(path), std::ios::binary);
  std::string content(static_cast<std::size_t>(reports::kLargestPhoto) + 1, '\0');
  if (file) file.read(content.data(), static_cast<std::streamsize>(content.size()));
  if (!file.is_open() || file.bad())
    throw InputError(
        fmt::format("{}: cannot be read: {}", path, std::generic_category().message(errno)));
  content.resize(static_cast<std::size_t>(file.gcount()));
  return content;
}

}  // namespace

reports::Photo read_photo(const std::string& path) {
  require_file(path);
  std::error_code unknown;  // then what can be read tells
  const std::uintmax_t size = fs::file_size(path, unknown);
  constexpr double kMega = 1e6;
  if (!unknown && size > static_cast<std::uintmax_t>(reports::kLargestPhoto))
    throw InputError(fmt::format("{}: has {:.1f} MB; a photo may have {:.0f} MB at most", path,
                                 static_cast<double>(size) / kMega,
                                 static_cast<double>(reports::kLargestPhoto) / kMega));
  auto photo = reports::photo_of(fs::path(path).filename().string(), content_of(path));
  if (!photo) throw InputError(fmt::format("{}: {}", path, photo.why()));
  return *std::move(photo);
}

const std::string& require_line(const std::string& text, const std::string& what,
                                std::size_t most) {
  const auto characters = reports::characters_in_line(text);
  if (!characters)
    throw InputError(
        fmt::format("{} \"{}\" holds a control character, a line end or what is no "
                    "UTF-8; one line of plain text is accepted",
                    what, reports::printable(text)));
  if (*characters > most)
    throw InputError(
        fmt::format("{} has {} characters; at most {} are accepted", what, *characters, most));
  return text;
}

}  // namespace sagbench::bench
